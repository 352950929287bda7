"""A column of times, told as a rate and segments: even steps, gaps, and what is neither."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.units import Hertz, Seconds
from gapwright.capture.waveform import Segments

UNEVEN = 0.05
"""Part of a step by which a step may differ, beside what the printing of times rounds off."""
GAP = 1.5
"""Steps from which on a distance is a gap in time."""
COARSE = 0.3
"""Rounding, in steps, above which times of neighbours may be printed alike."""
MOST_GAPS = 1_000_000


@dataclass(slots=True, kw_only=True)
class Timeline:
    """Times that arrive piece by piece; refuses what is no even sampling.

    `rounding` is the distance of two times that the file can tell apart.
    """

    place: str
    first_row: int = 1
    """Number of the first row for remarks, as a person counts it."""
    count: int = 0
    step: Seconds = 0.0
    first: Seconds = 0.0
    last: Seconds = 0.0
    breaks: list[tuple[int, float, float]] = field(default_factory=list)
    """Index after each gap, and the times before and after it."""

    def add(self, times: NDArray[np.float64], *, rounding: Seconds) -> None:
        """Take the next times.

        Raises
        ------
        InputRefused
            If they are not finite, run backward, repeat or are unevenly spaced.
        """
        if times.size == 0:
            return
        if self.count == 0:
            self.first = float(times[0])
            steps = np.diff(times)
        else:
            steps = np.diff(times, prepend=self.last)
        if not np.isfinite(times.sum()):
            self._refuse(int(np.flatnonzero(~np.isfinite(times))[0]), "holds no time")
        if steps.size:
            self._check(times, steps, rounding)
        self.count += times.size
        self.last = float(times[-1])

    def _check(self, times: NDArray[np.float64], steps: NDArray[np.float64], rounding: float) -> None:
        lead = times.size - steps.size
        least, greatest = float(steps.min()), float(steps.max())
        if least < 0.0:
            self._refuse(int(np.argmin(steps)) + lead, "goes back in time")
        if self.step == 0.0:
            self.step = _first_step(steps, rounding)
        slack = UNEVEN * self.step + 2.0 * rounding
        if self.step - slack <= least and greatest <= self.step + slack:
            return
        coarse = rounding > COARSE * self.step
        if least == 0.0 and not coarse:
            self._refuse(int(np.argmin(steps)) + lead, "has the same time as the row before")
        long = steps > (GAP * self.step + 2.0 * rounding)
        even = (np.abs(steps - self.step) <= slack) | long
        if not even.all():
            self._refuse(int(np.argmin(even)) + lead, "is unevenly spaced in time")
        for k in np.flatnonzero(long)[: MOST_GAPS + 1]:
            before = float(times[k - 1 + lead]) if k - 1 + lead >= 0 else self.last
            self.breaks.append((self.count + int(k) + lead, before, float(times[k + lead])))
        if len(self.breaks) > MOST_GAPS:
            raise InputRefused(f"{self.place!r} must have at most {MOST_GAPS} gaps in time, got more")

    def _refuse(self, k: int, what: str) -> None:
        raise InputRefused(
            f"{self.place!r} must have times that rise in even steps, but row "
            f"{self.first_row + self.count + k} {what}; correct the file or give --rate"
        )

    @property
    def rate(self) -> Hertz:
        """Samples a second, from first to last time without the gaps.

        Raises
        ------
        InputRefused
            If there are fewer than two times in a row.
        """
        lost = sum(after - before for _, before, after in self.breaks)
        steps = self.count - 1 - len(self.breaks)
        span = self.last - self.first - lost
        if steps < 1 or span <= 0.0:
            raise InputRefused(f"{self.place!r} must hold at least two times to tell the rate; give --rate")
        return steps / span

    def segments(self) -> Segments:
        """Stretches between the gaps."""
        starts = np.array([0, *(k for k, _, _ in self.breaks)], dtype=np.int64)
        times = np.array([0.0, *(after - self.first for _, _, after in self.breaks)])
        lengths = np.diff(np.append(starts, self.count))
        return Segments(starts=starts, lengths=lengths, times=times)


def _first_step(steps: NDArray[np.float64], rounding: float) -> float:
    """Usual step of the first piece; where printing hides it, the mean step outside of gaps."""
    usual = float(np.median(steps))
    if usual > 0.0 and rounding <= COARSE * usual:
        return usual
    some = steps[steps > 0.0]
    if some.size == 0:
        return 0.0
    return float(steps[steps <= 10.0 * np.median(some)].mean())
