"""How many sparks one simulated spark of a member stands for, so that its gap loop stays what it is.

In time-lapse axis and controller are hastened, but the controller's tick is not:
against wear it is as many times longer. Each tick also hears fewer sparks, so its
mean is rougher. A loop that is calm with that longer tick does not notice; near
its limit it is thrown into shorts that the true loop never meets. Where one step
of the axis is wider than the gap, the end of each step is a touch, and a longer
tick leaves it so for longer. In both cases fewer sparks are taken for one. See
`docs/decisions/0010-restless-loops.md`.
"""

from dataclasses import dataclass

from gapwright.base.units import Metres, PerMetre
from gapwright.motion.loop import is_stable, loop_product
from gapwright.study.drilling.gap_margin import (
    OperatingPoint,
    clean_gap,
    has_margin,
    loop_lag,
    operating_point,
)
from gapwright.study.drilling.one_member import COARSE, COARSE_DRY
from gapwright.study.grounds.assemble import Bench, usual
from gapwright.study.grounds.uncertain import Member

LEAST = 2
"""Sparks for one where the loop is near its limit or beyond: its noise is then close to the true one."""
HOPELESS = 10.0
"""Product of gain, slope and lag from which the loop swings between its speed limits in any time-lapse."""
PACES = (COARSE, 4, LEAST)
LARGEST_SHARE = 0.1
"""Of the gap: most that a law of two speeds may move within the time by which the tick is longer."""
STEEPEST = 0.25
"""Fall of a mean share for each unit of the hazard's logarithm that no way of sensing exceeds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """The time-lapse that a rig's gap loop bears."""

    made: Bench
    point: OperatingPoint | None

    def sparks_for_one(self, member: Member) -> int:
        """Sparks that one simulated spark of a member may stand for.

        Parameters
        ----------
        member
            A draw of the uncertain constants.
        """
        if self.made.dry:
            return COARSE_DRY
        return next((count for count in PACES if self._bears(count, member)), LEAST)

    def _bears(self, count: int, member: Member) -> bool:
        control = self.made.rig.controller
        longer = (count - 1) * control.sample_time
        gap = self._gap(member)
        if self.point is not None and steps_into_contact(self.made, gap):
            return False
        if control.law == "hysteresis":
            return max(control.feed_speed, control.back_speed) * longer <= LARGEST_SHARE * gap
        slope, lag = self._slope(gap, member), loop_lag(self.made)
        if loop_product(control.gain, sensor_slope=slope, lag=lag) > HOPELESS:
            return True
        return is_stable(loop_product(control.gain, sensor_slope=slope, lag=lag + longer))

    def _slope(self, gap: Metres, member: Member) -> PerMetre:
        sensitivity = self.point.sensitivity if self.point is not None else STEEPEST
        return usual(self.made, "ignition-exponent", member) * sensitivity / gap

    def _gap(self, member: Member) -> Metres:
        """Clean gap that the set point asks for; where that is open, one that ignites now and then."""
        often = self.point.hazard if self.point is not None else 1.0 / usual(self.made, "ignition-time")
        return clean_gap(self.made, often, member)


def steps_into_contact(made: Bench, gap: Metres) -> bool:
    """Whether one step of the axis is wider than a gap, so that it ends in a touch.

    Parameters
    ----------
    made
        Rig and job with their facts.
    gap
        Width at which the set point has the next step made. [m]
    """
    return made.rig.axis.resolution > gap


def pace(made: Bench) -> Pace:
    """The time-lapse that a rig's gap loop bears.

    Parameters
    ----------
    made
        Rig and job with their facts.
    """
    return Pace(made=made, point=operating_point(made) if not made.dry and has_margin(made) else None)
