"""Kernel: a drilling, control tick by control tick, until it ends.

Each tick moves the axis by what the controller sensed, measures the gaps,
lets the generator run against them, and wears both bodies. Leaves after a
bounded number of ticks with a reason code, so that progress and cancelling
work. All numbers in SI units; arrays as in `_drilling_state`.
"""

from gapwright.base.compiled import compiled_in_place, compiled_within
from gapwright.circuit.map._map_kernel import MapArrays
from gapwright.study.drilling._kernel_electric import F_DURATION, SPARK, TOUCH, next_discharge, spend_return
from gapwright.study.drilling._kernel_measure import measure
from gapwright.study.drilling._kernel_pulses import class_of_pulse
from gapwright.study.drilling._kernel_record import is_full, keep_tick
from gapwright.study.drilling._kernel_servo import servo
from gapwright.study.drilling._kernel_settling import note, settle
from gapwright.study.drilling._kernel_shorts import (
    NEVER,
    begin_short,
    bridge_of_debris,
    go_through_short,
    touch,
)
from gapwright.study.drilling._kernel_spark import STANDS, strike
from gapwright.study.grounds._drilling_state import (
    CARRY,
    CHARGING,
    FRONT,
    GAP_MIN,
    IS_SHORT,
    NEXT_SHAPE,
    READY_TIME,
    RUNNING,
    SPARK_HEAT,
    STANDING,
    STREAK,
    TICK,
    VOLT_TIME,
    WAITING,
    Array,
    Bits,
    Counts,
    Setting,
    World,
)

STANDING_ROW = 5  # ticks in a row with an arc that stood


@compiled_within
def run_tick(
    s: Setting,
    m: MapArrays,
    signs: Array,
    w: World,
    exposure: Array,
    volt_time: Array,
    ready_time: Array,
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
    num[READY_TIME] = 0.0
    num[SPARK_HEAT] = 0.0
    standing = False
    while left > 0.0:
        if flag[IS_SHORT] == 1:
            left = go_through_short(s, m, signs, w, num, flag, keys, counts, energy, scratch, left)
            continue
        if s.liquid > 0.0 and num[GAP_MIN] <= 0.0:
            left -= begin_short(s, m, signs, w, num, flag, energy, scratch, s.bridge_retract, NEVER)
            continue
        what, left = next_discharge(
            s, m, signs, exposure, volt_time, ready_time, w, num, flag, keys, counts,
            energy, scratch, facts, left,
        )  # fmt: skip
        if what == SPARK:
            if facts[F_DURATION] > STANDS:
                standing = True
            took = num[CHARGING]
            crossed = strike(s, w, num, flag, keys, counts, facts, log)
            if s.prompt > 0.0:
                class_of_pulse(s, w, num, flag, facts, took)
            num[VOLT_TIME] += spend_return(s, w, num, flag, keys, counts, facts)
            if s.liquid > 0.0 and crossed > 0.0:
                bridge = bridge_of_debris(s, num, keys, counts, crossed)
                if bridge > 0.0:
                    left -= begin_short(s, m, signs, w, num, flag, energy, scratch, bridge, s.bridge_burn)
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
    ready_time: Array,
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
            s, m, signs, w, exposure, volt_time, ready_time, num, flag, keys, counts,
            energy, scratch, facts, log,
        )  # fmt: skip
        waited = num[WAITING] * s.batch
        why = settle(s, w, num, flag)
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
