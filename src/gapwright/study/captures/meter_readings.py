"""What meters showed while a capture was taken, and how sure instruments are."""

from dataclasses import dataclass, fields

from gapwright.base.checks import require_between, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Number, Volts, Watts


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterReadings:
    """What meters showed while the capture was taken, and how good instruments are.

    The supply's output is given by a voltage and a mean current, or by a mean
    power, as a capture of both gives it: the mean of a product is not the
    product of means where both swing.
    """

    supply_voltage: Volts | None = None
    supply_current: Number | None = None
    """Mean current out of the supply. [A]"""
    supply_power: Watts | None = None
    """Mean power out of the supply, in place of voltage and current."""
    supply_power_scatter: Number = 0.0
    """Standard uncertainty of that mean from its scatter alone, as a share."""
    socket_power: Watts | None = None
    """Of the supply alone."""
    auxiliary_power: Watts | None = None
    """Of all that runs beside it: spindle, machine, pump, controller."""
    supply_voltage_uncertainty: Number = 0.005
    """Standard uncertainty as a share; those of all four kinds of instruments are from memory."""
    supply_current_uncertainty: Number = 0.01
    socket_power_uncertainty: Number = 0.02
    voltage_gain_uncertainty: Number = 0.02
    """Of the voltage channel with its probe."""
    current_gain_uncertainty: Number = 0.03
    """Of the current channel with its shunt or clamp."""
    capacitance_uncertainty: Number = 0.05

    def __post_init__(self) -> None:
        """Refuse readings that are not above 0, and uncertainties that are no shares."""
        for name, unit in (
            ("supply_voltage", "V"),
            ("supply_current", "A"),
            ("supply_power", "W"),
            ("socket_power", "W"),
            ("auxiliary_power", "W"),
        ):
            value = getattr(self, name)
            if value is not None:
                require_positive(name, value, unit)
        if self.supply_power is not None and (self.supply_voltage or self.supply_current) is not None:
            raise InputRefused(
                "a supply must be measured once, got its power and its voltage or current; leave one out"
            )
        for each in fields(self):
            if each.name.endswith(("_uncertainty", "_scatter")):
                require_between(each.name, getattr(self, each.name), 0.0, 1.0, "")


NO_READINGS = MeterReadings()
"""Nothing but the capture."""
