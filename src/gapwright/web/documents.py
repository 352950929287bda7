"""Answers as files: records as JSON, figures as SVG and PNG, tables as CSV and Parquet."""

from typing import Any, Literal

from pydantic import TypeAdapter
from starlette.responses import Response

from gapwright.app.ports import Columns
from gapwright.shell.drawers import Drawers
from gapwright.shell.tables import as_csv, as_parquet

FigureForm = Literal["svg", "png"]
TableForm = Literal["csv", "parquet"]

TYPES = {
    "svg": "image/svg+xml",
    "png": "image/png",
    "csv": "text/csv; charset=utf-8",
    "parquet": "application/vnd.apache.parquet",
    "plain": "text/plain; charset=utf-8",
    "html": "text/html; charset=utf-8",
}
"""Media types by form."""

QUIET = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox"
"""Policy of a document that is looked at by itself: it styles itself and runs nothing."""


ADAPTERS: dict[type[Any], TypeAdapter[Any]] = {}
"""Writers of records by type, made once."""


def adapter(record: type[Any]) -> TypeAdapter[Any]:
    """Writer of records of a type."""
    if record not in ADAPTERS:
        ADAPTERS[record] = TypeAdapter(record)
    return ADAPTERS[record]


def json_bytes(record: object) -> bytes:
    """A record as one JSON object; null where a number is infinite."""
    kind: type[Any] = type(record)
    return adapter(kind).dump_json(record)


def json_answer(record: object) -> Response:
    """A record as an answer, without another check of what we made ourselves."""
    return Response(json_bytes(record), media_type="application/json")


def file_answer(content: bytes, form: str, name: str) -> Response:
    """A file to keep."""
    headers = {
        "content-disposition": f'attachment; filename="{name}.{form}"',
        "content-security-policy": QUIET,
    }
    return Response(content, media_type=TYPES[form], headers=headers)


def described(*forms: str) -> dict[int | str, dict[str, Any]]:
    """What a call that gives files says of its answer."""
    content = {
        TYPES[form].partition(";")[0]: {"schema": {"type": "string", "format": "binary"}} for form in forms
    }
    return {200: {"description": "The file.", "content": content}}


def table_answer(drawers: Drawers, columns: Columns, form: TableForm, name: str) -> Response:
    """A table as a file."""
    content = as_csv(columns) if form == "csv" else drawers.drawn(as_parquet, columns)
    return file_answer(content, form, name)
