"""Compiled cores of axis and gap control, one tick at a time.

The state of an axis is one float array: `TOOL` is where the tool stands [m],
`MOTOR` where the motor would stand with endless resolution [m], `SPEED` the
motor's speed [m/s], `STEPPED` the last whole step [m], `CURSOR` the place of
the newest command in the ring that fills the rest: commands still under way
[m/s]. Positive is into the work.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gapwright.base.compiled import compiled

TOOL = 0
MOTOR = 1
SPEED = 2
STEPPED = 3
CURSOR = 4
RING = 5


class AxisConstants(NamedTuple):
    """An axis as the kernels take it; made by `gapwright.motion.axis.Axis.constants`."""

    resolution: float
    backlash: float
    feed_limit: float
    retract_limit: float
    acceleration: float
    lag: float
    tick: float
    stiction: float


@compiled
def delayed_command(state: NDArray[np.float64], command: float, lag_ticks: float) -> float:
    """Put `command` into the ring and give the one `lag_ticks` ago [m/s].

    A share of a tick mixes the two commands beside it.
    """
    size = len(state) - RING
    newest = (int(state[CURSOR]) + 1) % size
    state[CURSOR] = newest
    state[RING + newest] = command
    whole = int(lag_ticks)
    part = lag_ticks - whole
    late = state[RING + (newest - whole) % size]
    later = state[RING + (newest - whole - 1) % size]
    return (1.0 - part) * late + part * later  # type: ignore[no-any-return]


@compiled
def step_axis(state: NDArray[np.float64], command: float, axis: AxisConstants) -> float:
    """Move the axis through one tick under a commanded speed; gives the tool's position [m].

    Order: lag, speed limits, acceleration limit, motion, whole steps, backlash, stiction.
    The motor changes speed at its acceleration, then runs evenly for the rest of the tick.
    A slide that sticks stays until its drive has wound up by `stiction`, then follows at once.
    """
    wanted = delayed_command(state, command, axis.lag / axis.tick)
    wanted = min(axis.feed_limit, max(-axis.retract_limit, wanted))
    old = state[SPEED]
    most = axis.acceleration * axis.tick
    speed = min(old + most, max(old - most, wanted))
    state[SPEED] = speed
    change = speed - old
    state[MOTOR] += speed * axis.tick - 0.5 * change * abs(change) / axis.acceleration
    stepped = axis.resolution * np.floor(state[MOTOR] / axis.resolution + 0.5)
    state[STEPPED] = stepped
    driven = min(stepped + axis.backlash, max(stepped, state[TOOL]))
    if abs(driven - state[TOOL]) >= axis.stiction:
        state[TOOL] = driven
    return state[TOOL]  # type: ignore[no-any-return]


@compiled
def low_passed(previous: float, sample: float, interval: float, time_constant: float) -> float:
    """Output of a first-order filter after `interval` of a constant `sample`; same unit as `sample`."""
    if time_constant <= 0.0:
        return sample
    return sample + (previous - sample) * np.exp(-interval / time_constant)  # type: ignore[no-any-return]


@compiled
def proportional_command(mean_share: float, set_point: float, gain: float) -> float:
    """Commanded speed of the proportional law [m/s]: above the set point the electrode feeds."""
    return gain * (mean_share - set_point)


@compiled
def hysteresis_state(before: int, share: float, set_point: float, half_band: float) -> int:
    """What the law with hysteresis does: 1 feeds above the band, -1 goes back below it, else as before."""
    if share > set_point + half_band:
        return 1
    return -1 if share < set_point - half_band else before
