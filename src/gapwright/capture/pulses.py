"""Pulses of a generator that offers voltage at once: whether it is one, and when its pulses begin and end."""

import numpy as np

from gapwright.capture import _rows_kernel as k
from gapwright.capture import levels as lv
from gapwright.capture.levels import Level
from gapwright.capture.segment import Rows
from gapwright.capture.settings import GeneratorForm

FEWEST_RISES = 3
"""Rises of the voltage below which they tell nothing of the generator."""


def form_of(rows: Rows, said: GeneratorForm | None) -> GeneratorForm:
    """Kind of generator: voltage that is offered rises at once, a capacitor takes its wait to charge.

    Where too few rises are seen it is what was `said`, or a capacitor.
    """
    risen = rows.marks[rows.marks[:, k.M_READY] >= 0]
    if len(risen) < FEWEST_RISES:
        return said or "capacitor"
    waited = risen[:, k.M_READY] - risen[:, k.M_BEGIN]
    at_once = (risen[:, k.M_RISE] <= 8) & (risen[:, k.M_RISE] < 0.2 * waited)
    return "pulse" if np.mean(at_once) > 0.5 else "capacitor"


def on_time(rows: Rows, rate: float, given: float | None) -> Level | None:
    """Time for which voltage is offered, from the rise to the end of a pulse."""
    if given is not None:
        return Level(value=given, uncertainty=0.0, from_="given")
    m = rows.marks[rows.marks[:, k.M_KIND] != k.CUT]
    if not len(m):
        return None
    length = (m[:, k.M_END] - pulse_begin(m)) / rate
    middle = float(np.median(length))
    return Level(
        value=middle, uncertainty=lv.SIGMA * float(np.median(np.abs(length - middle))), from_="capture"
    )


def pulse_begin(
    marks: "np.ndarray[tuple[int, ...], np.dtype[np.int64]]",
) -> "np.ndarray[tuple[int, ...], np.dtype[np.int64]]":
    """Sample at which each pulse begins: the rise of the voltage, or of the current where there was none."""
    risen = marks[:, k.M_READY] - marks[:, k.M_RISE] + 1
    return np.where(marks[:, k.M_READY] >= 0, risen, marks[:, k.M_START])
