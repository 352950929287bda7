"""A stepper axis: whole steps, backlash, limits of speed and acceleration, lag."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.checks import require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Acceleration, Metres, Number, Seconds, Speed
from gapwright.motion._kernel import MOTOR, RING, STEPPED, TOOL, AxisConstants, step_axis


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """An axis as built; `resolution` is the true step of the tool, whatever the microsteps.

    Speeds into the work are limited by `feed_limit`, out of it by
    `retract_limit`; `lag` passes between a command and the motor's answer.
    """

    resolution: Metres
    backlash: Metres
    feed_limit: Speed
    retract_limit: Speed
    acceleration: Acceleration
    lag: Seconds
    stiction: Metres = 0.0
    """Way by which the drive winds up before a slide at rest breaks loose."""

    def __post_init__(self) -> None:
        """Refuse an axis that cannot be."""
        require_positive("resolution", self.resolution, "m")
        require_not_negative("backlash", self.backlash, "m")
        require_positive("feed_limit", self.feed_limit, "m/s")
        require_positive("retract_limit", self.retract_limit, "m/s")
        require_positive("acceleration", self.acceleration, "m/s²")
        require_not_negative("lag", self.lag, "s")
        require_not_negative("stiction", self.stiction, "m")

    def constants(self, tick: Seconds) -> AxisConstants:
        """The same numbers as the kernels take them, stepped once every `tick`."""
        require_positive("tick", tick, "s")
        return AxisConstants(
            resolution=self.resolution,
            backlash=self.backlash,
            feed_limit=self.feed_limit,
            retract_limit=self.retract_limit,
            acceleration=self.acceleration,
            lag=self.lag,
            tick=tick,
            stiction=self.stiction,
        )


def resting_state(axis: AxisConstants, *, position: Metres = 0.0) -> NDArray[np.float64]:
    """State of an axis at rest with the tool at `position` and the backlash taken up for feeding.

    Parameters
    ----------
    axis
        The axis and its tick.
    position
        Where the tool stands, a whole number of steps. [m]

    Raises
    ------
    InputRefused
        If the position is not finite or not a whole number of steps.
    """
    require_finite("position", position, "m")
    steps = round(position / axis.resolution)
    if abs(position / axis.resolution - steps) > 1e-6:
        raise InputRefused(
            f"position must be a whole number of steps of {axis.resolution:g} m, got {position:g} m"
        )
    state = np.zeros(RING + int(axis.lag / axis.tick) + 2)
    state[[TOOL, MOTOR, STEPPED]] = steps * axis.resolution
    return state


def moved(state: NDArray[np.float64], command: Speed, *, axis: AxisConstants) -> Metres:
    r"""Position of the tool one tick later, under a commanded speed.

    Parameters
    ----------
    state
        State of the axis, from `resting_state`; it is changed.
    command
        Commanded speed, positive into the work. [m/s]
    axis
        The axis and its tick.

    Returns
    -------
    position
        Position of the tool. [m]

    Raises
    ------
    InputRefused
        If the command is not finite.

    Notes
    -----
    The command is delayed, limited in speed and change of speed, summed, and

    .. math:: q = \Delta \left\lfloor \frac{x}{\Delta} + \tfrac12 \right\rfloor, \quad
              d = \min(q + b, \max(q, z)), \quad z = d \text{ where } |d - z| \ge s

    with the stiction s.
    Holds for a motor that loses no steps.
    Leaves out: ringing between steps, the spring of the frame.

    References
    ----------
    definition

    Examples
    --------
    >>> axis = Axis(resolution=10e-6, backlash=0.0, feed_limit=1e-3, retract_limit=3e-3,
    ...             acceleration=10.0, lag=0.0).constants(10e-3)
    >>> state = resting_state(axis)
    >>> for _ in range(5):
    ...     position = moved(state, 1e-3, axis=axis)
    >>> print(f"{1e6 * position:.0f} µm")
    50 µm
    """
    require_finite("command", command, "m/s")
    return step_axis(state, command, axis)


def ticks_per_step(command: Speed, *, axis: AxisConstants) -> Number:
    r"""Ticks that pass between two whole steps at a steady speed.

    Parameters
    ----------
    command
        Steady speed, above 0. [m/s]
    axis
        The axis and its tick.

    Returns
    -------
    ticks
        Ticks for each step; below 1 the axis takes several steps in a tick.

    Raises
    ------
    InputRefused
        If the command is not above 0.

    Notes
    -----
    .. math:: n = \frac{\Delta}{v T}

    Holds below the speed limits. Leaves out: backlash.

    References
    ----------
    definition

    Examples
    --------
    >>> axis = Axis(resolution=10e-6, backlash=0.0, feed_limit=1e-3, retract_limit=3e-3,
    ...             acceleration=1.0, lag=2e-3)
    >>> print(f"{ticks_per_step(20e-6, axis=axis.constants(1e-3)):.0f}")
    500
    """
    require_positive("command", command, "m/s")
    return axis.resolution / (command * axis.tick)
