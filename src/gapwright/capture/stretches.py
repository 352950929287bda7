"""From a span of time to samples: which stretches of a capture lie in it, and how many columns each gets."""

from dataclasses import dataclass

import numpy as np

from gapwright.base.units import Seconds
from gapwright.capture.waveform import Capture


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Samples of a window without a gap in time between them, and the columns they are drawn in."""

    first: int
    stop: int
    columns: int


def pieces_between(capture: Capture, begin: Seconds, end: Seconds, *, columns: int) -> tuple[Piece, ...]:
    """Stretches of samples between two times, columns shared out by their length.

    Where more than half as many segments as columns lie in the window, they are
    one piece and the gaps between them are drawn over: they are narrower than a dot.

    Parameters
    ----------
    capture
        Samples with their segments.
    begin, end
        Times since the first sample. [s]
    columns
        Columns of the whole window.

    Returns
    -------
    pieces
        In the order of time; none where nothing was recorded between the times.
    """
    places = capture.segments
    ends = places.times + places.lengths / capture.rate
    low = int(np.searchsorted(ends, begin, side="right"))
    high = int(np.searchsorted(places.times, end, side="left"))
    if low >= high:
        return ()
    first = places.starts[low:high].copy()
    last = first + places.lengths[low:high]
    first[0] += max(int(np.floor((begin - places.times[low]) * capture.rate)), 0)
    seen = int(np.ceil((end - places.times[high - 1]) * capture.rate))
    last[-1] = min(last[-1], places.starts[high - 1] + max(seen, 1))
    first = np.minimum(first, last - 1)
    if 2 * (high - low) > columns:
        return (Piece(first=int(first[0]), stop=int(last[-1]), columns=columns),)
    widths = (last - first) / capture.rate
    share = np.maximum(np.rint(columns * widths / (end - begin)), 1).astype(int)
    return tuple(
        Piece(first=int(a), stop=int(b), columns=int(c)) for a, b, c in zip(first, last, share, strict=True)
    )
