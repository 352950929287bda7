"""The zero of a current channel: its offset between the sparks, and how that drifts."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, AmperesPerSecond, Hertz
from gapwright.capture.waveform import Codes

STRETCHES = 64
"""Pieces of a capture in each of which the zero is sought."""
READ = 16_384
"""Samples of each piece that are looked at."""
LEAST = 256
"""Samples that a piece needs."""
BINS = 512
NEAR = 0.2
"""Part of the whole swing, around the reading's own 0, in which the zero is sought."""
SURE = 4.0
"""How many times its scatter a drift must be before it counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Zero:
    """Current that the channel shows where none flows, and its drift."""

    at_start: Amperes
    drift: AmperesPerSecond
    """0 where no drift stands out of the scatter."""
    uncertainty: Amperes


def current_zero(codes: Codes, *, scale: float, offset: float, rate: Hertz) -> Zero:
    """Zero of a current channel, from the value it rests at between the sparks.

    In each of many pieces the most frequent value near the reading's own zero
    is taken; a straight line through the middles of the pieces is the drift.

    Parameters
    ----------
    codes
        Samples of the channel.
    scale, offset
        What makes amperes of codes.
    rate
        Samples in a second. [Hz]

    Raises
    ------
    InputRefused
        If the channel rests nowhere near its zero.
    """
    places = np.linspace(0, max(codes.size - READ, 0), STRETCHES).astype(np.int64)
    pieces = [codes[k : k + READ].astype(np.float64) * scale + offset for k in np.unique(places)]
    swing = max(float(np.max(np.abs(piece))) for piece in pieces)
    if swing == 0.0:
        return Zero(at_start=0.0, drift=0.0, uncertainty=0.0)
    found = [_resting_value(piece, NEAR * swing) for piece in pieces if piece.size >= min(LEAST, codes.size)]
    known = np.array([value for value in found if value is not None], dtype=np.float64)
    if known.size == 0:
        raise InputRefused(
            "the current must rest near 0 A between sparks for its zero to be found, but it never does; "
            'give the zero, such as --current-zero "0.2 A"'
        )
    times = (np.unique(places)[[value is not None for value in found]] + READ / 2) / rate
    return _line(times, known)


def _resting_value(piece: NDArray[np.float64], near: float) -> float | None:
    """Most frequent value within `near` of 0: the mean around the fullest bin."""
    inside = piece[np.abs(piece) <= near]
    if inside.size < 0.1 * piece.size:
        return None
    counts, edges = np.histogram(inside, bins=BINS, range=(-near, near))
    smooth = np.convolve(counts, np.ones(5), mode="same")
    middle = float(edges[int(np.argmax(smooth))] + near / BINS)
    around = inside[np.abs(inside - middle) <= 8.0 * near / BINS]
    return float(around.mean()) if around.size else None


def _line(times: NDArray[np.floating], values: NDArray[np.floating]) -> Zero:
    """Straight line through the middle of all slopes; level where the slope is no more than scatter."""
    level = float(np.median(values))
    scatter = 1.4826 * float(np.median(np.abs(values - level)))
    if values.size < 8 or times[-1] <= times[0]:
        return Zero(at_start=level, drift=0.0, uncertainty=scatter)
    first, second = np.triu_indices(values.size, k=1)
    slope = float(np.median((values[second] - values[first]) / (times[second] - times[first])))
    rest = values - slope * times
    at_start = float(np.median(rest))
    left = 1.4826 * float(np.median(np.abs(rest - at_start)))
    stands_out = abs(slope) * float(times[-1] - times[0]) > SURE * left
    if not stands_out:
        return Zero(at_start=level, drift=0.0, uncertainty=scatter / np.sqrt(values.size))
    return Zero(at_start=at_start, drift=slope, uncertainty=left / np.sqrt(values.size))
