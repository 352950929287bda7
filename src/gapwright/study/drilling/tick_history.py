"""A drilling against time, thinned so that no extreme is lost.

Control ticks come by the hundred thousand. They are gathered into slices of
about equal numbers of ticks; when the slices are too many, neighbours are joined.
Each slice keeps the lowest and the highest of what moves, and sums of counts.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.units import Metres
from gapwright.study.drilling.records_kept import TICK_COLUMNS, Surface
from gapwright.study.grounds import _drilling_state as state

Curve = NDArray[np.float64]

MOST = 1024
"""Slices that a history has at most; it has more than half as many once there are enough ticks."""

AT = {name: place for place, name in enumerate(TICK_COLUMNS)}
LAST = ("time_s", "feed_m", "depth_m")
LOWEST = ("gap_m", "mean_v")
HIGHEST = ("gap_m", "mean_v", "debris")
SUMMED = (
    "is_short",
    "open_s",
    *(name for name in TICK_COLUMNS if name in {kind.replace(" ", "_") for kind in state.CLASSES[1:]}),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class History:
    """A drilling against time, one value for each slice; each slice ends at its time."""

    time_s: Curve
    feed_m: Curve
    """Plane of the new electrode's end below the entry face, at the end of the slice."""
    depth_m: Curve
    gap_low_m: Curve
    gap_high_m: Curve
    """Ends of the smallest gap within the slice."""
    mean_low_v: Curve
    mean_high_v: Curve
    """Ends of the mean gap voltage of a tick."""
    debris_high: Curve
    short_share: Curve
    """Share of ticks that ended shorted."""
    open_share: Curve
    """Share of time spent charged and waiting."""
    class_count: Curve
    """(slices, classes) discharges of each class but `open`, which is a state: its column is 0."""

    def __len__(self) -> int:
        """Slices that there are."""
        return len(self.time_s)


class TickHistory:
    """Takes the control ticks of a drilling and keeps a thinned history."""

    def __init__(self, most: int = MOST) -> None:
        """Begin with none; `most` slices at most, an even number."""
        self._most, self._stride = most, 1
        self._loose: list[NDArray[np.float64]] = []
        self._loose_ticks = 0
        width = len(LAST) + len(LOWEST) + len(HIGHEST) + len(SUMMED) + 1
        self._slices = np.zeros((0, width))

    def sparks(self, rows: NDArray[np.float64]) -> None:
        """Leave sparks to others."""

    def shape(self, depth: Metres, work: Surface, tool: Surface) -> None:
        """Leave shapes to others."""

    def ticks(self, rows: NDArray[np.float64]) -> None:
        """Take rows about ticks."""
        if not len(rows):
            return
        self._loose.append(rows)
        self._loose_ticks += len(rows)
        if self._loose_ticks >= self._stride:
            self._gather()
        while len(self._slices) > self._most:
            self._slices = _joined(self._slices)
            self._stride *= 2

    def _gather(self) -> None:
        """Make slices of all whole strides of loose ticks."""
        loose = np.concatenate(self._loose)
        whole = len(loose) // self._stride * self._stride
        self._slices = np.concatenate([self._slices, _sliced(loose[:whole], self._stride)])
        self._loose, self._loose_ticks = [loose[whole:]], len(loose) - whole

    def history(self) -> History:
        """The history so far, the last ticks included."""
        rest = [part for part in self._loose if len(part)]
        slices = self._slices
        if rest:
            slices = np.concatenate([slices, _sliced(np.concatenate(rest), self._loose_ticks)])
        return _history(slices)


def _sliced(ticks: NDArray[np.float64], stride: int) -> NDArray[np.float64]:
    """Slices of `stride` ticks each; the number of ticks is a multiple of it."""
    cut = ticks.reshape(-1, stride, ticks.shape[1])
    parts = [cut[:, -1, AT[name]] for name in LAST]
    parts += [cut[:, :, AT[name]].min(axis=1) for name in LOWEST]
    parts += [cut[:, :, AT[name]].max(axis=1) for name in HIGHEST]
    parts += [cut[:, :, AT[name]].sum(axis=1) for name in SUMMED]
    return np.column_stack([*parts, np.full(len(cut), float(stride))])


def _joined(slices: NDArray[np.float64]) -> NDArray[np.float64]:
    """Neighbouring slices, two by two, as one; an odd last one stays as it is."""
    whole = len(slices) // 2 * 2
    a, b = slices[0:whole:2], slices[1:whole:2]
    lows, highs = len(LAST), len(LAST) + len(LOWEST)
    sums = highs + len(HIGHEST)
    pairs = np.column_stack(
        [
            b[:, :lows],
            np.minimum(a[:, lows:highs], b[:, lows:highs]),
            np.maximum(a[:, highs:sums], b[:, highs:sums]),
            a[:, sums:] + b[:, sums:],
        ]
    )
    return np.concatenate([pairs, slices[whole:]])


def _history(slices: NDArray[np.float64]) -> History:
    """Columns of the slices by name."""
    lows, highs = len(LAST), len(LAST) + len(LOWEST)
    sums = highs + len(HIGHEST)
    ticks = np.maximum(slices[:, -1], 1.0)
    times = slices[:, 0]
    spans = np.maximum(np.diff(times, prepend=0.0), 1e-12)
    counts = np.zeros((len(slices), len(state.CLASSES)))
    counts[:, 1:] = slices[:, sums + 2 : -1]
    return History(
        time_s=times,
        feed_m=slices[:, 1],
        depth_m=slices[:, 2],
        gap_low_m=slices[:, lows],
        mean_low_v=slices[:, lows + 1],
        gap_high_m=slices[:, highs],
        mean_high_v=slices[:, highs + 1],
        debris_high=slices[:, highs + 2],
        short_share=slices[:, sums] / ticks,
        open_share=np.minimum(slices[:, sums + 1] / spans, 1.0),
        class_count=counts,
    )
