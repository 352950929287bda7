"""Calls about words and tables of facts: every number with its source and status."""

from typing import Annotated

from fastapi import APIRouter, Path, Query
from pydantic import BaseModel
from starlette.responses import Response

from gapwright.app.answer_tables import facts_table
from gapwright.app.facts import Table, browse_facts
from gapwright.app.stages import Words, words
from gapwright.base.source import Source
from gapwright.facts.sources import sources
from gapwright.facts.tables import Row
from gapwright.shell.drawers import Drawers
from gapwright.web.documents import TableForm, described, table_answer
from gapwright.web.refusals import RESPONSES

TableName = Annotated[str, Path(pattern=r"^[a-z0-9_-]{1,60}$", description="Name of a table.")]


class Tables(BaseModel):
    """The tables there are."""

    tables: tuple[Table, ...]


class Rows(BaseModel):
    """The rows of a table and the works that they name."""

    table: str
    rows: tuple[Row, ...]
    sources: tuple[Source, ...]


def fact_routes(drawers: Drawers) -> APIRouter:
    """Calls about words and facts."""
    router = APIRouter(prefix="/api", tags=["facts"], responses=RESPONSES)

    @router.get("/words")
    def explained() -> Words:
        """What happens at each stage and why it matters, and what the words mean."""
        return words()

    @router.get("/facts")
    def tables() -> Tables:
        """The tables there are."""
        return Tables(tables=browse_facts().tables)

    @router.get("/facts/{table}.{form}", responses=described("csv", "parquet"), response_class=Response)
    def file(table: TableName, form: TableForm) -> Response:
        """A table as a file."""
        return table_answer(drawers, facts_table(browse_facts(table).rows), form, "facts")

    @router.get("/facts/{table}")
    def rows(table: TableName, name: Annotated[str | None, Query(max_length=80)] = None) -> Rows:
        """Rows of a table, each number with unit, source and status."""
        found = browse_facts(table, name)
        named = {row.source for row in found.rows}
        return Rows(
            table=table, rows=found.rows, sources=tuple(each for each in sources() if each.key in named)
        )

    return router
