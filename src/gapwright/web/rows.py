"""Calls about holes in a row; a row is begun over the socket of long work."""

from fastapi import APIRouter
from pydantic import BaseModel
from starlette.responses import Response

from gapwright.app.hole_row import RowSight, row_sight, row_table
from gapwright.shell.row_desk import RowDesk
from gapwright.web.answers import Inches
from gapwright.web.documents import FigureForm, TableForm, described, file_answer, json_answer, table_answer
from gapwright.web.generator_calls import MarkName
from gapwright.web.refusals import RESPONSES


class DrilledRow(BaseModel):
    """Holes in a row and the name under which they are kept."""

    row: str
    sight: RowSight


def row_routes(own: RowDesk) -> APIRouter:
    """Calls about holes in a row."""
    router = APIRouter(prefix="/api/row", tags=["rows"], responses=RESPONSES)

    @router.get("/{row}", response_model=DrilledRow)
    def drilled(row: MarkName) -> Response:
        """A row as the page shows it."""
        return json_answer(DrilledRow(row=row, sight=row_sight(own.row(row))))

    @router.get("/{row}/figure.{form}", responses=described("svg", "png"), response_class=Response)
    def figure(row: MarkName, form: FigureForm, width: Inches = 8.6) -> Response:
        """Size of the holes against their number."""
        from gapwright.shell.figures.row import row_picture

        content = own.desk.drawers.drawn(row_picture, own.row(row), form=form, width=width)
        return file_answer(content, form, "row")

    @router.get("/{row}/table.{form}", responses=described("csv", "parquet"), response_class=Response)
    def table(row: MarkName, form: TableForm) -> Response:
        """A row as a table: a line for each hole that was followed."""
        return table_answer(own.desk.drawers, row_table(own.row(row)), form, "row")

    return router
