"""The events of an open capture: the one under a time, its neighbours, and how energies and delays spread."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.app.capture_pictures import delay_curve
from gapwright.app.captures import CaptureInHand
from gapwright.base.checks import close_names, require_between
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Coulombs, Joules, Number, Seconds, Volts
from gapwright.capture.classify import CLASS_NAMES
from gapwright.capture.sparks import SparkTable, flag_words

ENERGY_BINS = 48


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One row of the spark records in words and numbers; None where it has no such quantity."""

    number: int
    """Row among all events, from 0."""
    class_name: str
    reason: str
    confidence: Number
    flags: tuple[str, ...]
    start_s: Seconds
    duration_s: Seconds
    delay_s: Seconds | None
    breakdown_voltage_v: Volts | None
    burning_voltage_v: Volts | None
    remaining_voltage_v: Volts | None
    peak_current_a: Amperes | None
    charge_c: Coulombs | None
    energy_j: Joules | None
    before: int | None
    """Number of the event before it, of the classes asked for."""
    after: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyCounts:
    """Energies of the discharges by class, over bins of equal steps of the logarithm."""

    edges_j: tuple[Joules, ...]
    counts: dict[str, tuple[int, ...]]
    median_j: Joules | None
    """Of all discharges of the classes asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DelayShares:
    """Share of sparks that waited longer than a time, measured and by the laws fitted to it."""

    times_s: tuple[Seconds, ...]
    share: tuple[Number, ...]
    exponential: tuple[Number, ...]
    two_weibull: tuple[Number, ...] | None
    mean_s: Seconds


def class_codes(classes: Sequence[str]) -> NDArray[np.int64]:
    """Codes of classes by name; of all classes where none is named.

    Raises
    ------
    InputRefused
        If a name is none of them.
    """
    for name in classes:
        if name not in CLASS_NAMES:
            raise InputRefused(
                f"a class must be one of {', '.join(CLASS_NAMES)}, got {name!r}"
                f"{close_names(name, CLASS_NAMES)}"
            )
    return np.array([CLASS_NAMES.index(name) for name in classes or CLASS_NAMES], dtype=np.int64)


def event_near(
    found: CaptureInHand, time: Seconds, *, reach: Seconds = 0.0, classes: Sequence[str] = ()
) -> Event | None:
    """Event that holds a time, else the nearest within reach; of some classes where they are named."""
    table = found.reading.sparks
    rows = np.flatnonzero(np.isin(table.class_code, class_codes(classes)))
    if not rows.size:
        return None
    starts = table.start_s[rows]
    place = int(np.searchsorted(starts, time, side="right")) - 1
    near = rows[max(place - 1, 0) : place + 2]
    begin, end = table.start_s[near], table.start_s[near] + table.duration_s[near]
    away = np.maximum(np.maximum(begin - time, time - end), 0.0)
    best = int(np.argmin(away + 1e-9 * table.duration_s[near]))
    return _event(table, int(near[best]), rows) if away[best] <= reach else None


def event_numbered(found: CaptureInHand, number: int, *, classes: Sequence[str] = ()) -> Event:
    """Event by its number, with its neighbours among the classes that are named.

    Raises
    ------
    InputRefused
        If there is none of that number.
    """
    table = found.reading.sparks
    require_between("the number of an event", number, 0, table.count - 1, "")
    return _event(table, number, np.flatnonzero(np.isin(table.class_code, class_codes(classes))))


def _event(table: SparkTable, number: int, rows: NDArray[np.int64]) -> Event:
    row = table.taken(np.array([number]))
    words = {name: column[0] for name, column in row.columns().items()}

    def known(name: str) -> float | None:
        value = float(words[name])
        return value if np.isfinite(value) else None

    below, above = np.searchsorted(rows, number, "left"), np.searchsorted(rows, number, "right")
    return Event(
        number=number,
        class_name=str(words["class"]),
        reason=str(words["reason"]),
        confidence=float(words["confidence"]),
        flags=tuple(flag_words(int(row.flag_bits[0])).split()),
        start_s=float(words["start_s"]),
        duration_s=float(words["duration_s"]),
        delay_s=known("delay_s"),
        breakdown_voltage_v=known("breakdown_voltage_v"),
        burning_voltage_v=known("burning_voltage_v"),
        remaining_voltage_v=known("remaining_voltage_v"),
        peak_current_a=known("peak_current_a"),
        charge_c=known("charge_c"),
        energy_j=known("energy_j"),
        before=int(rows[below - 1]) if below > 0 else None,
        after=int(rows[above]) if above < rows.size else None,
    )


def energy_counts(found: CaptureInHand, *, classes: Sequence[str] = ()) -> EnergyCounts | None:
    """Energies by class; None where no energy is told."""
    table, codes = found.reading.sparks, class_codes(classes)
    told = table.fired & np.isfinite(table.energy_j) & (table.energy_j > 0.0)
    if found.answer.energy_j is None or not told.any():
        return None
    low, high = np.quantile(table.energy_j[told], [0.001, 1.0])
    edges = np.geomspace(max(low, 1e-4 * high) * 0.999, high * 1.001, ENERGY_BINS + 1)
    which = {code: table.energy_j[told & (table.class_code == code)] for code in codes}
    chosen = table.energy_j[told & np.isin(table.class_code, codes)]
    return EnergyCounts(
        edges_j=tuple(edges.tolist()),
        counts={
            CLASS_NAMES[code]: tuple(np.histogram(np.maximum(values, edges[0]), edges)[0].tolist())
            for code, values in which.items()
            if values.size
        },
        median_j=float(np.median(chosen)) if chosen.size else None,
    )


def delay_shares(found: CaptureInHand) -> DelayShares | None:
    """Survivor curve of the ignition delay with its laws; None where no spark waited."""
    curve = delay_curve(found)
    if curve is None:
        return None
    return DelayShares(
        times_s=tuple(curve.times.tolist()),
        share=tuple(curve.shares.tolist()),
        exponential=tuple(np.exp(-curve.times / curve.mean).tolist()),
        two_weibull=None if curve.fitted is None else tuple(curve.fitted.tolist()),
        mean_s=curve.mean,
    )
