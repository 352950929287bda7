"""Kernel: places and weights in the grids of a charge map.

Linear over voltages and phases, a parabola over leaks; weights add up to one.
"""

import numpy as np

from gapwright.base.compiled import compiled_within


@compiled_within
def cell(grid, value):
    """Cell of a rising grid in which a value lies, and how far into it (0 to 1)."""
    n = grid.shape[0]
    if value <= grid[0]:
        return 0, 0.0
    if value >= grid[n - 1]:
        return n - 2, 1.0
    k = min(np.searchsorted(grid, value, side="right") - 1, n - 2)
    return k, (value - grid[k]) / (grid[k + 1] - grid[k])


@compiled_within
def even_cell(grid, value):
    """Cell of an evenly spaced grid in which a value lies, and how far into it (0 to 1)."""
    n = grid.shape[0]
    place = (value - grid[0]) / (grid[n - 1] - grid[0]) * (n - 1)
    place = min(max(place, 0.0), n - 1.0)
    k = min(int(place), n - 2)
    return k, place - k


@compiled_within
def leak_weights(grid, value):
    """First of three leaks and their weights, by which a parabola is drawn through them.

    The weights add up to one, so a balance that holds at the three holds between them.
    """
    if value <= grid[0]:
        return 0, 1.0, 0.0, 0.0
    n = grid.shape[0]
    value = min(value, grid[n - 1])
    k = min(np.searchsorted(grid, value, side="right") - 1, n - 3)
    a, b, c = grid[k], grid[k + 1], grid[k + 2]
    wa = (value - b) * (value - c) / ((a - b) * (a - c))
    wb = (value - a) * (value - c) / ((b - a) * (b - c))
    return k, wa, wb, 1.0 - wa - wb


@compiled_within
def between(table, g, wa, wb, wc, v, wv):
    """Value of a (leaks, nodes) table between its nodes."""
    total = wa * (table[g, v] + wv * (table[g, v + 1] - table[g, v]))
    if wb != 0.0:
        total += wb * (table[g + 1, v] + wv * (table[g + 1, v + 1] - table[g + 1, v]))
    if wc != 0.0:
        total += wc * (table[g + 2, v] + wv * (table[g + 2, v + 1] - table[g + 2, v]))
    return total


@compiled_within
def add_scaled(row, share, out):
    """Add a share of a row."""
    if share != 0.0:
        for a in range(row.shape[0]):
            out[a] += share * row[a]
