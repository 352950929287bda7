"""Runs the members of a forecast on the cores of this machine.

Threads do, because the kernels run without the interpreter's lock; they share
the compiled code and the charge map, and nothing has to be copied to them. The
order of the answers is that of the items, so the number of workers changes nothing.
"""

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from threading import Event
from typing import Any

from gapwright.base.progress import Progress


def cores() -> int:
    """Cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


class Workers:
    """A spread over threads that stops soon after an interruption."""

    def __init__(self, count: int | None = None) -> None:
        self.count = count or cores()
        self.stopping = Event()

    def __call__(self, function: Callable[[Any], Any], items: Sequence[Any]) -> list[Any]:
        """Answers of `function` for each of `items`, in order."""
        pool = ThreadPoolExecutor(max_workers=self.count, thread_name_prefix="member")
        try:
            futures = [pool.submit(function, item) for item in items]
            return [future.result() for future in futures]
        except BaseException:
            self.stopping.set()
            raise
        finally:
            pool.shutdown(wait=True, cancel_futures=True)

    def heard_by(self, progress: Progress) -> Progress:
        """Progress that also asks to stop once an interruption came."""

        def heard(done: int, total: int, what: str) -> bool:
            return progress(done, total, what) and not self.stopping.is_set()

        return heard
