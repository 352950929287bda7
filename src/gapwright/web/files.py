"""Calls about the folder: its files, their sheets, saving, and what is dropped on the page."""

import tempfile
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, PlainTextResponse, Response

from gapwright import __version__
from gapwright.app.documents import file_schema
from gapwright.app.sheet import Sheet
from gapwright.base.errors import InputRefused
from gapwright.rig.reading import Kind
from gapwright.shell.desk import Desk
from gapwright.shell.drops import Dropped
from gapwright.shell.folder import Stale
from gapwright.shell.preparation import Prepared
from gapwright.web.calls import Chosen, Create, FileName, Save
from gapwright.web.documents import described
from gapwright.web.refusals import RESPONSES


class About(BaseModel):
    """What this bench is."""

    version: str
    folder: str
    saves: bool
    prepared: Prepared


class Listed(BaseModel):
    """A file of the folder; `refused` says why it cannot be used."""

    kind: Kind
    name: str
    title: str
    refused: str | None
    dropped: bool


class Folder(BaseModel):
    """The folder and its files."""

    name: str
    saves: bool
    files: list[Listed]


class Conflict(BaseModel):
    """A file that is not the one that was edited, as it is now."""

    refused: str
    path: str | None
    sheet: Sheet


def file_routes(desk: Desk) -> APIRouter:
    """Calls about files."""
    router = APIRouter(prefix="/api", tags=["files"], responses=RESPONSES)

    @router.get("/about")
    def about() -> About:
        """What this bench is, and whether it is ready to compute."""
        return About(
            version=__version__,
            folder=desk.folder.name,
            saves=desk.folder.saves,
            prepared=desk.preparation.state,
        )

    @router.get("/folder")
    def folder() -> Folder:
        """The files that can be named."""
        listed = [_listed(desk, kind, name) for kind, name in desk.folder.listed()]
        return Folder(name=desk.folder.name, saves=desk.folder.saves, files=listed)

    @router.get("/schema/{kind}")
    def schema(kind: Kind) -> dict[str, Any]:
        """JSON Schema of a rig or job file."""
        return file_schema(kind)

    @router.get("/file/{kind}/{name}")
    def file(kind: Kind, name: FileName) -> Sheet:
        """A file laid out: every value with its text, number, unit, status, range and fault."""
        return desk.sheet(kind, name, {})

    @router.get("/file/{kind}/{name}/text", responses=described("plain"), response_class=Response)
    def text(kind: Kind, name: FileName) -> Response:
        """The file itself."""
        headers = {"content-disposition": f'attachment; filename="{name}.{kind}.toml"'}
        return PlainTextResponse(desk.text(kind, name, {}), headers=headers)

    @router.post("/check/{kind}")
    def check(kind: Kind, call: Chosen) -> Sheet:
        """The file laid out with changes; nothing is saved."""
        return desk.sheet(kind, call.name, call.changes)

    add_saving(router, desk)
    return router


def add_saving(router: APIRouter, desk: Desk) -> None:
    """Calls that write."""

    @router.put(
        "/file/{kind}/{name}",
        response_model=Sheet,
        responses={409: {"model": Conflict, "description": "Changed elsewhere."}},
    )
    def save(kind: Kind, name: FileName, call: Save) -> Sheet | JSONResponse:
        """Save changes; every character that they do not touch stays as it was."""
        try:
            return desk.save(kind, name, call.changes, etag=call.etag)
        except Stale as stale:
            now = Conflict(refused=str(stale), path=None, sheet=desk.sheet(kind, name, {}))
            return JSONResponse(now.model_dump(mode="json"), status_code=409)

    @router.post("/file/{kind}/{name}", status_code=201)
    def create(kind: Kind, name: FileName, call: Create) -> Sheet:
        """Save a copy of a file, with changes, under a new name."""
        return desk.create(kind, name, source=call.source, changes=call.changes)

    @router.post(
        "/drop",
        openapi_extra={
            "requestBody": {
                "required": False,
                "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
            }
        },
    )
    async def drop(request: Request, name: Annotated[str, Query(max_length=200)] = "dropped") -> Dropped:
        """Say what a file is; a rig or a job joins the folder until the bench ends."""
        with tempfile.TemporaryDirectory(prefix="gapwright-") as folder:
            place = Path(folder) / "dropped"
            with place.open("wb") as stream:
                async for piece in request.stream():
                    stream.write(piece)
            return await run_in_threadpool(desk.drop, name, place)


def _listed(desk: Desk, kind: Kind, name: str) -> Listed:
    try:
        laid = desk.sheet(kind, name, {})
    except InputRefused as fault:
        return Listed(kind=kind, name=name, title=name, refused=str(fault), dropped=False)
    return Listed(kind=kind, name=name, title=laid.title, refused=laid.refused, dropped=laid.dropped)
