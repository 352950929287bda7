"""An open capture, looked at: any window of it, and classes over time.

Everything here is quick enough to be asked while a person drags: a window
costs the same whatever its length, and nothing walks over all samples.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.app.capture_pictures import Curve, ends_of
from gapwright.app.captures import CaptureHands, CaptureInHand, CaptureRequest, read_capture
from gapwright.base.checks import require_between
from gapwright.base.errors import InputRefused
from gapwright.base.units import Number, Seconds
from gapwright.capture.classify import CLASS_NAMES
from gapwright.capture.pyramid import Pyramid, window
from gapwright.capture.stretches import Piece, pieces_between

MOST_COLUMNS = 10_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenCapture:
    """A capture that was read, with the extremes that draw any window of it at once."""

    found: CaptureInHand
    pyramids: dict[str, Pyramid]
    end_s: Seconds
    """Time of the last sample's end, gaps between segments included."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelWindow:
    """One channel in a window: least and greatest value in each column."""

    least: tuple[Number, ...]
    greatest: tuple[Number, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptureWindow:
    """A window of a capture, ready to be drawn; where nothing was recorded there is no column."""

    start_s: Seconds
    stop_s: Seconds
    left_s: tuple[Seconds, ...]
    """Time at which each column begins."""
    right_s: tuple[Seconds, ...]
    """Time at which each column ends."""
    single: bool
    """Whether each column is one sample."""
    voltage_v: ChannelWindow
    current_a: ChannelWindow | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassStrip:
    """One class over a window: how much of each column it takes, and how many events begin there."""

    class_name: str
    time_share: tuple[Number, ...]
    count: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassTimeline:
    """Classes over a window in equal columns."""

    edges_s: tuple[Seconds, ...]
    classes: tuple[ClassStrip, ...]
    """Those that occur in the capture, in the order of the class names."""


def open_capture(request: CaptureRequest, hands: CaptureHands) -> OpenCapture:
    """Read a capture and have its extremes at hand; those of a kept one are mapped, not made.

    Raises
    ------
    InputRefused
        If it cannot be read or answers less than was asked.
    """
    found = read_capture(request, hands)
    places = found.capture.segments
    end = float(places.times[-1]) + int(places.lengths[-1]) / found.capture.rate
    return OpenCapture(found=found, pyramids=hands.extremes(request.places, found.capture), end_s=end)


def capture_window(opened: OpenCapture, *, start: Seconds, stop: Seconds, columns: int) -> CaptureWindow:
    """Extremes of each channel between two times, in at most so many columns.

    Raises
    ------
    InputRefused
        If the window is empty or outside the capture, or columns are too many.
    """
    require_between("columns of a window", columns, 1, MOST_COLUMNS, "")
    _require_window(opened, start, stop)
    capture = opened.found.capture
    pieces = pieces_between(capture, start, stop, columns=columns)
    edges, volts = _swath(opened, "voltage", pieces)
    amperes = _swath(opened, "current", pieces)[1] if capture.current is not None else None
    return CaptureWindow(
        start_s=start,
        stop_s=stop,
        left_s=tuple(edges[0].tolist()),
        right_s=tuple(edges[1].tolist()),
        single=all(piece.stop - piece.first <= piece.columns for piece in pieces),
        voltage_v=volts,
        current_a=amperes,
    )


def _require_window(opened: OpenCapture, start: Seconds, stop: Seconds) -> None:
    inside = bool(np.isfinite(start) and np.isfinite(stop)) and start < opened.end_s and stop > 0.0
    if not inside or start >= stop:
        raise InputRefused(
            f"a window must lie within 0 to {opened.end_s:g} s and not be empty, got {start:g} to {stop:g} s"
        )


def _swath(opened: OpenCapture, name: str, pieces: Sequence[Piece]) -> tuple[Curve, ChannelWindow]:
    """Left and right times of the columns, and the extremes of a channel in them."""
    capture = opened.found.capture
    codes = capture.voltage if name == "voltage" or capture.current is None else capture.current
    scale = capture.voltage_scale if name == "voltage" else capture.current_scale
    offset = capture.voltage_offset if name == "voltage" else capture.current_offset
    drift = _drift_shown(opened, name)
    times, ends = [np.zeros((2, 0))], [np.zeros((2, 0))]
    for piece in pieces:
        view = window(codes, opened.pyramids[name], start=piece.first, stop=piece.stop, columns=piece.columns)
        at = capture.times(view.edges[:-1])
        times.append(np.stack([at, capture.times(view.edges[1:] - 1) + 1.0 / capture.rate]))
        ends.append(ends_of(view, scale, offset) - drift * at)
    least, greatest = np.concatenate(ends, axis=1)
    return np.concatenate(times, axis=1), ChannelWindow(
        least=tuple(least.tolist()), greatest=tuple(greatest.tolist())
    )


def _drift_shown(opened: OpenCapture, name: str) -> float:
    """Drift of a channel's zero that is taken out of what is shown, in its unit a second."""
    if name == "current":
        return opened.found.capture.current_drift
    level = opened.found.reading.voltage_drift
    return level.value if level is not None else 0.0


def class_timeline(opened: OpenCapture, *, start: Seconds, stop: Seconds, columns: int) -> ClassTimeline:
    """How much of each column of a window each class takes, and how many of its events begin there.

    Raises
    ------
    InputRefused
        If the window is empty or outside the capture, or columns are too many.
    """
    require_between("columns of a window", columns, 1, MOST_COLUMNS, "")
    _require_window(opened, start, stop)
    table, edges = opened.found.reading.sparks, np.linspace(start, stop, columns + 1)
    strips = []
    for code in np.unique(table.class_code):
        rows = table.class_code == code
        begun = np.searchsorted(table.start_s[rows], edges)
        share = np.diff(_taken(table.start_s[rows], table.duration_s[rows], edges, begun)) / np.diff(edges)
        strips.append(
            ClassStrip(
                class_name=CLASS_NAMES[code],
                time_share=tuple(np.clip(share, 0.0, 1.0).tolist()),
                count=tuple(np.diff(begun).tolist()),
            )
        )
    return ClassTimeline(edges_s=tuple(edges.tolist()), classes=tuple(strips))


def _taken(starts: Curve, durations: Curve, times: Curve, begun: NDArray[np.int64]) -> Curve:
    """Time that events had taken by each of some times, by how many had begun."""
    whole = np.concatenate([[0.0], np.cumsum(durations)])[begun]
    last = np.maximum(begun - 1, 0)
    over = np.maximum(starts[last] + durations[last] - times, 0.0) if starts.size else np.zeros(times.size)
    answer: Curve = whole - np.where(begun > 0, over, 0.0)
    return answer
