"""Kernel: shapes kept tidy, and what is measured on them: gaps, hazard, leakage, flow, front and entry.

All numbers in SI units; arrays as in `_drilling_state`.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.hole._kernel import FAR, open_exit, respace, ring_areas, swept_volume, untangle, volume_between
from gapwright.hole._kernel_gap import look_again, refresh_between
from gapwright.study.drilling._kernel_spark import gap_shape, refresh_hazard
from gapwright.study.grounds._drilling_state import (
    BEYOND,
    BROKEN,
    DEBRIS,
    DEPTH,
    ENTRY,
    EXIT,
    FAR_HAZARD,
    FAR_LEAST,
    FAR_SHAPE,
    FAR_VOLUME,
    FLOW,
    FRONT,
    GAP_MIN,
    GAP_VOLUME,
    LEAK,
    LIFE,
    NARROWNESS,
    OWED_TOOL,
    OWED_WORK,
    SHAPE,
    SINCE_RESPACE,
    SPOT_KNOWN,
    SPOT_RING,
    STIRRED,
    TIP,
    TOOL_FIRST,
    TOOL_STOP,
    WORK_FIRST,
    WORK_STOP,
    Array,
    Counts,
    Setting,
    World,
)

SETTLE = 8  # ticks between two spacings of the surfaces
LIP = 0.75  # of the spacing: a rim at the exit thinner than this breaks away
LOOP = 8  # points a loop at an edge may have
WHOLE_EVERY = 16  # of these between two looks at the whole of both surfaces
WINDOW = 0.6e-3  # m above the front and the tip that are looked at each time
ENTRY_DEPTH = 0.03  # share of the thickness below the face at which the entry is measured
WIDE = 0.2e-3  # m: a gap so wide takes nothing from a flow


@compiled_in_place
def shift_rings(w: World, stop: int, count: int, by: int) -> None:
    """Move what is kept about the rings from `stop` on by some places, as their points have moved."""
    if by > 0:
        for i in range(count - 1, stop - 1, -1):
            _move_ring(w, i, i + by)
    else:
        for i in range(stop, count):
            _move_ring(w, i, i + by)


@compiled_in_place
def _move_ring(w: World, i: int, to: int) -> None:
    w.gap[to], w.area[to], w.hazard[to], w.near[to] = w.gap[i], w.area[i], w.hazard[i], w.near[i]


@compiled_in_place
def tidy(s: Setting, w: World, num: Array, flag: Counts, whole: bool) -> bool:
    """Cut loops, space points evenly, open the exit; what that does to a volume is owed or booked.

    Near the front and the tip, or the whole of both surfaces. Returns whether anything changed.
    """
    n, t = w.sizes[0], w.sizes[1]
    work_first, work_stop, tool_first, tool_stop = 0, n, 0, t
    if not whole:
        work_first, work_stop = flag[WORK_FIRST], flag[WORK_STOP]
        tool_first, tool_stop = flag[TOOL_FIRST], flag[TOOL_STOP]
    work = volume_between(w.work_r, w.work_z, work_first, work_stop)
    tool = volume_between(w.tool_r, w.tool_h, tool_first, tool_stop)
    m, a = untangle(w.work_r, w.work_z, w.state, n, LOOP, work_first, work_stop)
    u, b = untangle(w.tool_r, w.tool_h, w.tool_state, t, LOOP, tool_first, tool_stop)
    m, c = respace(w.work_r, w.work_z, w.state, m, s.spacing, w.work_r.size, work_first, work_stop + m - n)
    u, d = respace(
        w.tool_r, w.tool_h, w.tool_state, u, s.spacing, w.tool_r.size, tool_first, tool_stop + u - t
    )
    w.sizes[0], w.sizes[1] = m, u
    if not whole:
        if m != n:
            shift_rings(w, work_stop, n, m - n)
            flag[WORK_STOP] += m - n
        if u != t:
            flag[TOOL_STOP] += u - t
            for i in range(m):
                if w.near[i] >= tool_stop - 1:
                    w.near[i] += u - t
    num[OWED_WORK] += work - volume_between(w.work_r, w.work_z, work_first, work_stop + m - n)
    num[OWED_TOOL] += tool - volume_between(w.tool_r, w.tool_h, tool_first, tool_stop + u - t)
    if num[FRONT] >= s.thickness or num[EXIT] > 0.0:
        after = swept_volume(w.work_r, w.work_z, m)
        num[EXIT], beyond = open_exit(w.work_r, w.work_z, w.state, m, s.thickness, LIP * s.spacing)
        num[BEYOND] += beyond
        num[BROKEN] += swept_volume(w.work_r, w.work_z, m) - after + beyond
    return bool(a or b or c or d)


@compiled_in_place
def set_window(w: World, num: Array, flag: Counts) -> None:
    """Lay the window around front and tip anew."""
    n, t = w.sizes[0], w.sizes[1]
    stop = n
    while stop > 0 and w.work_z[stop - 1] < num[FRONT] - WINDOW:
        stop -= 1
    start = 0
    while start < stop and w.work_z[start] < num[FRONT] - WINDOW:
        start += 1
    flag[WORK_FIRST], flag[WORK_STOP] = start, stop
    low = 0
    for k in range(t):
        if w.tool_h[k] < w.tool_h[low]:
            low = k
    num[TIP] = w.tool_h[low]
    first, last = low, low
    while first > 0 and w.tool_h[first - 1] < num[TIP] + WINDOW:
        first -= 1
    while last < t - 1 and w.tool_h[last + 1] < num[TIP] + WINDOW:
        last += 1
    flag[TOOL_FIRST], flag[TOOL_STOP] = first, last + 1


@compiled_in_place
def add_up_beyond(s: Setting, w: World, num: Array, flag: Counts) -> None:
    """Add up what lies beyond the window."""
    n, start, stop = w.sizes[0], flag[WORK_FIRST], flag[WORK_STOP]
    hazard, shape, least, volume = 0.0, 0.0, FAR, 0.0
    working = 4.0 * max(num[GAP_MIN], s.smallest_gap)
    for i in range(n):
        if start <= i < stop:
            continue
        hazard += w.hazard[i]
        if w.state[i] != 0:
            continue
        g = max(w.gap[i], s.smallest_gap)
        least = min(least, w.gap[i])
        if g < 1e-3:
            shape += w.area[i] / g
        if g < working:
            volume += w.area[i] * g
    num[FAR_HAZARD], num[FAR_SHAPE], num[FAR_VOLUME] = hazard, shape, volume
    num[FAR_LEAST] = max(least, 1e-12) if least < FAR else 0.0


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
def survey(s: Setting, w: World, num: Array, flag: Counts, whole: bool) -> None:
    """Front and tip; over the whole of both surfaces the entry and what the gap sets against a flow, too."""
    front, tip = num[FRONT], FAR
    for i in range(0 if whole else flag[WORK_FIRST], w.sizes[0] if whole else flag[WORK_STOP]):
        if w.state[i] != 2:
            front = max(front, w.work_z[i])
    num[FRONT] = min(front, s.thickness)
    for k in range(flag[TOOL_FIRST], flag[TOOL_STOP]):
        tip = min(tip, w.tool_h[k])
    num[TIP] = tip
    if not whole and num[EXIT] == 0.0:
        return
    entry = 0.0
    for i in range(w.sizes[0]):
        if w.work_z[i] > ENTRY_DEPTH * s.thickness:
            entry = max(entry, w.work_r[i])
    num[ENTRY] = entry
    if s.flow.through > 0.0:
        num[NARROWNESS] = narrowness(s, w)


@compiled_in_place
def leak(s: Setting, num: Array) -> float:
    """Leakage conductance of the gap with the debris there is [S]."""
    return s.conductivity * num[SHAPE] * (1.0 + 2.0 * num[DEBRIS]) / (1.0 - num[DEBRIS])


@compiled_in_place
def measure(s: Setting, w: World, num: Array, flag: Counts, moved: bool) -> None:
    """Bring gaps, hazards, leakage, flow and exit up to date: near the front, and now and then everywhere.

    On the wall far above the front a move of the electrode changes next to nothing. Where neither
    it nor a crater has changed anything since both surfaces were settled, only the debris has.
    """
    flag[SINCE_RESPACE] += 1
    if moved:
        flag[STIRRED] = flag[SINCE_RESPACE]
    settles = flag[SINCE_RESPACE] % SETTLE == 0
    if not settles and not moved:
        return
    whole = flag[SINCE_RESPACE] % (SETTLE * WHOLE_EVERY) == 0
    if flag[SINCE_RESPACE] - flag[STIRRED] > (SETTLE * WHOLE_EVERY if whole else SETTLE):
        num[LEAK] = leak(s, num)
        return
    changed = False
    if settles:
        changed = tidy(s, w, num, flag, whole)
    n = w.sizes[0]
    if whole:
        num[FAR_HAZARD], num[FAR_SHAPE], num[FAR_LEAST], num[FAR_VOLUME] = 0.0, 0.0, 0.0, 0.0
    first, stop = 0 if whole else flag[WORK_FIRST], n if whole else flag[WORK_STOP]
    ring_areas(w.work_r, w.work_z, n, first, stop, w.area)
    refresh_between(
        w.work_r, w.work_z, w.state, w.tool_r, w.tool_h, w.sizes[1], num[DEPTH], w.near, w.gap, first, stop
    )
    if whole:
        set_window(w, num, flag)
    if whole and changed:
        look_again(
            w.work_r, w.work_z, w.state, flag[WORK_FIRST], flag[WORK_STOP], w.tool_r, w.tool_h, w.sizes[1],
            flag[TOOL_FIRST], flag[TOOL_STOP], num[DEPTH], w.near, w.gap,
        )  # fmt: skip
    num[GAP_VOLUME] = refresh_hazard(s, first, stop, w.state, w.area, w.gap, w.hazard, num)
    flag[SPOT_KNOWN] = 0
    if changed:
        flag[SPOT_RING] = -1
    num[SHAPE] = gap_shape(s, first, stop, w.state, w.area, w.gap) + num[FAR_SHAPE]
    num[LEAK] = leak(s, num)
    if whole:
        add_up_beyond(s, w, num, flag)
    if settles:
        survey(s, w, num, flag, whole)
        flush(s, num)
