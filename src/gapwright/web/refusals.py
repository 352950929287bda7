"""Refusals and faults as answers: one line for a person, nothing of our insides."""

import re
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse

from gapwright.app.bench import WrongFile
from gapwright.base.errors import FactMissing, GapwrightError, InputRefused, StoreFault
from gapwright.shell.folder import NotThere, ReadOnly, Stale, Taken

FAULT = "a fault of gapwright, not of yours; the traceback is in its log of faults"
SHOWN = 160


class Refusal(BaseModel):
    """Why a call was refused; `path` is the key path of the value to blame, where one is."""

    refused: str
    path: str | None = None


STATUS: tuple[tuple[type[GapwrightError], int], ...] = (
    (NotThere, 404),
    (FactMissing, 404),
    (Taken, 409),
    (Stale, 409),
    (ReadOnly, 403),
    (InputRefused, 422),
    (StoreFault, 507),
    (GapwrightError, 422),
)
"""Status of each kind of refusal; the first that fits."""

RESPONSES: dict[int | str, dict[str, Any]] = {
    status: {"model": Refusal, "description": says}
    for status, says in {
        400: "The call cannot be read.",
        401: "The token is missing.",
        403: "Not allowed here.",
        404: "There is no such thing.",
        409: "It is not what it was.",
        413: "Too large.",
        422: "What was sent breaks a rule.",
        500: "A fault of ours.",
        503: "Not ready yet.",
        507: "It could not be written.",
    }.items()
}
"""What every call may answer instead."""


def refusal(status: int, says: str, path: str | None = None) -> JSONResponse:
    """A refusal as an answer."""
    return JSONResponse({"refused": says, "path": path or None}, status_code=status)


def status_of(error: GapwrightError) -> int:
    """Status of a refusal."""
    return next(status for kind, status in STATUS if isinstance(error, kind))


async def refused(_request: Request, error: Exception) -> JSONResponse:
    """Answer to a refusal of ours."""
    known = error if isinstance(error, GapwrightError) else InputRefused("refused")
    path = known.path if isinstance(known, WrongFile) else None
    return refusal(status_of(known), str(known), path)


async def unreadable(_request: Request, error: Exception) -> JSONResponse:
    """Answer to a call that does not have the form it should have."""
    first: dict[str, Any] = {}
    if isinstance(error, RequestValidationError):
        first = dict(error.errors()[0])
    place = ".".join(str(part) for part in first.get("loc", ()) if part not in ("body", "query", "path"))
    says = str(first.get("msg", "it cannot be read"))[:SHOWN]
    return refusal(422, f"{place[:SHOWN] or 'the call'}: {says[:1].lower()}{says[1:]}")


def methods_at(request: Request) -> str:
    """Methods of all calls at a path, as the header that names them has it; empty where there is none."""
    found: set[str] = set()
    for path, calls in request.app.openapi()["paths"].items():
        pattern = re.sub(r"\\{\w+\\}", "[^/]+", re.escape(path))
        if re.fullmatch(pattern, request.url.path):
            found |= {method.upper() for method in calls}
    return ", ".join(sorted(found | {"HEAD"} if "GET" in found else found))


async def not_so(request: Request, error: Exception) -> JSONResponse:
    """Answer to a call that there is not."""
    status = error.status_code if isinstance(error, HTTPException) else 400
    allowed = methods_at(request)
    if status == 404 and allowed and request.method not in allowed.split(", "):
        status = 405  # the page's own files stand behind every path, and say only that they have none
    words = {404: "there is no such call", 405: "this call is not made that way"}
    detail = str(error.detail)[:SHOWN] if isinstance(error, HTTPException) else ""
    answer = refusal(status, words.get(status, detail or "this call cannot be read"))
    if isinstance(error, HTTPException) and error.headers:
        answer.headers.update(error.headers)
    if status == 405:
        answer.headers["allow"] = allowed
    return answer


async def fault(request: Request, error: Exception) -> JSONResponse:
    """Answer to a fault of ours: the traceback goes to the log, nothing of it to the page."""
    from gapwright.wiring import keep_fault

    keep_fault(error, ["bench", request.method, request.url.path[:SHOWN]])
    return refusal(500, FAULT)


def add_refusals(app: FastAPI) -> None:
    """Have an application answer every error in the one form."""
    app.add_exception_handler(GapwrightError, refused)
    app.add_exception_handler(RequestValidationError, unreadable)
    app.add_exception_handler(HTTPException, not_so)
    app.add_exception_handler(Exception, fault)
