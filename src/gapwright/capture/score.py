"""How well a reading meets a truth: events found, classes right, energy in all. The budgets stand here."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.capture.classify import CLASS_NAMES, NORMAL, OPEN, SHORT, STATIONARY, TRANSIENT, Codes
from gapwright.capture.sparks import SparkTable
from gapwright.capture.truth import Table, Truth

COUNT_BUDGET = 0.001
"""Error of the count of events, as a share, at 1 % noise."""
ENERGY_BUDGET = 0.005
"""Error of the total energy."""
RIGHT_BUDGET = {OPEN: 0.98, SHORT: 0.98, NORMAL: 0.95, TRANSIENT: 0.85, STATIONARY: 0.85}
"""Share of the true events of a class that must be given it."""
MISSED = len(CLASS_NAMES)
"""Column of the events that were not found."""
NEAR_SAMPLES, NEAR_SHARE = 8, 0.6
"""A found discharge belongs to a true one if it begins this near, in samples or shares of its length."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Score:
    """A reading beside the truth."""

    confusion: NDArray[np.int64]
    """True class by found class; the last column holds what was missed."""
    extra: int
    """Events that were found but are none."""
    count_error: float
    """Found over true events, less one."""
    energy_error: float

    def right(self, code: int) -> float:
        """Share of a class that was found as what it is; NaN where the truth has none."""
        total = self.confusion[code].sum()
        return float(self.confusion[code, code] / total) if total else float("nan")

    def breaches(self) -> list[str]:
        """Budgets that are not met, in words."""
        found = [
            f"{CLASS_NAMES[code]}: {100 * self.right(code):.2f} % right, at least {100 * least:g} %"
            for code, least in RIGHT_BUDGET.items()
            if self.right(code) < least
        ]
        for name, error, most in (
            ("count", self.count_error, COUNT_BUDGET),
            ("energy", self.energy_error, ENERGY_BUDGET),
        ):
            if abs(error) > most:
                found.append(f"{name}: {100 * error:+.3f} % off, at most {100 * most:g} %")
        return found


def scored(truth: Truth, sparks: SparkTable) -> Score:
    """Score of the spark records of a capture of a truth.

    Pulses that fired late, which count as open, are counted but not scored by class:
    where late begins is a convention, and the events lie on both sides of it.
    """
    events = truth.events
    burned = (events["energy"] > 0.0) & (events["code"] != OPEN)
    confusion = np.zeros((len(CLASS_NAMES), MISSED + 1), dtype=np.int64)
    found = np.flatnonzero(sparks.fired & (sparks.class_code != OPEN))
    meets = _met(events[burned], sparks.start_s[found], truth.rate)
    _count(confusion, events["code"][burned], sparks.class_code[found], meets)
    quiet = np.flatnonzero(~sparks.fired | (sparks.class_code == OPEN))
    waits = events["energy"] == 0.0
    overlaps = _overlapped(events[waits], sparks.start_s[quiet], sparks.duration_s[quiet])
    _count(confusion, events["code"][waits], sparks.class_code[quiet], overlaps)
    hits = int(np.count_nonzero(meets >= 0) + np.count_nonzero(overlaps >= 0))
    hits += int(np.count_nonzero(~burned & ~waits))
    return Score(
        confusion=confusion,
        extra=sparks.count - hits,
        count_error=sparks.count / len(events) - 1.0,
        energy_error=float(sparks.energy_j.sum()) / truth.energy - 1.0,
    )


def _met(events: Table, starts: NDArray[np.float64], rate: float) -> Codes:
    """Number of the found discharge of each true one, -1 for none; no two share one."""
    if not starts.size:
        return np.full(len(events), -1)
    right = np.clip(np.searchsorted(starts, events["start"]), 0, starts.size - 1)
    left = np.maximum(right - 1, 0)
    nearer = np.abs(starts[left] - events["start"]) < np.abs(starts[right] - events["start"])
    place = np.where(nearer, left, right)
    apart = np.abs(starts[place] - events["start"])
    length = np.minimum(events["end"] - events["start"], 1e-4)
    far = apart > np.maximum(NEAR_SAMPLES / rate, NEAR_SHARE * length)
    place = np.where(far, -1, place)
    taken = np.append(-2, place[:-1])
    return np.where(place == taken, -1, place)


def _overlapped(events: Table, starts: NDArray[np.float64], lengths: NDArray[np.float64]) -> Codes:
    """Number of the found wait that covers most of each true one, -1 for none."""
    if not starts.size:
        return np.full(len(events), -1)
    middle = 0.5 * (events["start"] + events["end"])
    place = np.maximum(np.searchsorted(starts, middle, side="right") - 1, 0)
    inside = (starts[place] <= middle) & (middle <= starts[place] + lengths[place])
    return np.where(inside, place, -1)


def _count(confusion: NDArray[np.int64], true: Codes, found: Codes, place: Codes) -> None:
    """Enter true and found classes."""
    said = np.where(place >= 0, found[place] if found.size else MISSED, MISSED)
    np.add.at(confusion, (true, said), 1)
