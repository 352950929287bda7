"""The socket of long work: begun, heard of, stopped; closing it stops all that only it wanted."""

import asyncio
import json
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from threading import Event
from time import perf_counter

from pydantic import ValidationError
from starlette.websockets import WebSocket, WebSocketDisconnect

from gapwright.app.bench import Texts, WrongFile
from gapwright.app.hole_row import require_row
from gapwright.app.size_form import field_at_fault, wish_from
from gapwright.app.sweep_form import axis_faults
from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import Progress
from gapwright.shell.generator_desk import GeneratorDesk, SweepAsk
from gapwright.shell.preparation import Prepared
from gapwright.shell.row_desk import RowAsk, RowDesk
from gapwright.web.crew import Crew
from gapwright.web.documents import json_bytes
from gapwright.web.generator_calls import (
    GeneratorCall,
    LookCall,
    RowCall,
    SizeCall,
    StopWork,
    SweepCall,
    Work,
    WorkDone,
    WorkFault,
    WorkProgress,
    WorkRefused,
)
from gapwright.web.refusals import FAULT
from gapwright.web.replies import PAUSE

AT_ONCE = 8
"""Pieces of work that one socket may have going."""


class FieldRefused(GapwrightError):
    """A field of a form breaks a rule."""

    def __init__(self, says: str, field: str) -> None:
        super().__init__(says)
        self.field = field


@dataclass(frozen=True, slots=True, kw_only=True)
class Workplace:
    """Where pieces of work are done."""

    generators: GeneratorDesk
    rows: RowDesk


class WorkSession:
    """One socket: pieces of work by number."""

    def __init__(self, socket: WebSocket, own: Workplace, crew: Crew) -> None:
        self.socket, self.own, self.crew = socket, own, crew
        self.out: asyncio.Queue[bytes] = asyncio.Queue()
        self.going: dict[int, tuple[Event, asyncio.Task[None]]] = {}

    async def run(self) -> None:
        """Serve the socket until it closes."""
        await self.socket.accept()
        sending = asyncio.create_task(self._send())
        try:
            while True:
                self._hear(await self.socket.receive_text())
        except (WebSocketDisconnect, KeyError):
            # Closed, or bytes where text is spoken.
            pass
        finally:
            for stop, _ in self.going.values():
                stop.set()
            sending.cancel()
            with suppress(asyncio.CancelledError, WebSocketDisconnect, RuntimeError):
                await sending

    async def _send(self) -> None:
        while True:
            await self.socket.send_text((await self.out.get()).decode())

    def post(self, record: object) -> None:
        """Have a message sent."""
        self.out.put_nowait(json_bytes(record))

    def _hear(self, text: str) -> None:
        """Take a piece of work or a stop."""
        said: object = None
        try:
            said = json.loads(text)
            if isinstance(said, dict) and "stop" in said:
                stopped = self.going.get(StopWork.model_validate(said).stop)
                if stopped is not None:
                    stopped[0].set()
                return
            work = Work.model_validate(said)
        except (ValueError, RecursionError) as fault:
            self.post(_refused(_number(said), _unreadable(fault)))
            return
        if work.work in self.going or len(self.going) >= AT_ONCE:
            self.post(_refused(work.work, f"at most {AT_ONCE} pieces of work go on at once; stop one first"))
            return
        stop = Event()
        self.going[work.work] = (stop, asyncio.create_task(self._do(work, stop)))

    async def _do(self, work: Work, stop: Event) -> None:
        """Do a piece of work, and tell how it ended."""
        loop = asyncio.get_running_loop()

        def post(record: object) -> None:
            loop.call_soon_threadsafe(self.out.put_nowait, json_bytes(record))

        try:
            while not _is_ready(work, state := self.own.generators.desk.preparation.state):
                if stop.is_set() or state.failed:
                    raise GapwrightError(state.failed or "stopped as asked")
                self.post(WorkProgress(work=work.work, says=state.says, done=state.done, total=state.total))
                await asyncio.sleep(0.5)
            doing = partial(done, self.own, work, Told(work.work, post, stop))
            hands = self.crew.run_circuit if _is_circuit(work) else self.crew.drill
            answer = await hands(doing, stop=stop)
            self.post(WorkDone(work=work.work, answer=answer))
        except GapwrightError as error:
            path = (error.path or None) if isinstance(error, WrongFile) else None
            says, field = str(error), error.field if isinstance(error, FieldRefused) else ""
            self.post(
                _refused(
                    work.work, says, field=field or field_at_fault(says), path=path, stopped=stop.is_set()
                )
            )
        except Exception as error:  # noqa: BLE001 - whatever it is, the page must be told
            from gapwright.wiring import keep_fault

            keep_fault(error, ["bench", "work"])
            self.post(WorkFault(work=work.work, refused=FAULT))
        finally:
            self.going.pop(work.work, None)


