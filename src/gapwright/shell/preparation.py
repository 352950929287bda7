"""Compiled kernels made ready in a process of their own, so that a page is up at once and stays lean.

The child compiles into the cache and says how far it is, a line for each step;
the parent only loads what is there. A stamp beside the cache tells that all is
done, so that the next start needs no child.
"""

import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Event, Thread

from gapwright.base.compiled import cache_folder

STAMP = "prepared"
CHILD = (sys.executable, "-m", "gapwright.shell.preparing")
"""How the child is started."""

READING = "the reading of captures"
STEPS = (
    "the circuit of a generator",
    "the map of a generator with a coil",
    READING,
    "the drilling of a hole, the longest step",
    "the drilling by contact",
)
"""What is prepared, in order."""
FIRST_TIME = "the first time here it takes a minute or two"


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """How far the preparation is; `failed` says in one line why it came to nothing.

    First looks are ready before drillings: `looks` comes before `warm`.
    """

    looks: bool
    warm: bool
    says: str
    done: int
    total: int
    failed: str = ""

    def is_past(self, step: str) -> bool:
        """Whether a step is done."""
        return self.warm or self.done > STEPS.index(step)


class Preparation:
    """Prepares once, in the background; tells whoever asks how far it is."""

    def __init__(self, *, load: Callable[[], None]) -> None:
        """`load` loads the kernels into this process once they are compiled."""
        self._load = load
        self._state = Prepared(looks=False, warm=False, says="starting", done=0, total=len(STEPS))
        self._child: subprocess.Popen[str] | None = None
        self._ended = Event()

    @property
    def state(self) -> Prepared:
        """How far it is now."""
        return self._state

    def start(self) -> None:
        """Begin in the background."""
        Thread(target=self._run, name="preparation", daemon=True).start()

    def wait(self, timeout: float) -> bool:
        """Wait until it has ended, well or not; False after `timeout` seconds."""
        return self._ended.wait(timeout)

    def stop(self) -> None:
        """End the child, if there is one."""
        child = self._child
        if child is not None and child.poll() is None:
            child.terminate()
            child.wait(5.0)

    def _run(self) -> None:
        try:
            if not (cache_folder() / STAMP).exists():
                self._compile()
            self._load_looks()
            self._state = Prepared(looks=True, warm=True, says="ready", done=len(STEPS), total=len(STEPS))
        except Exception as error:  # noqa: BLE001 - whatever it is, the page must be told
            from gapwright.shell.log import keep_fault

            keep_fault(error, ["bench", "preparation"])
            said = "the kernels could not be prepared; the traceback is in the log of faults"
            self._state = Prepared(looks=False, warm=False, says=said, done=0, total=len(STEPS), failed=said)
        finally:
            self._ended.set()

    def _say(self, done: int, says: str) -> None:
        self._state = replace(self._state, says=says, done=done)

    def _load_looks(self) -> None:
        """Load what first looks need, once it is compiled."""
        if not self._state.looks:
            self._load()
            self._state = replace(self._state, looks=True)

    def _compile(self) -> None:
        """Run the child to its end, passing on what it says."""
        self._say(0, f"compiling {STEPS[0]}; {FIRST_TIME}")
        pipe = subprocess.PIPE
        with subprocess.Popen(CHILD, stdout=pipe, stdin=subprocess.DEVNULL, text=True) as child:
            self._child = child
            for line in child.stdout or ():
                if not line.strip().isdigit():
                    continue  # a warning of a library, not a step
                number = int(line)
                if number < len(STEPS):
                    self._say(
                        number, f"compiling {STEPS[number]}; the first time here it takes a minute or two"
                    )
                if number >= 1:
                    self._load_looks()
        if child.returncode != 0:
            raise RuntimeError(f"the preparing process ended with code {child.returncode}")


def load_kernels() -> None:
    """Load into this process what a first look needs, by taking one."""
    from gapwright.shell.preparing import look_once

    look_once()


def stamp() -> Path:
    """Mark that everything is compiled."""
    place = cache_folder() / STAMP
    place.write_text("all kernels that the bench needs are compiled here\n", encoding="utf-8")
    return place
