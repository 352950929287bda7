"""What works the switches of a generator: nothing, a clock, a current limit, or governors."""

from dataclasses import dataclass

from gapwright.base.checks import require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Seconds, Volts
from gapwright.circuit.control.governor import Governed


@dataclass(frozen=True, slots=True, kw_only=True)
class NoControl:
    """Nothing is switched: a relaxation generator charges by itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FixedOnTime:
    """A clock closes the switch for the same time in every period, from time 0 on."""

    switch: str
    period: Seconds
    on_time: Seconds

    def __post_init__(self) -> None:
        """Refuse an on-time that does not fit its period."""
        require_positive("period", self.period, "s")
        require_positive("on_time", self.on_time, "s")
        if self.on_time >= self.period:
            raise InputRefused(
                f"on_time must be shorter than the period of {self.period:g} s, got {self.on_time:g} s"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class PeakCurrent:
    """The switch opens when the coil reaches its limit and closes after a least off-time.

    At the end of the off-time the control looks at the store. If its voltage
    is at `voltage_limit` or above, the switch stays open until the store has fallen
    by `hysteresis`. If the coil still carries
    the limit or more (the store is below the supply), the control waits until
    it has fallen to the limit and then another least off-time. Else the
    switch closes. The store's voltage is taken across its terminals, series
    resistance included.
    """

    switch: str
    limit: Amperes
    minimum_off_time: Seconds
    voltage_limit: Volts
    hysteresis: Volts = 0.0

    def __post_init__(self) -> None:
        """Refuse limits that cannot work."""
        require_positive("limit", self.limit, "A")
        require_positive("minimum_off_time", self.minimum_off_time, "s")
        require_finite("voltage_limit", self.voltage_limit, "V")
        require_not_negative("hysteresis", self.hysteresis, "V")

    @property
    def release(self) -> Volts:
        """Store voltage at which charging starts again, in V."""
        return self.voltage_limit - self.hysteresis


Control = NoControl | FixedOnTime | PeakCurrent | Governed