def _is_ready(work: Work, state: Prepared) -> bool:
    """Whether the kernels that a piece of work needs are compiled: drillings need all of them."""
    drills = work.row is not None or (work.sweep is not None and work.sweep.job is not None)
    return state.warm if drills else state.looks


def _is_circuit(work: Work) -> bool:
    """Whether a piece of work is one generator's own, which nobody's drilling should keep waiting."""
    return work.generator is not None or work.look is not None


def done(own: Workplace, work: Work, heard: Progress) -> str:
    """Do a piece of work in a thread; returns the name of its answer.

    Raises
    ------
    GapwrightError
        If it is refused or stopped.
    """
    asked = [
        part for part in (work.generator, work.look, work.size, work.sweep, work.row) if part is not None
    ]
    if len(asked) != 1:
        raise GapwrightError(f"a piece of work must ask for exactly one thing, got {len(asked)}")
    generators = own.generators
    match asked[0]:
        case GeneratorCall(rig=rig):
            return generators.look(
                generators.desk.text("rig", rig.name, rig.changes), rig.name, progress=heard
            )
        case LookCall() as look:
            generators.run_far(look.generator, look.look(look.scene), progress=heard)
            return look.generator
        case SizeCall() as size:
            return _size(generators, size, heard)
        case SweepCall() as sweep:
            return _sweep(generators, sweep, heard)
        case RowCall() as row:
            return _row(own.rows, row, heard)


def _row(own: RowDesk, call: RowCall, heard: Progress) -> str:
    desk = own.desk
    texts = Texts(
        rig=desk.text("rig", call.rig.name, call.rig.changes),
        job=desk.text("job", call.job.name, call.job.changes),
    )
    try:
        require_row(call.holes)
    except InputRefused as fault:
        raise FieldRefused(str(fault), "holes") from None
    ask = RowAsk(texts=texts, holes=call.holes, members=call.members, seed=call.seed)
    return own.drill(ask, progress=heard)


def _size(own: GeneratorDesk, call: SizeCall, heard: Progress) -> str:
    text = own.desk.text("rig", call.rig.name, call.rig.changes)
    wanted = wish_from(call.texts, tuple(call.kinds), like=call.rig.name, rig=text)
    return own.size(wanted, progress=heard)


def _sweep(own: GeneratorDesk, call: SweepCall, heard: Progress) -> str:
    desk, axis = own.desk, call.axis.form()
    rig = desk.text("rig", call.rig.name, call.rig.changes)
    job = desk.text("job", call.job.name, call.job.changes) if call.job else ""
    faults = axis_faults(axis, rig=rig, job=job)
    if faults:
        raise FieldRefused(faults[0].says, faults[0].field)
    ask = SweepAsk(rig=rig, job=job, axis=axis, members=call.members, seed=call.seed)
    return own.sweep(ask, progress=heard)


class Told:
    """Progress of a piece of work: a few words a second, and no further once it is stopped."""

    def __init__(self, work: int, post: Callable[[object], None], stop: Event) -> None:
        self._work, self._post, self._stop = work, post, stop
        self._last = 0.0

    def __call__(self, done: int, total: int, what: str) -> bool:
        """Pass on how far it is; False once it should stop."""
        now = perf_counter()
        if now - self._last >= PAUSE and not self._stop.is_set():
            self._last = now
            self._post(WorkProgress(work=self._work, says=what, done=done, total=max(total, 1)))
        return not self._stop.is_set()


def _refused(
    work: int, says: str, *, field: str = "", path: str | None = None, stopped: bool = False
) -> WorkRefused:
    return WorkRefused(work=work, refused=says, field=field, path=path, stopped=stopped)


def _number(said: object) -> int:
    """Number of a piece of work that cannot be read, -1 where not even that can."""
    number = said.get("work") if isinstance(said, dict) else None
    return number if isinstance(number, int) and not isinstance(number, bool) else -1


def _unreadable(fault: ValueError | RecursionError) -> str:
    """What is said of work that cannot be read."""
    says = "a piece of work must be one JSON object as docs/bench.md has it"
    if isinstance(fault, ValidationError):
        first = fault.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        says = f"{place[:160] or 'the work'}: {first['msg'][:160]}"
    return says


async def work_socket(socket: WebSocket, own: Workplace, crew: Crew) -> None:
    """Serve one socket of long work."""
    await WorkSession(socket, own, crew).run()
