"""Figures, reports and packed tables made in a process of their own.

What draws needs much memory for a short while, and sets its style for the whole
process it runs in; so it is started when something is to be drawn, and goes when
nothing was for some time.
"""

from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from threading import Lock, Timer
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
V = TypeVar("V")

IDLE = 60.0
"""Time without a drawing after which the process goes [s]."""


class Drawers:
    """One process that draws; it starts when it is needed."""

    def __init__(self, idle: float = IDLE) -> None:
        self._idle, self._lock = idle, Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._timer: Timer | None = None

    @property
    def is_there(self) -> bool:
        """Whether the process runs now."""
        return self._pool is not None

    def drawn(self, work: Callable[P, V], *args: P.args, **kwargs: P.kwargs) -> V:
        """What `work` gives, made over there; refusals come back as they are."""
        with self._lock:
            self._wait()
            pool = self._started()
            try:
                return pool.submit(work, *args, **kwargs).result()
            except BrokenProcessPool:
                # It was ended from outside: once more, with a new one.
                self._pool = None
                return self._started().submit(work, *args, **kwargs).result()

    def _started(self) -> ProcessPoolExecutor:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(max_workers=1, mp_context=get_context("spawn"))
        return self._pool

    def _wait(self) -> None:
        """Begin to count the idle time anew."""
        if self._timer is not None:
            self._timer.cancel()
        self._timer = Timer(self._idle, self.close)
        self._timer.daemon = True
        self._timer.start()

    def close(self) -> None:
        """Let the process go."""
        with self._lock:
            if self._timer is not None:
                self._timer.cancel()
            pool, self._pool, self._timer = self._pool, None, None
        if pool is not None:
            pool.shutdown(wait=False, cancel_futures=True)
