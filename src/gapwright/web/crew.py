"""The threads behind the calls: quick ones for first looks, some for circuits, a few for drillings."""

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from threading import Event
from typing import TypeVar

V = TypeVar("V")

QUICK = 2
CIRCUITS = 2
"""Generators taken apart at a time; none ever waits for a drilling, or for a kernel that it compiles."""
SLOW = 2
"""Drillings at a time; each spreads its members over the cores."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """Threads by how long their work takes, so that a drilling never keeps a look waiting."""

    quick: ThreadPoolExecutor = field(
        default_factory=lambda: ThreadPoolExecutor(max_workers=QUICK, thread_name_prefix="look")
    )
    circuits: ThreadPoolExecutor = field(
        default_factory=lambda: ThreadPoolExecutor(max_workers=CIRCUITS, thread_name_prefix="circuit")
    )
    slow: ThreadPoolExecutor = field(
        default_factory=lambda: ThreadPoolExecutor(max_workers=SLOW, thread_name_prefix="drilling")
    )

    async def look(self, work: Callable[[], V]) -> V:
        """Do quick work off the event loop."""
        return await asyncio.get_running_loop().run_in_executor(self.quick, work)

    async def run_circuit(self, work: Callable[[], V], *, stop: Event) -> V:
        """Run a generator off the event loop; asks it to stop if nobody waits for it any more."""
        return await self._stoppable(self.circuits, work, stop)

    async def drill(self, work: Callable[[], V], *, stop: Event) -> V:
        """Do slow work off the event loop; asks it to stop if nobody waits for it any more."""
        return await self._stoppable(self.slow, work, stop)

    async def _stoppable(self, pool: ThreadPoolExecutor, work: Callable[[], V], stop: Event) -> V:
        if stop.is_set():
            raise asyncio.CancelledError
        try:
            return await asyncio.get_running_loop().run_in_executor(pool, work)
        except asyncio.CancelledError:
            stop.set()
            raise

    def close(self) -> None:
        """Let the threads go."""
        for pool in (self.quick, self.circuits, self.slow):
            pool.shutdown(wait=False, cancel_futures=True)
