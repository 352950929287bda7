"""Skew: how much later the current channel shows what the voltage channel shows."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.units import Hertz, Seconds

ENOUGH = 12
"""Edges from which a skew can be estimated."""
MOST = 4000
LOW, HIGH = 0.1, 0.4
"""Parts of a rise between which its line is drawn back to its foot."""
BENT = 0.01
"""Part of a rise by which that foot may be off, since no rise is straight; 0.4 % for a half sine."""
BETWEEN = 12.0**-0.5
"""A collapse falls anywhere between two samples: its standard uncertainty, in samples."""
STANDING = 0.9
"""Quantile of the voltage before a rise that is taken for what stood there."""
SAMPLES_LOOKED_AT = 4_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Skew:
    """How late the current comes, its standard uncertainty, and from how many edges."""

    seconds: Seconds
    uncertainty: Seconds
    edges: int


def current_skew(volts: NDArray[np.float32], amperes: NDArray[np.float32], *, rate: Hertz) -> Skew:
    """Skew of a current behind its voltage, from the edges of the sparks.

    At a breakdown the voltage collapses at the moment the current begins. The
    collapse is timed where half of it is done, the current where the line
    through a tenth and two fifths of its first rise meets the level before it.

    Parameters
    ----------
    volts
        Gap voltage.
    amperes
        Gap current, its zero taken out.
    rate
        Samples in a second. [Hz]

    Raises
    ------
    InputRefused
        If too few edges stand out.
    """
    volts, amperes = volts[:SAMPLES_LOOKED_AT], amperes[:SAMPLES_LOOKED_AT]
    window = _window(amperes)
    rises = _rises(np.abs(amperes), window)[:MOST]
    late = [
        found
        for k in rises
        if (found := _one(volts[k - window : k + window], np.abs(amperes[k - window : k + window])))
        is not None
    ]
    if len(late) < ENOUGH:
        raise InputRefused(
            f"a skew must come from at least {ENOUGH} clear edges, got {len(late)}; "
            'give it, such as --current-delay "12 ns"'
        )
    values, lengths = np.array(late).T
    middle = float(np.median(values))
    scatter = 1.4826 * float(np.median(np.abs(values - middle)))
    # The median of n values scatters by a quarter more than their mean; what all edges share stays.
    shared = np.hypot(BETWEEN, BENT * float(np.median(lengths)))
    uncertainty = np.hypot(1.2533 * scatter / np.sqrt(values.size), shared)
    return Skew(seconds=middle / rate, uncertainty=float(uncertainty) / rate, edges=values.size)


def _window(amperes: NDArray[np.float32]) -> int:
    """Samples before and after a rise that are looked at: one pulse, roughly, and not the next."""
    high = np.abs(amperes) > 0.5 * float(np.max(np.abs(amperes)))
    edges = np.flatnonzero(np.diff(np.concatenate([[False], high, [False]]).astype(np.int8)))
    lengths = edges[1::2] - edges[::2]
    if lengths.size < 3:
        return int(np.clip(4 * np.median(lengths), 8, 2000)) if lengths.size else 8
    long = lengths[lengths > 0.3 * np.quantile(lengths, 0.9)]
    return int(np.clip(min(4 * np.median(long), 0.45 * np.median(np.diff(edges[::2]))), 8, 2000))


def _rises(size: NDArray[np.float32], window: int) -> NDArray[np.int64]:
    """Samples at which the current passes two fifths of its greatest value, going up after a rest."""
    level = 0.4 * float(np.max(size))
    up = np.flatnonzero((size[:-1] < level) & (size[1:] >= level)) + 1
    up = up[(up > window) & (up < size.size - window)]
    apart = np.concatenate([[True], np.diff(up) > window]) if up.size else np.zeros(0, dtype=bool)
    found: NDArray[np.int64] = up[apart]
    return found


def _one(volts: NDArray[np.float32], amperes: NDArray[np.float32]) -> tuple[float, float] | None:
    """How much later a current comes than its voltage falls, and its rise, in samples; None if unclear."""
    half = volts.size // 2
    rise = _foot(amperes, half)
    quiet = max(half // 4, 2)
    before = float(np.quantile(volts[:half], STANDING))
    burning = float(np.min(volts[half : half + quiet]))
    if rise is None or before - burning <= 0.0 or before <= 0.0:
        return None
    foot, length = rise
    middle = 0.5 * (before + burning)
    below = np.flatnonzero((volts[:-1] >= middle) & (volts[1:] < middle))
    if below.size == 0:
        return None
    k = int(below[np.argmin(np.abs(below - foot))])
    fall = k + float(volts[k] - middle) / float(volts[k] - volts[k + 1])
    return foot - fall, length


def _foot(amperes: NDArray[np.float32], half: int) -> tuple[float, float] | None:
    """Where the line through the first rise meets the level before it, and how far the peak is from there."""
    peak = half + int(np.argmax(amperes[half:]))
    ground = float(np.median(amperes[: max(half // 2, 2)]))
    swing = float(amperes[peak]) - ground
    if swing <= 0.0:
        return None
    places = [_crossing(amperes, ground + part * swing, peak) for part in (LOW, HIGH)]
    if places[0] is None or places[1] is None or places[1] <= places[0]:
        return None
    slope = (HIGH - LOW) / (places[1] - places[0])
    foot = places[0] - LOW / slope
    return foot, peak - foot


def _crossing(values: NDArray[np.float32], level: float, end: int) -> float | None:
    """Last place before `end` at which the values pass `level` going up."""
    up = np.flatnonzero((values[:end] < level) & (values[1 : end + 1] >= level))
    if up.size == 0:
        return None
    k = int(up[-1])
    return k + (level - float(values[k])) / float(values[k + 1] - values[k])
