"""Kernel: reading tables over the stretches of a charge map between their points. All numbers in SI units."""

import numpy as np

from gapwright.base.compiled import compiled, compiled_within
from gapwright.study.grounds._drilling_state import Array


@compiled
def phase_integral(segment_time: Array, segment_volts: Array, exponent: float, floor: float) -> Array:
    """Integral of volts**exponent above `floor` over time, from a segment's start to each phase.

    Shapes as in the charge map: (charts, leaks, volts) and (..., phases).
    """
    table = np.zeros_like(segment_volts)
    nc, ng, nv, nj = segment_volts.shape
    for c in range(nc):
        for g in range(ng):
            for v in range(nv):
                dt = segment_time[c, g, v] / (nj - 1)
                before = 0.0
                for j in range(nj):
                    u = segment_volts[c, g, v, j]
                    now = u**exponent if u > floor else 0.0
                    if j > 0:
                        table[c, g, v, j] = table[c, g, v, j - 1] + 0.5 * dt * (before + now)
                    before = now
    return table


@compiled_within
def weights(grid_volts: Array, grid_leaks: Array, volts: float, leak: float) -> tuple[int, float, int, float]:
    """Cell and fraction of (leak, volts) in the charge map's grid."""
    nv, ng = grid_volts.size, grid_leaks.size
    x = (volts - grid_volts[0]) / (grid_volts[1] - grid_volts[0])
    iv = min(max(int(np.floor(x)), 0), nv - 2)
    ig = 0
    while ig < ng - 2 and grid_leaks[ig + 1] < leak:
        ig += 1
    fg = (leak - grid_leaks[ig]) / (grid_leaks[ig + 1] - grid_leaks[ig])
    return ig, min(1.0, max(0.0, fg)), iv, x - iv


@compiled_within
def at_phase(table: Array, chart: int, ig: int, fg: float, iv: int, fv: float, j: int) -> float:
    """Value of a phase table between its grid points."""
    low = (1.0 - fv) * table[chart, ig, iv, j] + fv * table[chart, ig, iv + 1, j]
    high = (1.0 - fv) * table[chart, ig + 1, iv, j] + fv * table[chart, ig + 1, iv + 1, j]
    return (1.0 - fg) * low + fg * high


@compiled_within
def phase_of(table: Array, chart: int, ig: int, fg: float, iv: int, fv: float, wanted: float) -> float:
    """Phase (0 to 1) at which a growing phase table reaches `wanted`."""
    nj = table.shape[3]
    before = 0.0
    for j in range(1, nj):
        now = at_phase(table, chart, ig, fg, iv, fv, j)
        if now >= wanted:
            part = (wanted - before) / (now - before) if now > before else 1.0
            return (j - 1 + part) / (nj - 1)
        before = now
    return 1.0
