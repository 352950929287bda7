"""The child of `gapwright.shell.preparation`: compiles every kernel that the bench needs, then ends."""

import sys
from dataclasses import replace
from importlib.resources import files

from gapwright.app.bench import Texts, first_look, unfolded
from gapwright.app.forecast import Effort
from gapwright.app.ports import one_after_another
from gapwright.shell.preparation import stamp


def texts(name: str) -> Texts:
    """A rig and a job of the demonstration."""
    demo = files("gapwright.shell") / "demo"
    rig, job = ((demo / f"{name}.{kind}.toml").read_text(encoding="utf-8") for kind in ("rig", "job"))
    return Texts(rig=rig, job=job)


def look_once() -> None:
    """Take a first look at a rig of the demonstration."""
    first_look(texts("first-build"))


def rehearse(name: str) -> None:
    """Run a short drilling of the demonstration: it need not end, only be compiled."""
    calls = 0

    def briefly(done: int, total: int, what: str) -> bool:  # noqa: ARG001 - the shape of Progress
        nonlocal calls
        calls += 1
        return calls < 40

    from gapwright.base.progress import Stopped

    effort = Effort(seed=0, members=1, spread=one_after_another, progress=briefly)
    try:
        next(unfolded(texts(name), effort=effort))
    except Stopped:
        return


def read_once() -> None:
    """Read short captures of every kind of samples, of both kinds of generators, and without a current."""
    import numpy as np

    from gapwright.capture.reading import understand
    from gapwright.capture.recorder import Recorder, recorded
    from gapwright.capture.settings import ReadingSettings
    from gapwright.capture.truth_pulses import PulseCourse, pulse_truth
    from gapwright.capture.truth_relaxation import CapacitorCourse, capacitor_truth

    rng = np.random.Generator(np.random.Philox(0))
    sparks = capacitor_truth(CapacitorCourse(), count=80, rate=10e6, rng=rng)
    pulses = pulse_truth(PulseCourse(), count=80, rate=10e6, rng=rng)
    for truth in (sparks, pulses):
        for bits in (None, 8, 12):
            understand(recorded(truth, Recorder(bits=bits), rng=rng))
    alone = replace(recorded(sparks, Recorder(bits=12), rng=rng), current=None, current_from=None)
    understand(alone, ReadingSettings(capacitance=1e-6))


def main() -> None:
    """Compile step by step, saying which step comes next."""
    look_once()
    said(1)
    first_look(texts("second-build"))
    said(2)
    read_once()
    said(3)
    rehearse("first-build")
    rehearse("second-build")
    said(4)
    rehearse("dry-start")
    stamp()
    said(5)


def said(number: int) -> None:
    """Tell the parent that so many steps are done."""
    sys.stdout.write(f"{number}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
