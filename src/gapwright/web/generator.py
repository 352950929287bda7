"""Calls about generators: scenes, schematics, waveforms, sizings and sweeps."""

import asyncio
from threading import Event
from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.exceptions import HTTPException
from starlette.responses import Response

from gapwright.app.generator_tables import (
    candidates_table,
    findings_table,
    parts_table,
    sweep_table,
    traces_table,
)
from gapwright.app.generator_view import TracesDrawing, traces_drawing
from gapwright.app.size_form import FIELDS, wish_faults
from gapwright.app.sweep_form import axis_faults, sweep_drawing
from gapwright.base.progress import Stopped
from gapwright.shell.generator_desk import GeneratorDesk
from gapwright.study.generator.scenes import SceneName
from gapwright.study.sizing.sizing_wish import KINDS
from gapwright.web.answers import Inches, require_looks, stop_when_gone
from gapwright.web.calls import Chosen
from gapwright.web.crew import Crew
from gapwright.web.documents import FigureForm, TableForm, described, file_answer, json_answer, table_answer
from gapwright.web.generator_calls import (
    Faults,
    Generator,
    GeneratorCall,
    MarkName,
    SizeCall,
    Sized,
    SizeForm,
    SweepCall,
    Swept,
    TakeCall,
    TracesQuery,
)
from gapwright.web.refusals import RESPONSES

Asked = Annotated[TracesQuery, Query()]
FileForm = FigureForm | TableForm
Shows = Annotated[str, Query(max_length=20, description="watts, stress or peaks")]


def generator_routes(own: GeneratorDesk, crew: Crew) -> APIRouter:
    """Calls about generators."""
    router = APIRouter(prefix="/api", tags=["generators"], responses=RESPONSES)

    @router.post("/generator", response_model=Generator)
    async def generator(request: Request, call: GeneratorCall) -> Response:
        """Run the scenes of a rig's generator; going away stops the work."""
        require_looks(own.desk)
        text = own.desk.text("rig", call.rig.name, call.rig.changes)
        stop = Event()
        watch = asyncio.create_task(stop_when_gone(request, stop))
        try:
            answer = await crew.drill(
                lambda: own.look(text, call.rig.name, progress=lambda *_: not stop.is_set()), stop=stop
            )
        except Stopped:
            raise HTTPException(400, "the caller went away") from None
        finally:
            watch.cancel()
        return json_answer(Generator(generator=answer, view=own.view(answer)))

    @router.get("/generator/{generator}", response_model=Generator)
    def kept(generator: MarkName) -> Response:
        """A generator again, as its page shows it."""
        return json_answer(Generator(generator=generator, view=own.view(generator)))

    _add_waves(router, own)
    _add_schematics(router, own)
    _add_sizes(router, own)
    _add_sweeps(router, own)
    return router


def _add_waves(router: APIRouter, own: GeneratorDesk) -> None:
    """Waveforms of a scene, as numbers and as files."""
    at = "/generator/{generator}/scene/{scene}/traces"

    @router.get(at, response_model=TracesDrawing)
    def traces(generator: MarkName, scene: SceneName, asked: Asked) -> Response:
        """Least and greatest value of each slice; beyond what was recorded, have it run by a look first."""
        own.seen(generator)
        return json_answer(traces_drawing(own.traces(generator, asked.look(scene))))

    @router.get(
        f"{at}.{{form}}", responses=described("svg", "png", "csv", "parquet"), response_class=Response
    )
    def waves(
        generator: MarkName, scene: SceneName, form: FileForm, asked: Asked, width: Inches = 8.6
    ) -> Response:
        """The same as a figure or a table."""
        title = own.seen(generator).told.rig
        shown = own.traces(generator, asked.look(scene))
        name = f"{scene.value}-waveforms"
        drawers = own.desk.drawers
        if form == "csv" or form == "parquet":
            return table_answer(drawers, traces_table(shown), form, name)
        from gapwright.shell.figures.traces import traces_picture

        content = drawers.drawn(traces_picture, shown, form=form, width=width, title=title)
        return file_answer(content, form, name)


