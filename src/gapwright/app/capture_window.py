"""Parts of a capture that a page asks for while one looks around: samples of a window, sparks in it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.app.capture_bench import codes_of, is_among
from gapwright.app.capture_views import OpenCapture, capture_window
from gapwright.app.captures import CaptureInHand
from gapwright.app.ports import Columns
from gapwright.app.wording import quantity_text
from gapwright.base.errors import InputRefused
from gapwright.base.units import Seconds
from gapwright.capture.classify import CLASS_NAMES

MOST_DOTS = 6000
"""Sparks that are sent one by one; of more, evenly chosen ones of each class."""

Span = tuple[Seconds, Seconds]
Packed = dict[str, NDArray[np.generic]]
"""Columns by name, units at the end of the names, ready to be packed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SparkSight:
    """One event: what it was, how sure that is and why; None where it has no such quantity."""

    row: int
    name: str
    confidence: float
    reason: str
    remarks: str
    numbers: dict[str, float | None]
    says: str
    before: int | None
    """Row of the event before it, of the wanted classes."""
    after: int | None


def window_columns(opened: OpenCapture, *, span: Span, columns: int) -> tuple[Packed, bool]:
    """Least and greatest values over the columns between two times, and whether each is a single sample.

    Raises
    ------
    InputRefused
        If the window is not within the capture.
    """
    shown = capture_window(opened, start=span[0], stop=span[1], columns=columns)
    packed: Packed = {"left_s": np.array(shown.left_s), "right_s": np.array(shown.right_s)}
    for name, unit, channel in (("voltage", "v", shown.voltage_v), ("current", "a", shown.current_a)):
        if channel is not None:
            packed[f"{name}_least_{unit}"] = np.array(channel.least, dtype=np.float32)
            packed[f"{name}_greatest_{unit}"] = np.array(channel.greatest, dtype=np.float32)
    return packed, shown.single


def spark_columns(
    found: CaptureInHand, *, span: Span, classes: frozenset[str]
) -> tuple[Packed, dict[str, int]]:
    """Events of some classes that begin between two times, and how many there are of each class.

    Where they are many, evenly chosen ones of each class are given, so that a
    rare class keeps its events.
    """
    sparks, wanted = found.reading.sparks, codes_of(classes)
    low, high = (int(row) for row in np.searchsorted(sparks.start_s, span))
    codes = sparks.class_code[low:high]
    counts = np.bincount(codes, minlength=len(CLASS_NAMES))
    told = {name: int(counts[code]) for code, name in enumerate(CLASS_NAMES)}
    rows = low + np.flatnonzero(is_among(codes, wanted))
    if rows.size > MOST_DOTS:
        rows = _thinned(rows, sparks.class_code)
    packed: Packed = {
        "start_s": sparks.start_s[rows],
        "duration_s": sparks.duration_s[rows].astype(np.float32),
        "row": rows.astype(np.float64),
        "class": sparks.class_code[rows].astype(np.float32),
        "energy_j": sparks.energy_j[rows].astype(np.float32),
        "delay_s": sparks.delay_s[rows].astype(np.float32),
        "breakdown_voltage_v": sparks.breakdown_voltage_v[rows].astype(np.float32),
        "peak_current_a": sparks.peak_current_a[rows].astype(np.float32),
    }
    return packed, told


def _thinned(rows: NDArray[np.int64], codes: NDArray[np.int64]) -> NDArray[np.int64]:
    """Evenly chosen rows of each class, as many of each as share the room fairly."""
    kinds = [rows[codes[rows] == code] for code in np.unique(codes[rows])]
    room, kept = MOST_DOTS, []
    for place, kind in enumerate(sorted(kinds, key=len)):
        most = room // (len(kinds) - place)
        step = -(-kind.size // most)
        kept.append(kind[::step])
        room -= kept[-1].size
    return np.sort(np.concatenate(kept))


def spark_near(found: CaptureInHand, time: Seconds, *, classes: frozenset[str]) -> SparkSight:
    """Event of some classes that goes on at a time, or the nearest to it.

    Raises
    ------
    InputRefused
        If there is no such event at all.
    """
    sparks, wanted = found.reading.sparks, codes_of(classes)
    rows = np.flatnonzero(is_among(sparks.class_code, wanted))
    if not rows.size:
        raise InputRefused("there is no event of these classes in the capture; choose others")
    place = int(np.searchsorted(sparks.start_s[rows], time, side="right"))
    around = rows[max(place - 2, 0) : place + 1]
    begins = sparks.start_s[around]
    away = np.maximum(begins - time, time - begins - sparks.duration_s[around])
    return _spark(found, int(around[np.argmin(np.maximum(away, 0.0))]), rows)


def spark_at(found: CaptureInHand, row: int, *, classes: frozenset[str]) -> SparkSight:
    """Event by its row.

    Raises
    ------
    InputRefused
        If there is no such row.
    """
    sparks = found.reading.sparks
    if not 0 <= row < sparks.count:
        raise InputRefused(f"an event must be between 0 and {sparks.count - 1}, got {row}")
    return _spark(found, row, np.flatnonzero(is_among(sparks.class_code, codes_of(classes))))


def _spark(found: CaptureInHand, row: int, among: NDArray[np.int64]) -> SparkSight:
    sparks = found.reading.sparks
    told = {name: values[0] for name, values in sparks.taken(np.array([row])).columns().items()}
    numbers = {
        name: float(value) if np.isfinite(value) else None
        for name, value in told.items()
        if name not in ("class", "confidence", "reason", "flags")
    }
    left, right = (int(np.searchsorted(among, row, side=side)) for side in ("left", "right"))
    name, reason = str(told["class"]), str(told["reason"])
    return SparkSight(
        row=row,
        name=name,
        confidence=float(told["confidence"]),
        reason=reason,
        remarks=str(told["flags"]),
        numbers=numbers,
        says=_spark_says(name, numbers),
        before=int(among[left - 1]) if left > 0 else None,
        after=int(among[right]) if right < among.size else None,
    )


def _spark_says(name: str, numbers: dict[str, float | None]) -> str:
    """An event in one line."""
    lasts = numbers["duration_s"]
    parts = [] if lasts is None else [f"lasts {quantity_text(lasts, 's')}"]
    for key, words, unit in (
        ("breakdown_voltage_v", "fired at", "V"),
        ("peak_current_a", "peaks at", "A"),
        ("energy_j", "leaves", "J"),
    ):
        value = numbers[key]
        if value:
            parts.append(f"{words} {quantity_text(value, unit)}")
    return f"{name}: {', '.join(parts)}" if parts else name


def course_table(found: CaptureInHand) -> Columns:
    """State of the gap window by window, as a table."""
    windows = found.answer.course.windows
    return {
        "start_s": windows.start_s,
        "rate_hz": windows.rate_hz,
        "energy_j": windows.energy_j,
        "breakdown_voltage_v": windows.breakdown_voltage_v,
        "delay_s": windows.delay_s,
        **{f"{name.replace(' ', '_')}_time_share": row for name, row in windows.time_shares.items()},
    }
