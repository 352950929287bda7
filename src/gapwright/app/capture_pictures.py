"""What the figures of a capture show: windows of samples and curves, as plain arrays."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.app.captures import CaptureInHand, extremes_made
from gapwright.base.units import Number, Seconds
from gapwright.capture.classify import CLASS_NAMES
from gapwright.capture.pyramid import Pyramid, View, window

Curve = NDArray[np.float64]

AROUND = 0.6
"""Time shown before and after an event, in its durations."""
LEAST_AROUND = 20
"""Samples shown before and after it at least."""
MOST_SHOWN = 4000
"""Samples of an event that are drawn."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Swath:
    """Least and greatest value over columns of time."""

    times: Curve
    """Edges of the columns, one more than there are values. [s]"""
    least: Curve
    greatest: Curve


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Overview:
    """A whole capture, or a window of it."""

    volts: Swath
    amperes: Swath | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Example:
    """One event of a class, the one in the middle by energy, or by duration where no current flowed."""

    name: str
    count: int
    times: Curve
    """From its beginning. [s]"""
    volts: Curve
    amperes: Curve | None
    first: Seconds
    last: Seconds
    """Where the event begins and ends among the times."""
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DelayCurve:
    """Share of sparks whose ignition delay was longer than a time; waits without a spark count as longer."""

    times: Curve
    shares: Curve
    mean: Seconds
    """Mean delay with the waits counted: the slope of the exponential beside the curve."""
    fitted: Curve | None
    """Share by two Weibull laws at the same times, where they were fitted."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClassRow:
    """Events of one class in time."""

    name: str
    starts: Curve
    durations: Curve
    time_share: Number


def overview(
    found: CaptureInHand,
    *,
    columns: int,
    pyramids: dict[str, Pyramid] | None = None,
    span: tuple[int, int] | None = None,
) -> Overview:
    """Swaths over a capture, or over the samples of a span, in so many columns.

    Raises
    ------
    InputRefused
        If the span is not within the capture.
    """
    capture = found.capture
    known = pyramids if pyramids is not None else extremes_made((), found.capture)
    start, stop = span or (0, capture.count)
    volts = window(capture.voltage, known["voltage"], start=start, stop=stop, columns=columns)
    amperes = None
    if capture.current is not None:
        view = window(capture.current, known["current"], start=start, stop=stop, columns=columns)
        amperes = _swath(view, capture.rate, capture.current_scale, capture.current_offset)
    return Overview(
        volts=_swath(volts, capture.rate, capture.voltage_scale, capture.voltage_offset), amperes=amperes
    )


def _swath(view: View, rate: float, scale: float, offset: float) -> Swath:
    least, greatest = ends_of(view, scale, offset)
    return Swath(times=view.edges / rate, least=least, greatest=greatest)


def ends_of(view: View, scale: float, offset: float) -> Curve:
    """Least and greatest value of each column of a view, in the unit of its channel: two rows.

    A probe that turns the sign around has its least sample at the greatest value.
    """
    codes = np.stack([view.least, view.greatest]).astype(np.float64)
    ends: Curve = np.sort(codes * scale + offset, axis=0)
    return ends


def examples(found: CaptureInHand) -> tuple[Example, ...]:
    """One event of each class that occurs."""
    sparks = found.reading.sparks
    answer = []
    for code, name in enumerate(CLASS_NAMES):
        rows = np.flatnonzero(sparks.class_code == code)
        if rows.size:
            by = sparks.energy_j[rows]
            key = by if np.all(np.isfinite(by)) and np.any(by != 0.0) else sparks.duration_s[rows]
            row = int(rows[np.argsort(key, kind="stable")[rows.size // 2]])
            answer.append(_example(found, row, name, rows.size))
    return tuple(answer)


def _example(found: CaptureInHand, row: int, name: str, count: int) -> Example:
    capture, sparks = found.capture, found.reading.sparks
    first, end = int(sparks.first[row]), int(sparks.end[row])
    around = max(int(AROUND * (end - first)), LEAST_AROUND)
    start, stop = max(first - around, 0), min(end + around, capture.count)
    step = max(1, (stop - start) // MOST_SHOWN)
    shown = slice(start, stop, step)
    amperes = None
    if capture.current is not None:
        amperes = capture.current[shown].astype(np.float64) * capture.current_scale + capture.current_offset
    places = np.arange(start, stop, step)
    return Example(
        name=name,
        count=count,
        times=(places - first) / capture.rate,
        volts=capture.voltage[shown].astype(np.float64) * capture.voltage_scale + capture.voltage_offset,
        amperes=amperes,
        first=0.0,
        last=(end - first) / capture.rate,
        reason=str(sparks.taken(np.array([row])).columns()["reason"][0]),
    )


def delay_curve(found: CaptureInHand) -> DelayCurve | None:
    """Survivor curve of the ignition delay with the laws fitted to it; None where no spark waited."""
    delay = found.reading.statistics.delay
    if delay.ignitions == 0 or not np.isfinite(delay.mean_s):
        return None
    pair = next((fit.parameters for fit in delay.fits if fit.law == "two Weibull"), None)
    fitted = None if pair is None else _two_weibull(delay.times_s, pair)
    return DelayCurve(times=delay.times_s, shares=delay.survivor, mean=delay.mean_s, fitted=fitted)


def _two_weibull(times: Curve, pair: dict[str, float]) -> Curve:
    """Survivor share of a fitted mixture of two Weibull laws."""
    first = np.exp(-((times / pair["scale_first_s"]) ** pair["shape_first"]))
    second = np.exp(-((times / pair["scale_second_s"]) ** pair["shape_second"]))
    answer: Curve = pair["weight"] * first + (1.0 - pair["weight"]) * second
    return answer


def energies(found: CaptureInHand) -> Curve:
    """Energies of all discharges above 0; none where they are not told."""
    sparks = found.reading.sparks
    if found.answer.energy_j is None:
        return np.zeros(0)
    values = sparks.energy_j[sparks.fired]
    answer: Curve = values[np.isfinite(values) & (values > 0.0)]
    return answer


def class_rows(found: CaptureInHand) -> tuple[ClassRow, ...]:
    """When the events of each class that occurs began, and how long they lasted."""
    sparks = found.reading.sparks
    return tuple(
        ClassRow(
            name=name,
            starts=sparks.start_s[sparks.class_code == code],
            durations=sparks.duration_s[sparks.class_code == code],
            time_share=found.answer.classes[name].time_share,
        )
        for code, name in enumerate(CLASS_NAMES)
        if np.any(sparks.class_code == code)
    )