def _add_schematics(router: APIRouter, own: GeneratorDesk) -> None:
    """Schematics and tables of a generator."""

    @router.get(
        "/generator/{generator}/scene/{scene}/schematic.{form}",
        responses=described("svg", "png"),
        response_class=Response,
    )
    def schematic(
        generator: MarkName, scene: SceneName, form: FigureForm, shows: Shows = "watts"
    ) -> Response:
        """The circuit, drawn from its netlist, with watts, stress or peaks beside its parts."""
        text = own.schematic(generator, scene=scene.value, shows=shows)
        name = f"schematic-{scene.value}-{shows}"
        if form == "svg":
            return file_answer(text.encode(), form, name)
        from gapwright.shell.figures.rastered import svg_as_png

        return file_answer(own.desk.drawers.drawn(svg_as_png, text), form, name)

    @router.get(
        "/generator/{generator}/scene/{scene}/parts.{form}",
        responses=described("csv", "parquet"),
        response_class=Response,
    )
    def parts(generator: MarkName, scene: SceneName, form: TableForm) -> Response:
        """What each part carries in a scene."""
        columns = parts_table(own.view(generator), scene.value)
        return table_answer(own.desk.drawers, columns, form, f"parts-{scene.value}")

    @router.get(
        "/generator/{generator}/findings.{form}",
        responses=described("csv", "parquet"),
        response_class=Response,
    )
    def findings(generator: MarkName, form: TableForm) -> Response:
        """Every finding with its part, limit, margin and remedy."""
        return table_answer(own.desk.drawers, findings_table(own.view(generator)), form, "findings")


def _add_sizes(router: APIRouter, own: GeneratorDesk) -> None:
    """Sizings; they are begun over the socket."""

    @router.get("/form/size")
    def form() -> SizeForm:
        """The fields of a wish."""
        return SizeForm(fields=FIELDS, kinds=KINDS)

    @router.post("/form/size")
    def check(call: SizeCall) -> Faults:
        """Everything that is wrong with a wish, by field; nothing is sized."""
        text = own.desk.text("rig", call.rig.name, call.rig.changes)
        found = wish_faults(call.texts, tuple(call.kinds), like=call.rig.name, rig=text)
        return Faults(faults=found)

    @router.get("/size/{size}", response_model=Sized)
    def sized(size: MarkName) -> Response:
        """Candidates, the best first, as `gapwright size --json` prints them."""
        return json_answer(Sized(size=size, sizing=own.sizing(size)))

    @router.get(
        "/size/{size}/candidates.{form}", responses=described("csv", "parquet"), response_class=Response
    )
    def candidates(size: MarkName, form: TableForm) -> Response:
        """Candidates as a table."""
        return table_answer(own.desk.drawers, candidates_table(own.sizing(size)), form, "candidates")

    @router.post("/size/{size}/candidate/{rank}", status_code=201)
    def take(size: MarkName, rank: int, call: TakeCall) -> Chosen:
        """Write a candidate's rig file into the folder; 409 if there is a file of that name."""
        return Chosen(name=own.take(size, rank=rank, name=call.name).name)


def _add_sweeps(router: APIRouter, own: GeneratorDesk) -> None:
    """Sweeps; they are begun over the socket."""

    @router.post("/form/sweep")
    def check(call: SweepCall) -> Faults:
        """Everything that is wrong with a sweep, by field; nothing is run."""
        desk = own.desk
        rig = desk.text("rig", call.rig.name, call.rig.changes)
        job = desk.text("job", call.job.name, call.job.changes) if call.job else ""
        return Faults(faults=axis_faults(call.axis.form(), rig=rig, job=job))

    @router.get("/sweep/{sweep}", response_model=Swept)
    def swept(sweep: MarkName) -> Response:
        """A sweep as the page draws it."""
        found = own.swept(sweep)
        return json_answer(Swept(sweep=sweep, axes=found.axes, drawing=sweep_drawing(found)))

    @router.get("/sweep/{sweep}/figure.{form}", responses=described("svg", "png"), response_class=Response)
    def figure(sweep: MarkName, form: FigureForm) -> Response:
        """A sweep as small pictures side by side."""
        from gapwright.shell.figures.plots import sweep_bytes

        content = own.desk.drawers.drawn(sweep_bytes, f"sweep.{form}", own.swept(sweep))
        return file_answer(content, form, "sweep")

    @router.get("/sweep/{sweep}/table.{form}", responses=described("csv", "parquet"), response_class=Response)
    def table(sweep: MarkName, form: TableForm) -> Response:
        """A sweep as a table: a row for each point."""
        return table_answer(own.desk.drawers, sweep_table(own.swept(sweep)), form, "sweep")
