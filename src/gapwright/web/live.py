"""The live socket: redrawn while one types. Only the latest ask counts, an older one is dropped."""

import asyncio
import json
from contextlib import suppress
from dataclasses import asdict
from functools import partial
from threading import Event
from typing import Literal

from pydantic import ValidationError
from starlette.websockets import WebSocket, WebSocketDisconnect

from gapwright.shell.desk import Desk
from gapwright.web.calls import Ask, Stop
from gapwright.web.crew import Crew
from gapwright.web.documents import json_bytes
from gapwright.web.messages import LivePreparing, LiveProgress, LiveRefused
from gapwright.web.replies import Replies, told_of

SETTLE = 0.3
"""Time without another ask after which a drilling is begun [s]."""
TELL = 1.0
"""Time between two words on the preparation [s]."""


class Session:
    """One socket: hears asks, answers the latest, and lets all work go when it closes."""

    def __init__(self, socket: WebSocket, desk: Desk, crew: Crew) -> None:
        self.socket, self.desk, self.crew = socket, desk, crew
        self.replies = Replies(desk)
        self.out: asyncio.Queue[tuple[int, bytes]] = asyncio.Queue()
        self.latest = -1
        self.stop = Event()
        self.work: asyncio.Task[None] | None = None

    async def run(self) -> None:
        """Serve the socket until it closes."""
        await self.socket.accept()
        beside = [asyncio.create_task(self._send()), asyncio.create_task(self._tell())]
        try:
            while True:
                self._hear(await self.socket.receive_text())
        except (WebSocketDisconnect, KeyError):
            # Closed, or bytes where text is spoken.
            pass
        finally:
            self._drop()
            for task in beside:
                task.cancel()
            with suppress(asyncio.CancelledError, WebSocketDisconnect, RuntimeError):
                await asyncio.gather(*beside)

    async def _send(self) -> None:
        """Send what is still wanted, in order."""
        while True:
            ask, message = await self.out.get()
            if ask in (self.latest, -1):
                await self.socket.send_text(message.decode())

    def post(self, ask: int, record: object) -> None:
        """Have a message sent, unless a newer ask comes first; -1 is for every time."""
        self.out.put_nowait((ask, json_bytes(record)))

    async def _tell(self) -> None:
        """Say how far the preparation is until it is done."""
        while True:
            state = self.desk.preparation.state
            self.post(-1, LivePreparing(**asdict(state)))
            if state.warm or state.failed:
                return
            await asyncio.sleep(TELL)

    def _hear(self, text: str) -> None:
        """Take an ask or a stop."""
        try:
            said = json.loads(text)
            if isinstance(said, dict) and "stop" in said:
                if Stop.model_validate(said).stop == self.latest:
                    self.stop.set()
                return
            ask = Ask.model_validate(said)
        except (ValueError, RecursionError) as fault:
            self.post(-1, _unreadable(fault))
            return
        self._drop()
        self.latest, self.stop = ask.ask, Event()
        self.work = asyncio.create_task(self._answer(ask, self.stop))

    def _drop(self) -> None:
        """Let the work on the ask before go."""
        self.stop.set()
        if self.work is not None:
            self.work.cancel()

    async def _answer(self, ask: Ask, stop: Event) -> None:
        """Answer an ask: first looks at once, then, if no other ask comes, forecasts."""
        try:
            if not await self._is_ready("looks"):
                return
            await self._looks(ask)
            if ask.members:
                await asyncio.sleep(SETTLE)
                if await self._is_ready("warm"):
                    await self._forecasts(ask, stop)
        except asyncio.CancelledError:
            raise
        except Exception as error:  # noqa: BLE001 - whatever it is, the page must be told
            self.post(ask.ask, told_of(error, ask.ask, "edited"))

    async def _is_ready(self, which: Literal["looks", "warm"]) -> bool:
        """Wait for the kernels of first looks, or of all; False where they cannot be had."""
        while not getattr(self.desk.preparation.state, which):
            if self.desk.preparation.state.failed:
                return False
            await asyncio.sleep(0.1)
        return True

    async def _looks(self, ask: Ask) -> None:
        """First looks at what is edited and at all it is compared with."""
        self.post(ask.ask, await self.crew.look(lambda: self.replies.look(ask, "edited")))
        others = self.replies.others(ask)
        for of in others:
            self.post(ask.ask, await self.crew.look(partial(self._tried, ask, of)))
        if others:
            self.post(ask.ask, await self.crew.look(lambda: self.replies.look_differences(ask)))

    def _tried(self, ask: Ask, of: str) -> object:
        """First look at one to compare with; a rig that cannot be used keeps nobody from the others."""
        try:
            return self.replies.look(ask, of)
        except Exception as error:  # noqa: BLE001 - told to the page
            return told_of(error, ask.ask, of)

    async def _forecasts(self, ask: Ask, stop: Event) -> None:
        """Forecasts of what is edited, then of all it is compared with."""
        loop = asyncio.get_running_loop()

        def post(record: object) -> None:
            message = json_bytes(record)
            loop.call_soon_threadsafe(self.out.put_nowait, (ask.ask, message))

        says = "done"
        for of in ("edited", *self.replies.others(ask)):
            if not stop.is_set():
                await self.crew.drill(
                    partial(self.replies.forecasts, ask, of, post=post, stop=stop), stop=stop
                )
        if stop.is_set():
            says = "stopped as asked"
        self.post(ask.ask, LiveProgress(ask=ask.ask, of="edited", says=says, done=1, total=1))


def _unreadable(fault: ValueError | RecursionError) -> LiveRefused:
    """What is said of an ask that cannot be read."""
    says = "an ask must be one JSON object as docs/bench.md has it"
    if isinstance(fault, ValidationError):
        first = fault.errors(include_url=False)[0]
        place = ".".join(str(part) for part in first["loc"])[:80]
        says = f"{says}; {place}: {first['msg'][:120]}"
    return LiveRefused(ask=-1, of="edited", refused=says, path=None, kind=None)


async def live(socket: WebSocket, desk: Desk, crew: Crew) -> None:
    """Serve one socket."""
    await Session(socket, desk, crew).run()
