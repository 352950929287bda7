"""Calls about a capture that was read: looking around in it, its sparks, curves, account and files."""

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, Query
from pydantic import BaseModel
from starlette.background import BackgroundTask
from starlette.responses import FileResponse, Response

from gapwright.app.capture_bench import (
    Beside,
    EnergySight,
    LedgerSight,
    beside_forecast,
    energy_sight,
    ledger_sight,
)
from gapwright.app.capture_claims import capture_claim
from gapwright.app.capture_form import said_parts
from gapwright.app.capture_pictures import class_rows, delay_curve, energies, examples, overview
from gapwright.app.capture_views import ClassTimeline, class_timeline
from gapwright.app.capture_window import (
    SparkSight,
    course_table,
    spark_at,
    spark_columns,
    spark_near,
    window_columns,
)
from gapwright.app.measured import with_supply
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.shell.capture_desk import Read
from gapwright.shell.desk import Desk
from gapwright.study.captures.meter_readings import MeterReadings
from gapwright.study.grounds.outcome import Forecast
from gapwright.web.calls import AnswerName
from gapwright.web.capture_calls import (
    PACKED,
    Classes,
    Columns,
    LedgerTexts,
    MeterTexts,
    ReadingName,
    Time,
    class_names,
    described_packed,
    packed,
)
from gapwright.web.crew import Crew
from gapwright.web.documents import (
    QUIET,
    TYPES,
    FigureForm,
    TableForm,
    described,
    file_answer,
    json_answer,
    table_answer,
)
from gapwright.web.refusals import RESPONSES

DRAWN_COLUMNS = 1600


class EnergyAnswered(BaseModel):
    """Energies of some classes; nothing where no energy is told."""

    energies: EnergySight | None


class BesideAnswer(BaseModel):
    """What was measured beside a forecast."""

    rows: tuple[Beside, ...]


class KeptAs(BaseModel):
    """Name under which a capture is kept now."""

    name: str


def reading_routes(desk: Desk, crew: Crew) -> APIRouter:
    """Calls about a capture that was read."""
    router = APIRouter(prefix="/api/readings/{reading}", tags=["captures"], responses=RESPONSES)

    @router.get("/window", responses=described_packed(), response_class=Response)
    async def window(reading: ReadingName, start_s: Time, stop_s: Time, columns: Columns = 1200) -> Response:
        """Least and greatest value in each column between two times; single samples where they fit."""
        read = desk.captures.found(reading)
        shown, single = await crew.look(
            lambda: window_columns(read.opened, span=(start_s, stop_s), columns=columns)
        )
        return Response(packed(shown, {"single": single}), media_type=PACKED)

    @router.get("/timeline", response_model=ClassTimeline)
    async def timeline(reading: ReadingName, start_s: Time, stop_s: Time, columns: Columns = 200) -> Response:
        """How much of each column between two times each class takes, and how many events begin there."""
        read = desk.captures.found(reading)
        return json_answer(
            await crew.look(lambda: class_timeline(read.opened, start=start_s, stop=stop_s, columns=columns))
        )

    @router.get("/sparks", responses=described_packed(), response_class=Response)
    async def sparks(reading: ReadingName, start_s: Time, stop_s: Time, classes: Classes = "") -> Response:
        """Events that begin between two times, evenly chosen where many, and how many of each class."""
        read, wanted = desk.captures.found(reading), class_names(classes)
        shown, counts = await crew.look(
            lambda: spark_columns(read.found, span=(start_s, stop_s), classes=wanted)
        )
        return Response(packed(shown, {"counts": counts}), media_type=PACKED)

    add_sparks(router, desk, crew)
    add_accounts(router, desk)
    add_files(router, desk)
    return router


def add_sparks(router: APIRouter, desk: Desk, crew: Crew) -> None:
    """Calls about single sparks, and about all of some classes."""

    @router.get("/near", response_model=SparkSight)
    def near(reading: ReadingName, time_s: Time, classes: Classes = "") -> Response:
        """The event that goes on at a time, or the nearest: its class, how sure that is, and why."""
        read = desk.captures.found(reading)
        return json_answer(spark_near(read.found, time_s, classes=class_names(classes)))

    @router.get("/spark/{row}", response_model=SparkSight)
    def spark(reading: ReadingName, row: int, classes: Classes = "") -> Response:
        """An event by its row, with the rows before and after it of these classes."""
        read = desk.captures.found(reading)
        return json_answer(spark_at(read.found, row, classes=class_names(classes)))

    @router.get("/energies", response_model=EnergyAnswered)
    def of_energies(reading: ReadingName, classes: Classes = "") -> Response:
        """How the energies of discharges of some classes are spread."""
        read = desk.captures.found(reading)
        return json_answer(EnergyAnswered(energies=energy_sight(read.found, class_names(classes))))

    @router.post("/keep", status_code=201)
    async def keep(reading: ReadingName) -> KeptAs:
        """Keep the capture mapped and quick to open, beside the others."""
        read = desk.captures.found(reading)
        return KeptAs(name=await crew.look(lambda: desk.captures.keep(read)))


