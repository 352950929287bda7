"""Kernel: the end of a control tick: what the controller sees, what is kept, whether it is over.

All numbers in SI units; arrays as in `_drilling_state`.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.gap._kernel import debris_after
from gapwright.motion._kernel import low_passed
from gapwright.study.drilling._kernel_servo import sense
from gapwright.study.grounds._drilling_state import (
    AT_DEPTH,
    BOILED,
    BOILS,
    C_OPEN,
    CROWDED,
    DEBRIS,
    DEPTH,
    EXIT,
    FLOW,
    FRONT,
    GAP_HEAT,
    HOTTEST,
    HOTTEST_WALL,
    LIFE,
    LOOKED_AT,
    LOOKED_FRONT,
    LOOKED_OPEN,
    LOOKED_SHORT,
    MEAN,
    OPEN_TIME,
    PASSED,
    POWER,
    PROGRESS,
    PROGRESS_AT,
    RUNNING,
    SHAPE,
    SHORT_BEFORE,
    SHORT_TIME,
    SHORTED,
    SPARK_HEAT,
    SPARKS_BEFORE,
    STARVED,
    STRIDE,
    THROUGH,
    TICK,
    TIME,
    TIMED_OUT,
    TIP,
    USED_UP,
    VOLT_TIME,
    VOLT_TOTAL,
    WAITING,
    WALL_RISE,
    Array,
    Counts,
    Setting,
    World,
)

SMOOTH = 0.2  # s over which the power of the discharges is averaged for what it heats
BOILING_FOR = 10.0  # s for which the wall may be above the boiling point
TENTH = 0.1  # of the pace that would be needed: a drilling gets faster with depth, but not tenfold
MOST = 0.5  # of the time: what takes more of it is what a drilling ends of
ONLY_SHORTS = 0.9  # of the time: a drilling shorted for more has not run out of time but of sparks
FULL = 1.0 - 1e-9  # of the most debris that the law allows


@compiled_in_place
def settle(s: Setting, w: World, num: Array, flag: Counts) -> int:
    """Close a tick: filter, debris, heat, time. Returns why to stop, or RUNNING."""
    num[MEAN] = num[VOLT_TIME] / s.tick
    num[VOLT_TOTAL] += num[VOLT_TIME] * s.batch
    sense(s, num, flag)
    num[TIME] += s.tick * s.batch
    if num[DEBRIS] >= FULL * s.debris_cap:
        num[CROWDED] += s.tick * s.batch
    num[DEBRIS] = debris_after(num[DEBRIS], s.tick, 0.0, 1.0, num[LIFE], s.debris_cap)
    warm(s, num)
    w.class_time[C_OPEN] += num[WAITING] * s.batch
    num[OPEN_TIME] += num[WAITING]
    num[WAITING] = 0.0
    if num[FRONT] > num[PROGRESS] + 1e-6:
        num[PROGRESS] = num[FRONT]
        num[PROGRESS_AT] = num[TIME]
        num[SHORT_BEFORE] = num[SHORT_TIME]
        num[SPARKS_BEFORE] = flag[PASSED]
    return ending(s, num, num[FRONT], num[TIP])


@compiled_in_place
def warm(s: Setting, num: Array) -> None:
    """Temperatures of the hole's wall and of the liquid in the gap under the power of the discharges.

    Heat leaves by the workpiece around the hole and by the flow through the bore,
    and crosses the gap between the two. Without a driven flow the wall keeps its own
    share only: what the liquid took leaves it as vapour.
    """
    h = s.heat
    num[POWER] = low_passed(num[POWER], num[SPARK_HEAT] / s.tick, s.tick * s.batch, SMOOTH)
    outer = min(h.outer, np.sqrt(4.0 * h.diffusivity * num[TIME]))
    to_wall, to_liquid = h.to_work * num[POWER], h.to_liquid * num[POWER]
    carried, across = h.flow_capacity * num[FLOW], 2.0 * h.liquid_conductivity * num[SHAPE]
    rise = 0.0
    if outer > s.swept:
        away = 1.0 / (h.plate * np.log(outer / s.swept))
        if carried > 0.0:
            gained = (carried + across) * to_wall + across * to_liquid
            rise = gained / (away * (carried + across) + across * carried)
        else:
            rise = to_wall / away
    num[WALL_RISE] = rise
    num[HOTTEST_WALL] = max(num[HOTTEST_WALL], h.ambient + rise)
    if s.liquid == 0.0:
        return
    if carried + across > 0.0:
        num[GAP_HEAT] = h.ambient + (to_liquid + across * rise) / (carried + across)
        num[HOTTEST] = max(num[HOTTEST], num[GAP_HEAT])
    hot = h.ambient + rise >= h.boiling
    num[BOILED] = num[BOILED] + s.tick * s.batch if hot else 0.0


@compiled_in_place
def leads_nowhere(s: Setting, num: Array, front: float) -> int:
    """Why to give a drilling up that is ten times too slow to end in time, or RUNNING.

    It is looked at over stretches as long as the patience. Before a limit that the job states only
    one that is all shorts is given up: any other is followed, to tell how deep it gets. The marks of
    the stretch that decided are left as they are.
    """
    stretch = num[TIME] - num[LOOKED_AT]
    if stretch <= s.patience or num[EXIT] > 0.0:
        return RUNNING
    shorted = (num[SHORT_TIME] - num[LOOKED_SHORT]) * s.batch
    waited = (num[OPEN_TIME] - num[LOOKED_OPEN]) * s.batch
    gained, needed = front - num[LOOKED_FRONT], TENTH * (s.target - front) * stretch
    if gained * (s.time_limit - num[TIME]) < needed:
        if shorted > (MOST if s.open_ended > 0.0 else ONLY_SHORTS) * stretch:
            return SHORTED
        if s.open_ended > 0.0:
            return STARVED if waited > MOST * stretch else TIMED_OUT
    num[LOOKED_AT], num[LOOKED_FRONT] = num[TIME], front
    num[LOOKED_SHORT], num[LOOKED_OPEN] = num[SHORT_TIME], num[OPEN_TIME]
    return RUNNING


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
    still = num[TIME] - num[PROGRESS_AT]
    if num[EXIT] == 0.0 and still > s.patience:
        return SHORTED if (num[SHORT_TIME] - num[SHORT_BEFORE]) * s.batch > MOST * still else STARVED
    nowhere = leads_nowhere(s, num, front)
    if nowhere != RUNNING:
        return nowhere
    if num[TIME] >= s.time_limit:
        return SHORTED if num[SHORT_TIME] * s.batch > ONLY_SHORTS * num[TIME] else TIMED_OUT
    if num[BOILED] > BOILING_FOR:
        return BOILS
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
