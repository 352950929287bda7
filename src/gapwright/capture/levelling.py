"""The course of a capture's zeros, taken out of rows that were summed over samples as recorded."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.capture import _rows_kernel as k
from gapwright.capture.baseline import rest_of
from gapwright.capture.calibration import Calibration, chargings
from gapwright.capture.classify import STANDING_CHARGES, Numbers
from gapwright.capture.drift import Mark
from gapwright.capture.energy import Scales, volts_of
from gapwright.capture.segment import Rows
from gapwright.capture.waveform import Capture

STOOD_CHARGES, STOOD_SAMPLES = 5.0, 16
"""Charging times, or samples of a pulse, after which a waiting gap shows the open voltage."""
MOST_ROWS, CHUNK = 8192, 256
"""Rows that tell the course of a zero, at most, and how many of them are neighbours."""
LAWFUL = 0.025
"""Median deviation of the time that charging takes from its law, as a share, up to which it is believed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Place:
    """Where a segment stands in its capture."""

    first: int
    time: float
    count: int


Pairs = tuple[NDArray[np.intp], Numbers]
"""Rows, and volts in each of them."""
Course = Callable[[Numbers], Numbers]
"""Volts of a zero at times since the first sample."""
Part = tuple[Rows, Place]
"""Rows of a segment and where it stands."""


def levelled(part: Part, scales: Scales, *, volts: Course, amperes: float = 0.0) -> Rows:
    """Rows of a segment with a course of the voltage's zero, and a drift in amperes a second, taken out."""
    rows, place = part
    marks, sums = rows.marks, rows.sums.copy(order="K")
    middles = (marks[:, k.M_FIRST] + marks[:, k.M_STOP]).astype(np.float64)
    times = place.time + 0.5 * middles / scales.rate
    samples = marks[:, k.M_STOP] - marks[:, k.M_FIRST]
    v = volts(times) / scales.voltage
    i = amperes * times / scales.current if scales.current else np.zeros(times.size)
    sums[:, k.S_VI] -= v * sums[:, k.S_I] + i * sums[:, k.S_V] - v * i * samples
    sums[:, k.S_V] -= v * samples
    sums[:, k.S_I] -= i * samples
    sums[:, k.S_ZERO] -= i * sums[:, k.S_CALM]
    sums[:, k.S_PEAK] -= i
    for column in (k.S_BURNING, k.S_BREAKDOWN, k.S_REMAINING):
        sums[:, column] -= v
    return Rows(marks=marks, sums=sums)


def voltage_marks(
    parts: Sequence[Part], scales: Scales, calibration: Calibration, capture: Capture
) -> tuple[Mark, ...]:
    """Levels of the voltage that only a drift of its zero moves alike, the burning voltage first."""
    found: dict[str, list[tuple[Numbers, Numbers]]] = {"burning voltage": []}
    most = max(MOST_ROWS // len(parts), CHUNK)
    for whole, place in parts:
        rows = _some(whole, most)
        for name, (at, volts) in _marks_in(rows, scales, calibration).items():
            times = place.time + rows.marks[at, k.M_START] / scales.rate
            found.setdefault(name, []).append((times, volts))
    marks = [
        Mark(
            name=name,
            times=np.concatenate([times for times, _ in pieces] or [np.zeros(0)]),
            volts=np.concatenate([volts for _, volts in pieces] or [np.zeros(0)]),
        )
        for name, pieces in found.items()
    ]
    if calibration.generator == "pulse":
        scale, offset = capture.voltage_scale, capture.voltage_offset
        near = calibration.edges.short / calibration.open_voltage.value
        rest = rest_of(capture.voltage, scale=scale, offset=offset, times=capture.times, near=near)
        marks.append(Mark(name="voltage between pulses", times=rest.times, volts=rest.values, is_zero=True))
    return tuple(marks)


def _some(rows: Rows, most: int) -> Rows:
    """Chunks of neighbouring rows spread over all of them, where they are many."""
    if rows.count <= most:
        return rows
    starts = np.linspace(0, rows.count - CHUNK, most // CHUNK).astype(int)
    at = (starts[:, None] + np.arange(CHUNK)).ravel()
    return Rows(marks=rows.marks.T[:, at].T, sums=rows.sums.T[:, at].T)


def _marks_in(rows: Rows, scales: Scales, calibration: Calibration) -> dict[str, Pairs]:
    """Rows and volts of each mark in one segment."""
    marks, sums = rows.marks, rows.sums
    fired = marks[:, k.M_KIND] == k.DISCHARGE
    ready = fired & (marks[:, k.M_READY] >= 0)
    burning = volts_of(sums[:, k.S_BURNING], scales)
    good = np.flatnonzero(ready & (burning > calibration.edges.short))
    tau = calibration.time_constant
    waits = STOOD_SAMPLES if tau is None else STOOD_CHARGES * tau.value * scales.rate
    stood = good[marks[good, k.M_START] - marks[good, k.M_READY] > waits]
    found: dict[str, Pairs] = {
        "burning voltage": (good, burning[good]),
        "open voltage": (stood, volts_of(sums[stood, k.S_BREAKDOWN], scales)),
    }
    if tau is None or calibration.generator == "pulse":
        return found
    standing = marks[1:, k.M_LOWS] > STANDING_CHARGES * tau.value * scales.rate
    shorted = np.flatnonzero(fired[:-1] & standing)
    found["voltage of shorts"] = (shorted, volts_of(sums[shorted, k.S_REMAINING], scales))
    found["charging"] = _charged(rows, scales, calibration)
    return found


def _charged(rows: Rows, scales: Scales, calibration: Calibration) -> Pairs:
    """Where the zero must be for each charging to have taken as long as it did, but for one constant.

    That of a store charged through a resistor follows from the law of it; another is left out.
    """
    at = chargings(rows)
    ready, top = calibration.edges.ready, calibration.open_voltage.value
    left = volts_of(rows.sums[at - 1, k.S_REMAINING], scales)
    at, left = at[left < ready], left[left < ready]
    took = (rows.marks[at, k.M_READY] - rows.marks[at - 1, k.M_STOP]) / scales.rate
    if not at.size or not top > ready:
        return at[:0], left[:0]
    law = np.log((top - left) / (top - ready))
    constant = float(np.median(took / law))
    away = took - constant * law
    if float(np.median(np.abs(away))) > LAWFUL * float(np.median(took)):
        return at[:0], left[:0]
    return at, away / (constant * (1.0 / (top - left) - 1.0 / (top - ready)))
