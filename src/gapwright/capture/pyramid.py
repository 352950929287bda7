"""Least and greatest value of ever larger blocks of samples, so that any window is drawn at once."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gapwright.base.checks import require_between
from gapwright.base.errors import InputRefused
from gapwright.capture.waveform import Codes

FIRST_BLOCK = 64
"""Samples in a block of the lowest level."""
FACTOR = 8
"""Blocks of one level that make a block of the next."""
FEWEST = 1024
"""Blocks below which no further level is made."""
AT_ONCE = 1 << 22
"""Samples that are gone through at a time."""

Extremes = NDArray[Any]
"""Least and greatest codes of blocks, shape (2, blocks)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pyramid:
    """Levels of extremes over one channel; level k has blocks of ``64 * 8**k`` samples."""

    count: int
    """Samples of the channel."""
    levels: tuple[Extremes, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class View:
    """A window, ready to be drawn: each column from its least to its greatest code."""

    edges: NDArray[np.int64]
    """First sample of each column, and the end of the last."""
    least: Codes
    greatest: Codes


def block_size(level: int) -> int:
    """Samples in a block of a level."""
    return FIRST_BLOCK * int(FACTOR**level)


def blocks_of(count: int) -> list[int]:
    """Blocks of each level over so many samples."""
    blocks = [-(-count // FIRST_BLOCK)]
    while blocks[-1] > FEWEST:
        blocks.append(-(-blocks[-1] // FACTOR))
    return blocks


def pyramid_of(codes: Codes) -> Pyramid:
    """All levels over a channel, in one pass over its samples."""
    levels = [_lowest_level(codes)]
    while levels[-1].shape[1] > FEWEST:
        levels.append(_next_level(levels[-1]))
    return Pyramid(count=codes.size, levels=tuple(levels))


def _lowest_level(codes: Codes) -> Extremes:
    blocks = -(-codes.size // FIRST_BLOCK)
    answer = np.zeros((2, blocks), dtype=codes.dtype)
    for first in range(0, codes.size, AT_ONCE):
        piece = codes[first : first + AT_ONCE]
        _fill(answer[:, first // FIRST_BLOCK :], piece, piece, FIRST_BLOCK)
    return answer


def _next_level(below: Extremes) -> Extremes:
    answer = np.zeros((2, -(-below.shape[1] // FACTOR)), dtype=below.dtype)
    _fill(answer, below[0], below[1], FACTOR)
    return answer


def _fill(into: Extremes, least: Codes, greatest: Codes, size: int) -> None:
    """Put the extremes of blocks of `size` into the first columns; the last block may be shorter."""
    whole = least.size // size
    into[0, :whole] = least[: whole * size].reshape(whole, size).min(axis=1)
    into[1, :whole] = greatest[: whole * size].reshape(whole, size).max(axis=1)
    if whole * size < least.size:
        into[0, whole] = least[whole * size :].min()
        into[1, whole] = greatest[whole * size :].max()


def window(codes: Codes, pyramid: Pyramid, *, start: int, stop: int, columns: int) -> View:
    """Extremes of a window in so many columns; single samples where there are no more than that.

    Exact: edges of wide columns are moved to the nearest edge of a block, so
    that columns differ a little in width, and the answer says where they are.

    Raises
    ------
    InputRefused
        If the window is not inside the capture, or there is no column.
    """
    require_between("columns of a view", columns, 1, 100_000, "")
    if not 0 <= start < stop <= codes.size:
        raise InputRefused(
            f"a window must lie within 0 to {codes.size} samples and not be empty, got {start} to {stop}"
        )
    edges = np.linspace(start, stop, min(columns, stop - start) + 1).astype(np.int64)
    width = (stop - start) // (edges.size - 1)
    # A column holds at least four blocks, so that moving its edges changes its width by a quarter at most.
    usable = [k for k in range(len(pyramid.levels)) if 4 * block_size(k) <= width]
    if not usable:
        piece = codes[start:stop]
        at = edges[:-1] - start
        return View(
            edges=edges, least=np.minimum.reduceat(piece, at), greatest=np.maximum.reduceat(piece, at)
        )
    return _from_level(codes, pyramid.levels[usable[-1]], block_size(usable[-1]), edges)


def _from_level(codes: Codes, level: Extremes, size: int, edges: NDArray[np.int64]) -> View:
    """Columns whose inner edges stand between blocks; only the two outer ends look at samples."""
    start, stop = int(edges[0]), int(edges[-1])
    first, last = -(-start // size), stop // size
    inner = np.clip((edges[1:-1] + size // 2) // size, first + 1, last - 1)
    at = np.concatenate([[first], inner])
    least = np.minimum.reduceat(level[0, :last], at)
    greatest = np.maximum.reduceat(level[1, :last], at)
    for column, piece in ((0, codes[start : first * size]), (-1, codes[last * size : stop])):
        if piece.size:
            least[column] = min(least[column], piece.min())
            greatest[column] = max(greatest[column], piece.max())
    return View(
        edges=np.concatenate([[start], inner * size, [stop]]),
        least=least,
        greatest=greatest,
    )
