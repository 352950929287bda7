"""Kernel: a drilling, control tick by control tick, until it ends.

Each tick moves the axis by what the controller sensed, measures the gaps,
lets the generator run against them, and wears both bodies. Leaves after a
bounded number of ticks with a reason code, so that progress and cancelling
work. All numbers in SI units; arrays as in `_drilling_state`.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.circuit._map_kernel import MapArrays
from gapwright.hole._kernel import open_exit, respace, ring_areas, swept_volume, untangle
from gapwright.hole._kernel_gap import refresh_gaps
from gapwright.motion._kernel import proportional_command, step_axis
from gapwright.study._drilling_state import (
    ASPERITY,
    BEYOND,
    BRIDGE,
    BROKEN,
    C_SHORT,
    CARRY,
    DEPTH,
    EXIT,
    FRONT,
    GAP_MIN,
    GAP_VOLUME,
    IS_SHORT,
    LEAK,
    NEXT_SHAPE,
    OWED_TOOL,
    OWED_WORK,
    RECOVERED_AT,
    RUNNING,
    SENSED,
    SHORT_AT,
    SINCE_RESPACE,
    SPEED,
    STANDING,
    STREAK,
    TICK,
    TIME,
    VOLT_TIME,
    VOLTS,
    WAITING,
    Array,
    Bits,
    Counts,
    Setting,
    World,
)
from gapwright.study._kernel_electric import (
    F_DURATION,
    SPARK,
    TOUCH,
    enter_short,
    ignite_now,
    leave_short,
    next_discharge,
    stay_short,
)
from gapwright.study._kernel_record import is_full, keep_tick
from gapwright.study._kernel_settling import note, settle
from gapwright.study._kernel_spark import STANDS, leakage, refresh_hazard, strike

SETTLE = 8  # ticks between two spacings of the surfaces
LIP = 0.75  # of the spacing: a rim at the exit thinner than this breaks away
LOOP = 8  # points a loop at an edge may have
THOROUGH_EVERY = 16  # spacings between two searches of the whole electrode
STANDING_ROW = 5  # ticks in a row with an arc that stood


@compiled_in_place
def servo(s: Setting, num: Array, flag: Counts, axis_state: Array) -> bool:
    """Move the electrode by the proportional law; returns whether it moved."""
    if flag[IS_SHORT] == 1 or num[SENSED] < s.short_volts:
        speed = -s.axis.retract_limit
    else:
        speed = proportional_command(num[SENSED] / s.open_volts, s.set_volts / s.open_volts, s.gain)
    if speed < 0.0 and num[DEPTH] < num[FRONT] - 1e-3:
        speed = 0.0
    before = num[DEPTH]
    num[SPEED] = speed
    num[DEPTH] = step_axis(axis_state, speed, s.axis)
    return bool(num[DEPTH] != before)


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
def measure(s: Setting, w: World, num: Array, flag: Counts, moved: bool) -> None:
    """Bring gaps, hazards, leakage and exit up to date."""
    flag[SINCE_RESPACE] += 1
    if flag[SINCE_RESPACE] % SETTLE != 0 and not moved:
        return
    changed = False
    if flag[SINCE_RESPACE] % SETTLE == 0:
        changed = tidy(s, w, num)
    thorough = changed and flag[SINCE_RESPACE] % (SETTLE * THOROUGH_EVERY) == 0
    ring_areas(w.work_r, w.work_z, w.sizes, w.area)
    refresh_gaps(
        w.work_r, w.work_z, w.state, w.tool_r, w.tool_h, w.sizes, num[DEPTH], thorough, w.near, w.gap
    )
    num[GAP_VOLUME] = refresh_hazard(s, w.sizes[0], w.state, w.area, w.gap, w.hazard, num)
    num[LEAK] = leakage(s, w.sizes[0], w.state, w.area, w.gap)


@compiled_in_place
def begin_short(
    m: MapArrays,
    signs: Array,
    w: World,
    num: Array,
    flag: Counts,
    energy: Array,
    scratch: Array,
    retreat: float,
    batch: int,
) -> float:
    """Enter a short that ends once the electrode has retreated by `retreat`. Returns its time so far [s]."""
    w.class_count[C_SHORT] += batch
    num[SHORT_AT] = num[DEPTH]
    num[BRIDGE] = retreat
    return enter_short(m, signs, num, flag, energy, scratch)


@compiled_in_place
def touch(
    s: Setting,
    m: MapArrays,
    signs: Array,
    w: World,
    num: Array,
    flag: Counts,
    keys: Bits,
    counts: Bits,
    energy: Array,
    scratch: Array,
    facts: Array,
    log: Array,
) -> float:
    """A contact on a dry rig: an arc on making, a blown neck, or a short. Returns its time [s]."""
    volts = num[VOLTS]
    overlap = max(0.0, num[ASPERITY] - num[GAP_MIN])
    neck = np.sqrt(2.0 * s.asperity_radius * overlap)
    action = 0.5 * s.capacitance * volts * volts / s.loop_ohms
    blown = action >= s.neck_constant * (np.pi * neck * neck) ** 2
    if volts >= s.strike_volts and (s.arc_makes > 0.0 or blown):
        time = ignite_now(m, signs, num, flag, energy, scratch, facts)
        strike(s, w, num, flag, keys, counts, facts, log)
        least = 1.0
        for i in range(w.sizes[0]):
            if w.state[i] == 0:
                least = min(least, w.gap[i])
        num[GAP_MIN] = least
        return time
    return begin_short(m, signs, w, num, flag, energy, scratch, overlap + s.bridge_length, s.batch)


@compiled_in_place
def run_tick(
    s: Setting,
    m: MapArrays,
    signs: Array,
    w: World,
    exposure: Array,
    volt_time: Array,
    num: Array,
    flag: Counts,
    keys: Bits,
    counts: Bits,
    energy: Array,
    scratch: Array,
    facts: Array,
    log: Array,
) -> bool:
    """Let the generator run for one tick; returns whether an arc stood."""
    left = s.tick - num[CARRY]
    num[VOLT_TIME] = 0.0
    standing = False
    while left > 0.0:
        if flag[IS_SHORT] == 1:
            if num[DEPTH] > num[SHORT_AT] - num[BRIDGE]:
                stay_short(m, signs, num, energy, scratch, left)
                w.class_time[C_SHORT] += left * s.batch
                left = 0.0
                break
            num[RECOVERED_AT] = num[TIME] + (s.tick - left) * s.batch
            left -= leave_short(m, signs, num, flag, energy, scratch)
            continue
        if s.liquid > 0.0 and num[GAP_MIN] <= 0.0:
            left -= begin_short(m, signs, w, num, flag, energy, scratch, 5e-6, s.batch)
            continue
        what, left = next_discharge(
            s, m, signs, exposure, volt_time, num, flag, keys, counts, energy, scratch, facts, left
        )
        if what == SPARK:
            if facts[F_DURATION] > STANDS:
                standing = True
            bridge = strike(s, w, num, flag, keys, counts, facts, log)
            if bridge > 0.0:
                left -= begin_short(m, signs, w, num, flag, energy, scratch, bridge, s.batch)
        elif what == TOUCH:
            left -= touch(s, m, signs, w, num, flag, keys, counts, energy, scratch, facts, log)
    num[CARRY] = -left
    return standing


@compiled_in_place
def drill(
    s: Setting,
    m: MapArrays,
    signs: Array,
    w: World,
    exposure: Array,
    volt_time: Array,
    num: Array,
    flag: Counts,
    keys: Bits,
    counts: Bits,
    energy: Array,
    scratch: Array,
    facts: Array,
    log: Array,
    trace: Array,
    axis_state: Array,
    ticks: int,
) -> int:
    """Drill on for at most `ticks` ticks; returns why it stopped."""
    for _ in range(ticks):
        moved = servo(s, num, flag, axis_state)
        measure(s, w, num, flag, moved)
        standing = run_tick(
            s, m, signs, w, exposure, volt_time, num, flag, keys, counts, energy, scratch, facts, log
        )
        waited = num[WAITING] * s.batch
        why = settle(s, w, num)
        flag[STREAK] = flag[STREAK] + 1 if standing else 0
        note(trace, num, flag)
        flag[TICK] += 1
        keep_tick(w, num, flag, waited)
        if flag[STREAK] >= STANDING_ROW:
            return STANDING
        if why != RUNNING:
            return why
        if is_full(w, flag) or num[FRONT] >= num[NEXT_SHAPE]:
            return RUNNING
    return RUNNING
