"""Kernel: the end of a control tick: what the controller sees, what is kept, whether it is over.

All numbers in SI units; arrays as in `_drilling_state`.
"""

from gapwright.base.compiled import compiled_in_place
from gapwright.gap._kernel import debris_after
from gapwright.motion._kernel import low_passed
from gapwright.study._drilling_state import (
    AT_DEPTH,
    C_OPEN,
    DEBRIS,
    DEPTH,
    ENTRY,
    EXIT,
    FRONT,
    MEAN,
    PROGRESS,
    PROGRESS_AT,
    RUNNING,
    SENSED,
    SHORT_TIME,
    SHORTED,
    STARVED,
    STRIDE,
    THROUGH,
    TICK,
    TIME,
    TIMED_OUT,
    USED_UP,
    VOLT_TIME,
    VOLT_TOTAL,
    WAITING,
    Array,
    Counts,
    Setting,
    World,
)

ENTRY_DEPTH = 0.03  # share of the thickness below the face at which the entry is measured


@compiled_in_place
def settle(s: Setting, w: World, num: Array) -> int:
    """Close a tick: filter, debris, front, time. Returns why to stop, or RUNNING."""
    num[MEAN] = num[VOLT_TIME] / s.tick
    num[VOLT_TOTAL] += num[VOLT_TIME] * s.batch
    num[SENSED] = low_passed(num[SENSED], num[MEAN], s.tick, s.filter)
    num[TIME] += s.tick * s.batch
    life = s.debris_life * (1.0 + (num[FRONT] / s.debris_depth) ** 2)
    num[DEBRIS] = debris_after(num[DEBRIS], s.tick, 0.0, 1.0, life, s.debris_cap)
    w.class_time[C_OPEN] += num[WAITING] * s.batch
    num[WAITING] = 0.0
    front, worn, entry = 0.0, 1.0, 0.0
    for i in range(w.sizes[0]):
        if w.state[i] != 2:
            front = max(front, w.work_z[i])
        if w.work_z[i] > ENTRY_DEPTH * s.thickness:
            entry = max(entry, w.work_r[i])
    for k in range(w.sizes[1]):
        worn = min(worn, w.tool_h[k])
    num[FRONT] = front
    num[ENTRY] = entry
    if front > num[PROGRESS] + 1e-6:
        num[PROGRESS] = front
        num[PROGRESS_AT] = num[TIME]
    return ending(s, num, front, worn)


@compiled_in_place
def ending(s: Setting, num: Array, front: float, worn: float) -> int:
    """Why the drilling is over, or RUNNING."""
    if s.through > 0.0:
        if num[EXIT] >= s.swept or (num[EXIT] > 0.0 and num[DEPTH] - worn > s.thickness + s.over_travel):
            return THROUGH
    elif front >= s.target:
        return AT_DEPTH
    if worn > s.length - s.thickness:
        return USED_UP
    if num[TIME] >= s.time_limit:
        return TIMED_OUT
    if num[EXIT] == 0.0 and num[TIME] - num[PROGRESS_AT] > s.patience * s.batch:
        return SHORTED if num[SHORT_TIME] * s.batch > 0.5 * num[TIME] else STARVED
    return RUNNING


@compiled_in_place
def note(trace: Array, num: Array, flag: Counts) -> None:
    """Keep a thinned record of time, depth and mean voltage; trace[0, 0] is the count of rows."""
    stride = max(1, flag[STRIDE])
    if flag[TICK] % stride != 0:
        return
    n = int(trace[0, 0]) + 1
    if n >= trace.shape[0]:
        kept = 0
        for k in range(1, trace.shape[0], 2):
            kept += 1
            for c in range(trace.shape[1]):
                trace[kept, c] = trace[k, c]
        flag[STRIDE] = 2 * stride
        n = kept + 1
    trace[n, 0] = num[TIME]
    trace[n, 1] = num[FRONT]
    trace[n, 2] = num[MEAN]
    trace[0, 0] = n
