"""Clipped samples: where the recorder stood at an end of its range."""

import numpy as np

from gapwright.capture.recording import Channel
from gapwright.capture.waveform import Codes

LOOKED_AT = 2_000_000
"""Samples from which the smallest difference is found."""

PILE = 4
"""Equal samples in a row at the very end of the values that mean clipping, where noise would part them."""

TURNS = 0.2
"""Part of the samples at which pure noise, where it stands out, turns round; two thirds without signal."""

CHUNK = 1 << 22


def smallest_step(codes: Codes) -> float:
    """Smallest difference between two sample values, in codes; 0 where there is no lattice.

    Counts of a converter differ by whole codes. Samples in volts still show
    the converter's steps: all differences are then multiples of the smallest.
    """
    if codes.dtype.kind == "i":
        return 1.0
    levels = np.unique(codes[:LOOKED_AT].astype(np.float64))
    if not 2 <= levels.size <= 1 << 16:
        return 0.0
    differences = np.diff(levels)
    largest = float(np.max(np.abs(levels)))
    differences = differences[differences > 8.0 * np.finfo(np.float32).eps * largest]
    if differences.size == 0:
        return 0.0
    # The mean over all differences of the shortest kind is finer than any one of them.
    shortest = float(differences.min())
    step = float(differences[differences < 1.5 * shortest].mean())
    multiples = differences / step
    slack = 0.02 + 8.0 * np.finfo(np.float32).eps * largest / step
    fits = bool(np.all(np.abs(multiples - np.round(multiples)) < slack * np.maximum(multiples, 1.0)))
    return step if fits and slack < 0.25 else 0.0


def clipped_share(channel: Channel) -> float:
    """Share of samples that stand at an end of the recorder's range.

    With known rails they are counted. Without, a run of equal samples at the
    very end of all values counts where the signal's own noise would part them.
    """
    codes = channel.codes
    if channel.rails is not None:
        low, high = channel.rails
        return sum(_at_or_past(codes[k : k + CHUNK], low, high) for k in range(0, codes.size, CHUNK)) / (
            codes.size
        )
    if codes.dtype.kind == "i" or not _is_noisy(codes):
        return 0.0
    return sum(_piled(codes, end) for end in (codes.min(), codes.max())) / codes.size


def _at_or_past(codes: Codes, low: float, high: float) -> int:
    return int(np.count_nonzero(codes <= low) + np.count_nonzero(codes >= high))


def _is_noisy(codes: Codes) -> bool:
    """Whether the values within the range go up and down by more than one step, as noise does."""
    some = codes[:LOOKED_AT]
    inside = (some > some.min()) & (some < some.max())
    differences = np.diff(some)
    within = inside[2:] & inside[1:-1] & inside[:-2]
    before, after = differences[:-1][within], differences[1:][within]
    if before.size == 0:
        return False
    turns = float(np.mean((before < 0) & (after > 0)) + np.mean((before > 0) & (after < 0)))
    return turns > TURNS and float(np.median(np.abs(after - before))) > 1.5 * smallest_step(codes)


def _piled(codes: Codes, end: float) -> int:
    """Samples at `end` that stand in runs too long for noise."""
    total, open_run = 0, 0
    for first in range(0, codes.size, CHUNK):
        at_end = codes[first : first + CHUNK] == end
        edges = np.flatnonzero(np.diff(np.concatenate([[False], at_end, [False]]).astype(np.int8)))
        lengths = edges[1::2] - edges[::2]
        if lengths.size and edges[0] == 0:
            lengths[0] += open_run
        elif open_run >= PILE:
            total += open_run
        open_run = 0
        if lengths.size and edges[-1] == at_end.size:
            open_run, lengths = int(lengths[-1]), lengths[:-1]
        total += int(lengths[lengths >= PILE].sum())
    return total + (open_run if open_run >= PILE else 0)
