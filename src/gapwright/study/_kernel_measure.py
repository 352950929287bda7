"""Kernel: shapes kept tidy, and what is measured on them: gaps, hazard, leakage, flow, front and entry.

All numbers in SI units; arrays as in `_drilling_state`.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.hole._kernel import open_exit, respace, ring_areas, swept_volume, untangle
from gapwright.hole._kernel_gap import refresh_gaps
from gapwright.study._drilling_state import (
    BEYOND,
    BROKEN,
    DEBRIS,
    DEPTH,
    ENTRY,
    EXIT,
    FLOW,
    FRONT,
    GAP_VOLUME,
    LEAK,
    LIFE,
    NARROWNESS,
    OWED_TOOL,
    OWED_WORK,
    SHAPE,
    SINCE_RESPACE,
    SPOT_KNOWN,
    TIP,
    Array,
    Counts,
    Setting,
    World,
)
from gapwright.study._kernel_spark import gap_shape, lowest, refresh_hazard

SETTLE = 8  # ticks between two spacings of the surfaces
LIP = 0.75  # of the spacing: a rim at the exit thinner than this breaks away
LOOP = 8  # points a loop at an edge may have
THOROUGH_EVERY = 16  # spacings between two searches of the whole electrode
ENTRY_DEPTH = 0.03  # share of the thickness below the face at which the entry is measured
WIDE = 0.2e-3  # m: a gap so wide takes nothing from a flow


@compiled_in_place
def tidy(s: Setting, w: World, num: Array) -> bool:
    """Cut loops, space points evenly, open the exit; what that does to a volume is owed or booked."""
    n, t = w.sizes[0], w.sizes[1]
    work = swept_volume(w.work_r, w.work_z, n)
    tool = swept_volume(w.tool_r, w.tool_h, t)
    n, a = untangle(w.work_r, w.work_z, w.state, n, LOOP)
    t, b = untangle(w.tool_r, w.tool_h, w.tool_state, t, LOOP)
    n, c = respace(w.work_r, w.work_z, w.state, n, s.spacing, w.work_r.size)
    t, d = respace(w.tool_r, w.tool_h, w.tool_state, t, s.spacing, w.tool_r.size)
    w.sizes[0], w.sizes[1] = n, t
    after = swept_volume(w.work_r, w.work_z, n)
    num[OWED_WORK] += work - after
    num[OWED_TOOL] += tool - swept_volume(w.tool_r, w.tool_h, t)
    num[EXIT], beyond = open_exit(w.work_r, w.work_z, w.state, n, s.thickness, LIP * s.spacing)
    num[BEYOND] += beyond
    num[BROKEN] += swept_volume(w.work_r, w.work_z, n) - after + beyond
    return bool(a or b or c or d)


@compiled_in_place
def narrowness(s: Setting, w: World) -> float:
    """What the gap from the bore's rim to the entry sets against a flow, over the viscosity [1/m³]."""
    total = 0.0
    for i in range(1, w.sizes[0]):
        if w.state[i] != 0 or w.state[i - 1] != 0 or w.work_r[i] <= s.flow.bore or w.gap[i] > WIDE:
            continue
        way = np.hypot(w.work_r[i] - w.work_r[i - 1], w.work_z[i] - w.work_z[i - 1])
        g = max(w.gap[i], s.smallest_gap)
        total += 12.0 * way / (2.0 * np.pi * w.work_r[i] * g * g * g)
    return total


@compiled_in_place
def flush(s: Setting, num: Array) -> None:
    """Flow through the bore, and the time in which the gap loses its debris."""
    f = s.flow
    deeper = 1.0 + (num[FRONT] / f.depth) ** 2
    if f.through == 0.0:
        num[LIFE] = f.life * deeper
        return
    behind = 0.0 if num[EXIT] > 0.0 else f.viscosity * num[NARROWNESS]
    num[FLOW] = f.pressure / (f.bore_resistance + behind)
    num[LIFE] = min(f.still_life * deeper, f.life * f.reference / num[FLOW])


@compiled_in_place
def survey(s: Setting, w: World, num: Array) -> None:
    """Front, entry and tip, over the whole of both surfaces."""
    front, entry = 0.0, 0.0
    for i in range(w.sizes[0]):
        if w.state[i] != 2:
            front = max(front, w.work_z[i])
        if w.work_z[i] > ENTRY_DEPTH * s.thickness:
            entry = max(entry, w.work_r[i])
    num[FRONT], num[ENTRY], num[TIP] = min(front, s.thickness), entry, lowest(w)


@compiled_in_place
def measure(s: Setting, w: World, num: Array, flag: Counts, moved: bool) -> None:
    """Bring gaps, hazards, leakage, flow and exit up to date."""
    flag[SINCE_RESPACE] += 1
    settles = flag[SINCE_RESPACE] % SETTLE == 0
    if not settles and not moved:
        return
    changed = False
    if settles:
        changed = tidy(s, w, num)
    thorough = changed and flag[SINCE_RESPACE] % (SETTLE * THOROUGH_EVERY) == 0
    ring_areas(w.work_r, w.work_z, w.sizes, w.area)
    refresh_gaps(
        w.work_r, w.work_z, w.state, w.tool_r, w.tool_h, w.sizes, num[DEPTH], thorough, w.near, w.gap
    )
    num[GAP_VOLUME] = refresh_hazard(s, w.sizes[0], w.state, w.area, w.gap, w.hazard, num)
    flag[SPOT_KNOWN] = 0
    num[SHAPE] = gap_shape(s, w.sizes[0], w.state, w.area, w.gap)
    num[LEAK] = s.conductivity * num[SHAPE] * (1.0 + 2.0 * num[DEBRIS]) / (1.0 - num[DEBRIS])
    if settles:
        survey(s, w, num)
        if s.flow.through > 0.0:
            num[NARROWNESS] = narrowness(s, w)
        flush(s, num)
