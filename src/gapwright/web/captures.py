"""Calls about captures: which there are, taking one in, what may be said of it, reading it, hooking up."""

import asyncio
from functools import partial
from threading import Event
from typing import Annotated, Protocol, TypeVar

from fastapi import APIRouter, Query, Request
from pydantic import BaseModel
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import Response

from gapwright.app.capture_bench import CaptureSight, capture_sight
from gapwright.app.capture_form import SaidForm, said_form
from gapwright.base.progress import Stopped
from gapwright.shell.capture_desk import ReadCall
from gapwright.shell.capture_made import take_simulated
from gapwright.shell.capture_place import NotSamples
from gapwright.shell.capture_words import keep_words, kept_words
from gapwright.shell.desk import Desk
from gapwright.shell.preparation import READING
from gapwright.study.captures.recording_setup import RecordingSetup
from gapwright.web.answers import require_looks, require_ready, require_warm
from gapwright.web.calls import Chosen
from gapwright.web.capture_calls import (
    CapturePath,
    KeepWordsCall,
    MadeCall,
    ReadingCall,
    ReadingName,
    SaidCall,
    SetupCall,
)
from gapwright.web.crew import Crew
from gapwright.web.documents import FigureForm, described, file_answer, json_answer
from gapwright.web.refusals import RESPONSES

V = TypeVar("V", covariant=True)
MADE = "made"
"""Name under which the progress of a capture is told that is being made."""


class CaptureListed(BaseModel):
    """A capture that can be named; `kept` where its samples lie mapped."""

    name: str
    bytes: int
    kept: bool
    described: bool


class Captures(BaseModel):
    """The captures there are; where they do not stay they go when the bench ends."""

    stays: bool
    captures: list[CaptureListed]


class Taken(BaseModel):
    """What became of a file that was sent: the name under which it was taken in, or null and why not."""

    name: str | None
    says: str


class KeptSaid(BaseModel):
    """What the side-car of a capture says, as texts by name; `etag` is empty where there is none."""

    said: dict[str, str]
    etag: str


class Farness(BaseModel):
    """How far a reading is; nothing is said where none is on its way."""

    says: str
    done: int
    total: int


class ReadAnswer(BaseModel):
    """A capture that was read, and the name under which it is kept for a while."""

    reading: str
    sight: CaptureSight


class SetupAnswer(BaseModel):
    """How to hook a recorder up to a rig, and the name under which its figure is found."""

    setup: str
    told: RecordingSetup


def capture_routes(desk: Desk, crew: Crew) -> APIRouter:
    """Calls about captures."""
    router = APIRouter(prefix="/api", tags=["captures"], responses=RESPONSES)

    @router.get("/captures")
    def captures() -> Captures:
        """The captures that can be named."""
        listed = [
            CaptureListed(name=each.name, bytes=each.bytes, kept=each.kept, described=each.described)
            for each in desk.captures.place.listed()
        ]
        return Captures(stays=desk.captures.place.stays, captures=listed)

    @router.post("/captures/said")
    def said(call: SaidCall) -> SaidForm:
        """All that may be said of a capture, with what was said, read back, and what is wrong with it."""
        return said_form(call.said)

    @router.get("/captures/{capture}/progress")
    def progress(capture: CapturePath) -> Farness:
        """How far the reading of a capture is that is on its way."""
        far = desk.captures.far(capture)
        return Farness(says=far.says, done=far.done, total=far.total)

    @router.post("/readings", response_model=ReadAnswer)
    async def read(request: Request, call: ReadingCall) -> Response:
        """Read a capture and wait for it; going away stops the work."""
        require_reading(desk)
        wanted = read_call(desk, call)
        found = await while_waited(request, crew, partial(desk.captures.read, wanted))
        return json_answer(ReadAnswer(reading=found.reading, sight=capture_sight(found.opened)))

    @router.get("/readings/{reading}", response_model=ReadAnswer)
    def again(reading: ReadingName) -> Response:
        """A capture that was read, again."""
        found = desk.captures.found(reading)
        return json_answer(ReadAnswer(reading=found.reading, sight=capture_sight(found.opened)))

    add_taking(router, desk)
    add_words(router, desk)
    add_made(router, desk, crew)
    add_setup(router, desk, crew)
    return router


