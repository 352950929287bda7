"""The zero of a channel: its offset where it rests, and how that drifts."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.units import Number
from gapwright.capture.waveform import Codes, Positions, Times

STRETCHES = 64
"""Pieces of a capture in each of which the zero is sought."""
READ = 16_384
"""Samples of each piece that are looked at."""
LEAST = 256
"""Samples that a piece needs."""
BINS, CROWD = 512, 33
"""Bins from end to end of what is near, and how many of them are taken together for a crowd."""
WIDE = 2.0
"""Standard deviations of a crowd that count in its mean."""
NEAR, NEAR_VOLTS = 0.2, 0.1
"""Part of the whole swing, around the reading's own 0, in which the zero is sought; the same of a gap
voltage, where sparks burn at a fifth of the swing."""
SURE = 4.0
"""How many times its scatter a drift must be before it counts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Zero:
    """What a channel shows where it should show 0, in its own unit, and its drift by the second."""

    at_start: Number
    drift: Number
    """0 where no drift stands out of the scatter."""
    uncertainty: Number
    drift_uncertainty: Number = 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rest:
    """Values at which a channel rests near its zero, and when, for the pieces in which it does."""

    times: Times
    values: Times


def rest_of(
    codes: Codes,
    *,
    scale: float,
    offset: float,
    times: Callable[[Positions], Times],
    near: float = NEAR,
) -> Rest:
    """Value at which a channel rests near its own zero, in each of many pieces.

    It is the most frequent value near the reading's own zero.

    Parameters
    ----------
    codes
        Samples of the channel.
    scale, offset
        What makes values of codes.
    times
        Gives the times of samples.
    near
        Part of the swing in which the zero is sought.
    """
    places = np.unique(np.linspace(0, max(codes.size - READ, 0), STRETCHES).astype(np.int64))
    pieces = [codes[k : k + READ].astype(np.float64) * scale + offset for k in places]
    swing = max(float(np.max(np.abs(piece))) for piece in pieces)
    if swing == 0.0:
        return Rest(times=times(places), values=np.zeros(places.size))
    found = [_resting_value(piece, near * swing) for piece in pieces if piece.size >= min(LEAST, codes.size)]
    rests = np.array([value is not None for value in found])
    middles = places[rests] + min(READ, codes.size) // 2
    return Rest(
        times=times(middles),
        values=np.array([value for value in found if value is not None], dtype=np.float64),
    )


def zero_of(rest: Rest, words: str, example: str) -> Zero:
    """Zero of a channel, and its drift: a straight line through the values at which it rests.

    Parameters
    ----------
    rest
        Where the channel rests.
    words, example
        What rests, and what a user may give instead, for the refusal.

    Raises
    ------
    InputRefused
        If the channel rests nowhere near its zero.
    """
    if rest.values.size == 0:
        raise InputRefused(
            f"{words} for its zero to be found, but it never does; give the zero, such as {example}"
        )
    return _line(rest.times, rest.values)


def _resting_value(piece: NDArray[np.float64], near: float) -> float | None:
    """Most frequent value within `near` of 0: the mean around the place where most values crowd.

    None where few values are there, or most of them crowd at the border: that belongs to another level.
    """
    inside = piece[np.abs(piece) <= near]
    if inside.size < 0.1 * piece.size:
        return None
    counts, edges = np.histogram(inside, bins=BINS, range=(-near, near))
    smooth = np.convolve(counts, np.ones(CROWD), mode="same")
    middle, width = float(edges[int(np.argmax(smooth))] + near / BINS), CROWD * near / BINS
    if abs(middle) > near - width:
        return None
    for _ in range(3):
        around = inside[np.abs(inside - middle) <= width]
        middle = float(around.mean())
        width = min(width, max(WIDE * float(around.std()), near / BINS))
    return middle


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
    many = float(np.sqrt(values.size))
    return Zero(
        at_start=at_start if stands_out else level,
        drift=slope if stands_out else 0.0,
        uncertainty=(left if stands_out else scatter) / many,
        drift_uncertainty=left / many / float(np.std(times)),
    )