def add_accounts(router: APIRouter, desk: Desk) -> None:
    """Calls that set a capture beside a forecast."""

    @router.get("/beside/{answer}", response_model=BesideAnswer)
    def beside(reading: ReadingName, answer: AnswerName) -> Response:
        """What was measured beside a forecast that is kept."""
        found = desk.captures.found(reading).found.answer
        return json_answer(BesideAnswer(rows=beside_forecast(found, desk.answer(answer).forecast)))

    @router.get("/ledger", response_model=LedgerSight)
    def ledger(reading: ReadingName, texts: Annotated[LedgerTexts, Query()]) -> Response:
        """Measured account with its uncertainties, as what `gapwright ledger --capture --json` prints."""
        read = desk.captures.found(reading)
        return json_answer(
            ledger_sight(read.found, _meters(desk, texts), forecast=_forecast(desk, texts.answer))
        )


def _meters(desk: Desk, texts: MeterTexts) -> MeterReadings:
    readings = MeterReadings(**said_parts(texts.model_dump(exclude={"answer", "supply"}))["meters"])
    return with_supply(readings, desk.captures.supplies.power(texts.supply)) if texts.supply else readings


def _forecast(desk: Desk, answer: str) -> Forecast | None:
    return desk.answer(answer).forecast if answer else None


Shown = Callable[[Read], tuple[Any, ...]]

FIGURES: dict[str, Shown] = {
    "overview": lambda read: (overview(read.found, columns=DRAWN_COLUMNS, pyramids=read.opened.pyramids),),
    "sparks": lambda read: (examples(read.found),),
    "delay": lambda read: (delay_curve(read.found),),
    "energy": lambda read: (energies(read.found),),
    "classes": lambda read: (class_rows(read.found), read.found.answer.duration_s),
}
"""What each figure of a capture shows."""


def add_files(router: APIRouter, desk: Desk) -> None:
    """Figures and tables."""

    @router.get("/figure/{figure}.{form}", responses=described("svg", "png"), response_class=Response)
    def drawn(
        reading: ReadingName,
        figure: str,
        form: FigureForm,
        meters: Annotated[MeterTexts, Query()],
    ) -> Response:
        """A figure: overview, sparks, delay, energy, classes or ledger."""
        from gapwright.shell.capture_drawn import capture_figure

        read = desk.captures.found(reading)
        if figure == "ledger":
            shown: tuple[Any, ...] = (
                ledger_sight(read.found, _meters(desk, meters), forecast=None).ledger.as_ledger(),
            )
        else:
            shown = _named(FIGURES, figure, "figure", ("ledger",))(read)
        content = desk.drawers.drawn(capture_figure, figure, shown, form=form)
        if content is None:
            raise InputRefused(f"the figure {figure} has nothing to show of this capture")
        return file_answer(content, form, figure)

    @router.get("/card/{claim}.{form}", responses=described("svg", "png"), response_class=Response)
    def card(reading: ReadingName, claim: str, form: FigureForm) -> Response:
        """A card of 16 to 9: good or energy."""
        from gapwright.shell.drawn import claim_picture

        made = capture_claim(desk.captures.found(reading).found, claim)
        return file_answer(desk.drawers.drawn(claim_picture, made, form=form), form, f"card-{claim}")

    @router.get("/table/{table}.{form}", responses=described("csv", "parquet"), response_class=Response)
    def table(
        reading: ReadingName,
        table: str,
        form: TableForm,
        meters: Annotated[MeterTexts, Query()],
    ) -> Response:
        """A table: sparks, course or ledger."""
        read = desk.captures.found(reading)
        if table == "sparks":
            return _sparks_file(read, form)
        tables: dict[str, Callable[[], Any]] = {
            "course": lambda: course_table(read.found),
            "ledger": lambda: ledger_table(read, _meters(desk, meters)),
        }
        columns = _named(tables, table, "table", ("sparks",))()
        return table_answer(desk.drawers, columns, form, table)


def ledger_table(read: Read, meters: MeterReadings) -> dict[str, list[Any]]:
    """Lines of the measured account."""
    lines = ledger_sight(read.found, meters, forecast=None).ledger.lines
    names = ("stage", "account", "role", "energy_j", "uncertainty_j", "power_w", "share", "came_from")
    return {
        name: [str(v) if name == "role" else v for v in (getattr(line, name) for line in lines)]
        for name in names
    }


def _named(among: dict[str, Any], name: str, what: str, more: tuple[str, ...]) -> Any:
    if name not in among:
        names = [*among, *more]
        raise InputRefused(f"a {what} must be one of {', '.join(names)}{close_names(name[:60], names)}")
    return among[name]


def _sparks_file(read: Read, form: TableForm) -> Response:
    """Every spark, from a file that goes when it was sent: there may be millions."""
    from gapwright.shell.captures.table import write_table

    folder = tempfile.TemporaryDirectory(prefix="gapwright-", ignore_cleanup_errors=True)
    place = Path(folder.name) / f"sparks.{form}"
    try:
        write_table(str(place), read.found.reading.sparks)
    except BaseException:
        folder.cleanup()
        raise
    return FileResponse(
        place,
        media_type=TYPES[form],
        filename=place.name,
        headers={"content-security-policy": QUIET},
        background=BackgroundTask(folder.cleanup),
    )