def add_taking(router: APIRouter, desk: Desk) -> None:
    """The call that takes a file in."""

    @router.post(
        "/captures",
        openapi_extra={
            "requestBody": {
                "required": False,
                "content": {"application/octet-stream": {"schema": {"type": "string", "format": "binary"}}},
            }
        },
    )
    async def take(request: Request, name: Annotated[str, Query(max_length=200)] = "capture") -> Taken:
        """Take a file of samples in, under a free name near the one given; nothing is overwritten."""
        with desk.captures.place.incoming() as place:
            with place.open("wb") as stream:
                async for piece in request.stream():
                    await run_in_threadpool(stream.write, piece)
            try:
                taken, says = await run_in_threadpool(desk.captures.place.take, place, name)
            except NotSamples as fault:
                return Taken(name=None, says=str(fault))
        return Taken(name=taken, says=says)


def add_words(router: APIRouter, desk: Desk) -> None:
    """Calls about what is said of a capture and kept beside it."""

    @router.get("/captures/{capture}/said")
    def kept(capture: CapturePath) -> KeptSaid:
        """What the side-car of a capture says."""
        found = kept_words(desk.captures.place, capture)
        return KeptSaid(said=found.said, etag=found.etag)

    @router.put("/captures/{capture}/said")
    def keep(capture: CapturePath, call: KeepWordsCall) -> KeptSaid:
        """Keep what is said in the side-car of a capture; all that this does not touch stays as it stands."""
        found = keep_words(desk.captures.place, capture, call.said, etag=call.etag)
        return KeptSaid(said=found.said, etag=found.etag)


def add_made(router: APIRouter, desk: Desk, crew: Crew) -> None:
    """The call that records a simulated drilling."""

    @router.post("/captures/made", response_model=Taken)
    async def made(request: Request, call: MadeCall) -> Taken:
        """Record a stretch of the simulated drilling of a rig and a job; going away stops the work."""
        rig = call.rig.name, rig_text(desk, call.rig)
        job = call.job.name, desk.text("job", call.job.name, call.job.changes)
        require_warm(desk)
        place = desk.captures.place

        def work(*, stop: Event) -> str:
            try:
                return take_simulated(place, rig, job, progress=desk.captures.heard(MADE, stop))
            finally:
                desk.captures.has_ended(MADE)

        name = await while_waited(request, crew, work)
        return Taken(name=name, says="a capture of the simulated drilling")


def add_setup(router: APIRouter, desk: Desk, crew: Crew) -> None:
    """Calls about what to do before the first capture."""

    @router.post("/setup", response_model=SetupAnswer)
    async def setup(call: SetupCall) -> Response:
        """What `gapwright capture setup --json` prints."""
        require_looks(desk)
        text = rig_text(desk, call.rig)
        made = await crew.look(lambda: desk.captures.setup(text, call.rig.name))
        return json_answer(SetupAnswer(setup=made.name, told=made.told))

    @router.get("/setup/{setup}/earth.{form}", responses=described("svg", "png"), response_class=Response)
    def earth(setup: ReadingName, form: FigureForm) -> Response:
        """Where the earth clip of a recorder may go, and where it shorts the store."""
        from gapwright.shell.capture_drawn import capture_figure

        shown = desk.captures.setup_made(setup).shown
        return file_answer(
            desk.drawers.drawn(capture_figure, "earth", shown, form=form) or b"", form, "earth"
        )


def require_reading(desk: Desk) -> None:
    """Refuse to read while what reads captures is still being compiled."""
    require_ready(desk, ready=desk.preparation.state.is_past(READING))


def rig_text(desk: Desk, rig: Chosen) -> str:
    """Text of a rig with its changes."""
    return desk.text("rig", rig.name, rig.changes)


def read_call(desk: Desk, call: ReadingCall) -> ReadCall:
    """What a client asks, as the desk takes it; refuses what is not there before any work is begun."""
    for name in call.files:
        desk.captures.place.found(name)
    return ReadCall(
        names=tuple(dict.fromkeys(call.files)),
        said=call.said,
        rig=None if call.rig is None else rig_text(desk, call.rig),
        rig_name="" if call.rig is None else call.rig.name,
    )


class Waited(Protocol[V]):
    """Slow work that can be stopped."""

    def __call__(self, *, stop: Event) -> V:
        """Do it, until `stop` is set."""
        ...


async def while_waited(request: Request, crew: Crew, work: Waited[V]) -> V:
    """Do slow work as long as somebody waits for it."""
    stop = Event()

    async def watch() -> None:
        while not await request.is_disconnected():
            await asyncio.sleep(0.2)
        stop.set()

    watching = asyncio.create_task(watch())
    try:
        return await crew.drill(lambda: work(stop=stop), stop=stop)
    except Stopped:
        raise HTTPException(400, "the caller went away") from None
    finally:
        watching.cancel()
