"""Crews that work out the points of a sweep: processes of this machine, or a scheduler on the network.

The answers do not depend on the crew: a task is a pure function of its own
content. Processes do it, not threads, because making the tables of a circuit
holds the interpreter's lock.
"""

import multiprocessing
import os
import re
import signal
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from typing import Any

from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.shell.workers import cores

ADDRESS = re.compile(r"(tcp|tls|ws|wss|ucx)://(\S+|\[[0-9a-fA-F:.]+\]):\d{1,5}/?")
"""How the address of a scheduler is written."""
Done = Callable[[int, Any], bool]
AHEAD = 2
"""Items that wait for each worker, so that none is idle and few are lost when stopped."""
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
HEARD: dict[str, Any] = {}
"""In a worker: the wish to stop, shared with the process that started it."""


def _settle_in(stop: Any) -> None:
    """Prepare a worker: Ctrl-C is the business of the process that started it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    HEARD["stop"] = stop


def _goes_on(done: int, total: int, what: str) -> bool:  # noqa: ARG001 - the shape of Progress
    return not HEARD["stop"].is_set()


def _worked(function: Callable[..., Any], item: Any) -> Any:
    return function(item, _goes_on)


class Processes:
    """Processes of this machine, started when there is something to do."""

    def __init__(self, count: int | None = None) -> None:
        """As many as there are cores, if not told otherwise."""
        self.count = count or cores()

    def __call__(self, function: Callable[..., Any], items: Sequence[Any], done: Done) -> bool:
        """Run `function` over `items`; each answer is told here as it comes.

        Raises
        ------
        GapwrightError
            If a worker dies, as when memory runs out.
        """
        context = multiprocessing.get_context("spawn")
        stop = context.Event()
        before = {name: os.environ.get(name) for name in THREADS}
        os.environ.update(dict.fromkeys(THREADS, "1"))
        pool = ProcessPoolExecutor(
            max_workers=min(self.count, len(items)),
            mp_context=context,
            initializer=_settle_in,
            initargs=(stop,),
        )
        try:
            return self._through(pool, function, items, done)
        except BrokenProcessPool:
            raise GapwrightError(
                "a worker process died, perhaps for lack of memory; what is finished is kept, "
                "so run it again with fewer workers"
            ) from None
        finally:
            stop.set()
            pool.shutdown(wait=True, cancel_futures=True)
            _restore(before)

    def _through(
        self, pool: ProcessPoolExecutor, function: Callable[..., Any], items: Sequence[Any], done: Done
    ) -> bool:
        """Keep few items ahead of the workers, tell each answer, stop when asked to."""
        waiting: dict[Future[Any], int] = {}
        coming = iter(enumerate(items))
        while True:
            for index, item in coming:
                waiting[pool.submit(_worked, function, item)] = index
                if len(waiting) >= AHEAD * self.count:
                    break
            if not waiting:
                return True
            ready, _ = wait(waiting, return_when=FIRST_COMPLETED)
            for future in sorted(ready, key=lambda each: waiting[each]):
                if not done(waiting.pop(future), future.result()):
                    return False


def _restore(before: dict[str, str | None]) -> None:
    for name, value in before.items():
        if value is None:
            os.environ.pop(name, None)
        else:
            os.environ[name] = value


def _plainly(function: Callable[..., Any], items: list[Any]) -> list[Any]:
    return [function(item) for item in items]


class Cluster:
    """An existing scheduler of Dask, reached by its address; needs the extra `cluster`."""

    PATIENCE = 10.0
    """Time that a scheduler may take to answer [s]."""
    BATCH = 4
    """Items sent together, so that the way there costs little beside the work."""

    def __init__(self, address: str) -> None:
        """Address such as ``tcp://192.0.2.7:8786``."""
        self.address = address

    def __call__(self, function: Callable[..., Any], items: Sequence[Any], done: Done) -> bool:
        """Run `function` over `items` on the scheduler's workers, which must have this very version.

        Raises
        ------
        InputRefused
            If the extra is not installed, or no scheduler answers at the address.
        """
        try:
            from distributed import Client, as_completed
        except ImportError:
            raise InputRefused(
                "--cluster must have the extra `cluster`, which is not installed; "
                "run: pip install 'gapwright[cluster]'"
            ) from None
        if not ADDRESS.fullmatch(self.address):
            raise InputRefused(
                "--cluster must be an address such as tcp://192.0.2.7:8786, "
                f"got {self.address!r}; the scheduler prints its own when it starts"
            )
        try:
            client = Client(self.address, timeout=self.PATIENCE, set_as_default=False)
        except (OSError, TimeoutError, ValueError) as fault:
            raise InputRefused(
                f"--cluster must be the address of a running scheduler, got {self.address!r}: {fault}; "
                "start one, or leave the option out to use this machine"
            ) from None
        with client:
            starts = range(0, len(items), self.BATCH)
            futures = {
                client.submit(_plainly, function, list(items[start : start + self.BATCH]), pure=False): start
                for start in starts
            }
            try:
                for future in as_completed(list(futures), loop=client.loop):
                    for offset, answer in enumerate(future.result()):
                        if not done(futures[future] + offset, answer):
                            return False
            finally:
                client.cancel(list(futures))
        return True


def crew(*, workers: int | None, cluster: str | None) -> Processes | Cluster:
    """Crew that the options ask for.

    Raises
    ------
    InputRefused
        If both are given, or the number of workers is below 1.
    """
    if workers is not None and workers < 1:
        raise InputRefused(f"--workers must be at least 1, got {workers}")
    if cluster is None:
        return Processes(workers)
    if workers is not None:
        raise InputRefused("--workers must not stand beside --cluster: the scheduler has its own")
    return Cluster(cluster)
