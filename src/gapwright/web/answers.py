"""Calls that compute and wait, and the figures, tables and cards of an answer."""

import asyncio
from threading import Event
from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, Response

from gapwright.app.answer_tables import answer_table
from gapwright.app.bench import Sight, Texts, sight
from gapwright.app.circuit import circuit_of
from gapwright.app.drilling_drawing import DrillingDrawing, drilling_drawing
from gapwright.base.progress import Stopped
from gapwright.shell.desk import Desk, Sighted
from gapwright.study.generator.generator_alone import GeneratorAlone
from gapwright.study.grounds.outcome import Forecast
from gapwright.web.calls import AnswerName, CircuitCall, ForecastCall
from gapwright.web.crew import Crew
from gapwright.web.documents import (
    QUIET,
    FigureForm,
    TableForm,
    described,
    file_answer,
    json_answer,
    table_answer,
)
from gapwright.web.refusals import RESPONSES

Inches = Annotated[float, Query(ge=3.0, le=14.0, description="Width in inches.")]


class Forecasted(BaseModel):
    """A forecast and the name under which it is kept."""

    answer: str
    forecast: Forecast


class Kept(BaseModel):
    """A forecast that is kept, as the page shows it."""

    answer: str
    sight: Sight


def answer_routes(desk: Desk, crew: Crew) -> APIRouter:
    """Calls that compute."""
    router = APIRouter(prefix="/api", tags=["answers"], responses=RESPONSES)

    @router.post("/circuit")
    async def circuit(call: CircuitCall) -> GeneratorAlone:
        """What `gapwright circuit --json` prints."""
        require_looks(desk)
        text = desk.text("rig", call.rig.name, call.rig.changes)
        return await crew.look(lambda: circuit_of(call.rig.name, read=lambda _: text).told)

    @router.post("/forecast", response_model=Forecasted)
    async def forecast(request: Request, call: ForecastCall) -> Response:
        """What `gapwright forecast --json` prints; going away stops the work."""
        require_warm(desk)
        texts = Texts(
            rig=desk.text("rig", call.rig.name, call.rig.changes),
            job=desk.text("job", call.job.name, call.job.changes),
        )
        stop = Event()
        watch = asyncio.create_task(stop_when_gone(request, stop))
        try:
            last = await crew.drill(lambda: _last(desk, texts, call, stop), stop=stop)
        except Stopped:
            raise HTTPException(400, "the caller went away") from None
        finally:
            watch.cancel()
        return json_answer(Forecasted(answer=last.answer, forecast=last.sight.forecast))

    @router.get("/answer/{answer}", response_model=Kept)
    def kept(answer: AnswerName) -> Response:
        """An answer again, as the page shows it."""
        return json_answer(Kept(answer=answer, sight=sight(desk.found(answer))))

    @router.get("/answer/{answer}/drilling", response_model=DrillingDrawing)
    def drilling(answer: AnswerName) -> Response:
        """The drilling of an answer, spark by spark: frames with the last sparks, and the gap over time."""
        found = desk.found(answer)
        if found.recorded is None:
            raise HTTPException(404, "not drilled spark by spark yet: ask for a later answer")
        return json_answer(drilling_drawing(found.recorded, found.forecast, found.pictures))

    add_files(router, desk)
    return router


def add_files(router: APIRouter, desk: Desk) -> None:
    """Files of an answer."""

    @router.get(
        "/answer/{answer}/figure/{figure}.{form}", responses=described("svg", "png"), response_class=Response
    )
    def figure(answer: AnswerName, figure: str, form: FigureForm, width: Inches = 8.6) -> Response:
        """A figure: flow, flow-down, depth, section, course, sparks or energies."""
        from gapwright.shell.drawn import answer_figure

        content = desk.drawers.drawn(answer_figure, desk.answer(answer), figure, form=form, width=width)
        return file_answer(content, form, figure)

    @router.get(
        "/answer/{answer}/table/{table}.{form}",
        responses=described("csv", "parquet"),
        response_class=Response,
    )
    def table(answer: AnswerName, table: str, form: TableForm) -> Response:
        """A table: measures, ledger, classes, readings, cautions, depth, course, waveforms or energies."""
        return table_answer(desk.drawers, answer_table(desk.answer(answer), table), form, table)

    @router.get(
        "/answer/{answer}/card/{claim}.{form}", responses=described("svg", "png"), response_class=Response
    )
    def card(answer: AnswerName, claim: str, form: FigureForm) -> Response:
        """A card of 16 to 9: time, entry, exit, wear, roughness or energy."""
        from gapwright.shell.drawn import answer_card

        content = desk.drawers.drawn(answer_card, desk.answer(answer), claim, form=form)
        return file_answer(content, form, f"card-{claim}")

    @router.get("/answer/{answer}/report.html", responses=described("html"), response_class=Response)
    def report(answer: AnswerName) -> Response:
        """The report, one page that stands by itself."""
        from gapwright.shell.drawn import answer_report

        text = desk.drawers.drawn(answer_report, desk.answer(answer))
        return HTMLResponse(text, headers={"content-security-policy": QUIET})


def require_looks(desk: Desk) -> None:
    """Refuse to run a generator while the kernels of circuits are still being compiled."""
    require_ready(desk, ready=desk.preparation.state.looks)


def require_warm(desk: Desk) -> None:
    """Refuse to drill while any kernel is still being compiled."""
    require_ready(desk, ready=desk.preparation.state.warm)


def require_ready(desk: Desk, *, ready: bool) -> None:
    """Refuse what is not ready yet, saying what it waits for."""
    if not ready:
        said = f"not ready yet: {desk.preparation.state.says}"
        raise HTTPException(503, said, headers={"retry-after": "5"})


def _last(desk: Desk, texts: Texts, call: ForecastCall, stop: Event) -> Sighted:
    """The last of the forecasts that unfold."""

    def heard(done: int, total: int, what: str) -> bool:  # noqa: ARG001 - the shape of Progress
        return not stop.is_set()

    *_, last = desk.unfold(texts, members=call.members, seed=call.seed, progress=heard)
    return last


async def stop_when_gone(request: Request, stop: Event) -> None:
    """Ask the work to stop once nobody waits for its answer."""
    while not await request.is_disconnected():
        await asyncio.sleep(0.2)
    stop.set()
