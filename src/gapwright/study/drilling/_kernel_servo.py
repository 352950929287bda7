"""Kernel: what the controller senses and commands: its law, what it does on a short, periodic lifts.

All numbers in SI units; arrays as in `_drilling_state`.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.motion._kernel import hysteresis_state, low_passed, proportional_command, step_axis
from gapwright.study.grounds._drilling_state import (
    BACK_FROM,
    BACKING,
    BY_DELAY,
    BY_STORE,
    DEBRIS,
    DEPTH,
    FEEDING,
    FELT,
    FRONT,
    HYSTERESIS,
    IS_SHORT,
    LIFT_FROM,
    LIFTING,
    LIFTS,
    MEAN,
    NEXT_LIFT,
    READY_TIME,
    SENSED,
    SPEED,
    TIME,
    VOLTS,
    Array,
    Counts,
    Setting,
)

FARTHEST = 1e-3  # m above the front, beyond which a short is not answered by going back farther
LANDING = 60e-6  # m above where a lift began, at which it ends and the law takes over
SLOWEST = 0.05  # of the lift's speed, at its ends


@compiled_in_place
def sense(s: Setting, num: Array, flag: Counts) -> None:
    """Take this tick's reading into the filtered ones."""
    num[SENSED] = low_passed(num[SENSED], num[MEAN], s.tick, s.filter)
    felt = num[MEAN] / s.open_volts
    if s.control.senses == BY_STORE:
        felt = 0.0 if flag[IS_SHORT] == 1 else num[VOLTS] / s.open_volts
    elif s.control.senses == BY_DELAY:
        felt = min(1.0, num[READY_TIME] / s.tick)
    num[FELT] = low_passed(num[FELT], felt, s.tick, s.filter)


@compiled_in_place
def lift_speed(s: Setting, num: Array, flag: Counts) -> float:
    """Speed of a lift: up, and down again to just above where it began, braking in time."""
    c = s.control
    if flag[LIFTING] == 1:
        left = num[DEPTH] - (num[LIFT_FROM] - c.lift_height)
        if left > 0.0:
            return -min(c.lift_speed, np.sqrt(s.axis.acceleration * left) + SLOWEST * c.lift_speed)
        flag[LIFTING] = 2
    left = num[LIFT_FROM] - LANDING - num[DEPTH]
    if left <= 0.0 or flag[IS_SHORT] == 1 or num[SENSED] < c.short_volts:
        flag[LIFTING] = 0
        flag[LIFTS] += 1
        num[NEXT_LIFT] = num[TIME] + c.lift_every
        kept = num[FRONT] / (num[FRONT] + c.lift_height)
        num[DEBRIS] *= kept ** (1.0 / s.batch)
        return 0.0
    return min(c.lift_speed, np.sqrt(s.axis.acceleration * left) + SLOWEST * c.lift_speed)


@compiled_in_place
def wanted_speed(s: Setting, num: Array, flag: Counts) -> float:
    """Speed that the controller commands [m/s]."""
    c = s.control
    if flag[LIFTING] > 0:
        return lift_speed(s, num, flag)
    shorted = flag[IS_SHORT] == 1 or num[SENSED] < c.short_volts
    if shorted and flag[BACKING] == 0:
        flag[BACKING] = 1
        num[BACK_FROM] = num[DEPTH]
    elif not shorted and num[SENSED] >= c.resume_volts and num[DEPTH] <= num[BACK_FROM] - c.short_lift:
        flag[BACKING] = 0
    if flag[BACKING] == 1:
        return -c.retract_speed
    if c.lift_every > 0.0 and num[TIME] >= num[NEXT_LIFT] and num[FRONT] > 0.0:
        flag[LIFTING] = 1
        num[LIFT_FROM] = num[DEPTH]
        return lift_speed(s, num, flag)
    if c.law == HYSTERESIS:
        flag[FEEDING] = hysteresis_state(flag[FEEDING], num[FELT], c.set_share, c.half_band)
        if flag[FEEDING] == 0:
            return 0.0
        return c.feed_speed if flag[FEEDING] > 0 else -c.back_speed
    return max(-c.retract_speed, proportional_command(num[FELT], c.set_share, c.gain))


@compiled_in_place
def servo(s: Setting, num: Array, flag: Counts, axis_state: Array) -> bool:
    """Move the electrode by the controller's law; returns whether it moved."""
    speed = wanted_speed(s, num, flag)
    farthest = FARTHEST + s.control.short_lift
    if speed < 0.0 and flag[LIFTING] == 0 and num[DEPTH] < num[FRONT] - farthest:
        speed = 0.0
    before = num[DEPTH]
    num[SPEED] = speed
    num[DEPTH] = step_axis(axis_state, speed, s.axis)
    return bool(num[DEPTH] != before)
