"""Peaks over one step of a mode that has no well separated terms, turning points inside the step included.

The step is gone through as a search for events does: in octaves from its start
on, each in eight pieces, for what is fast moves most at the start. Where the
slope of a quantity changes its sign within a piece, the turn is found by
halving. An oscillation that outlasts many of its own periods is seen only as
finely as the pieces are there.
"""

from gapwright.base.compiled import compiled_in_place
from gapwright.circuit.engine._ladder_kernel import (
    SPARE,
    apply,
    carried_by_ladder,
    copied_vector,
    doublings,
    multiply,
    row_times,
    short_exponential,
    sign_change,
)
from gapwright.circuit.engine._peak_kernel import SAME, widen

AFTER, BEFORE, RISING, RISEN, SLOPE, AT = range(6)
"""What the vectors are used for: states at the ends of a piece, how they move there, a turn."""
FINE = 4
"""Pieces of an octave, as a power of two: half of so many, since an octave is its second half."""


@compiled_in_place
def rungs(system, h, squares):
    """Exponentials over a step and its halvings; returns how many there are."""
    n = doublings(system, h) + FINE
    short_exponential(system, h / 2.0**n, squares[SPARE + n], squares)
    for j in range(n - 1, -1, -1):
        multiply(squares[SPARE + j + 1], squares[SPARE + j + 1], squares[SPARE + j])
    return n


@compiled_in_place
def turned_value(system, row, width, vectors, squares):
    """Value of a row where its slope changes its sign within a piece."""
    slope = vectors[SLOPE]
    for k in range(slope.shape[0]):
        slope[k] = 0.0
        for i in range(slope.shape[0]):
            slope[k] += row[i] * system[i, k]
    t = sign_change(system, vectors[BEFORE], slope, 0.0, width, vectors[AT], squares)
    carried_by_ladder(system, vectors[BEFORE], t, vectors[AT], squares)
    return row_times(row, vectors[AT], 0.0)


@compiled_in_place
def piece_peaks_by_ladder(system, rows, width, peaks, mine, vectors, squares):
    """Let the peaks take in one piece; returns the highest value of `mine` in it."""
    before, after, rising, risen = vectors[BEFORE], vectors[AFTER], vectors[RISING], vectors[RISEN]
    highest = -1e300
    for r in range(rows.shape[1]):
        row = rows[:, r]
        v0, v1 = row_times(row, before, 0.0), row_times(row, after, 0.0)
        d0, d1 = row_times(row, rising, 0.0), row_times(row, risen, 0.0)
        widen(v0, r, peaks)
        widen(v1, r, peaks)
        high = max(v0, v1)
        if d0 * d1 < 0.0:
            reach = min(abs(d0), abs(d1)) * width
            rises = d0 > 0.0 and (r == mine or high + reach > peaks[0, r] + SAME * abs(peaks[0, r]))
            falls = d0 < 0.0 and min(v0, v1) - reach < peaks[1, r] - SAME * abs(peaks[1, r])
            if rises or falls:
                v = turned_value(system, row, width, vectors, squares)
                widen(v, r, peaks)
                high = max(high, v)
        if r == mine:
            highest = high
    return highest


@compiled_in_place
def ladder_peaks(system, x, rows, h, peaks, mine, vectors, squares):
    """Let the peaks of all rows take in a step; returns the highest value of row `mine`, if any, in it.

    `rows` is (states, quantities), `vectors` room for six states.
    """
    highest = -1e300
    if h <= 0.0:
        return highest
    n = rungs(system, h, squares)
    before, after, rising, risen = vectors[BEFORE], vectors[AFTER], vectors[RISING], vectors[RISEN]
    copied_vector(x, before)
    apply(system, before, rising)
    for octave in range(n, -1, -1):
        fine = n if octave == n else min(octave + FINE, n)
        pieces = 1 if octave == n else 2 ** (fine - octave - 1)
        width = h / 2.0**fine
        for _ in range(pieces):
            apply(squares[SPARE + fine], before, after)
            apply(system, after, risen)
            high = piece_peaks_by_ladder(system, rows, width, peaks, mine, vectors, squares)
            highest = max(highest, high)
            copied_vector(after, before)
            copied_vector(risen, rising)
    return highest
