"""What a drilling asks of the rig's parts and of the person beside it."""

from dataclasses import dataclass, fields

from gapwright.base.checks import require_finite, require_not_negative, require_positive
from gapwright.base.units import ActionIntegral, Amperes, Henries, Hertz, Joules, Seconds, Volts, Watts


@dataclass(frozen=True, slots=True, kw_only=True)
class Stress:
    """Peaks, means and spark figures of one drilling, as plain SI numbers.

    The spark figures are 0 where the rig never sparks.
    """

    store_volts: Volts
    """Highest voltage on the store."""
    stored_energy_j: Joules
    """Energy on the store at that voltage."""
    reverse_volts: Volts
    """Lowest voltage that a spark leaves on the store: below 0, or 0 where it never reverses."""
    spark_energy_j: Joules
    """Median gap energy of a spark."""
    spark_rate_hz: Hertz
    peak_current_a: Amperes
    """Highest current of a spark."""
    action_a2s: ActionIntegral
    """Action integral of one spark."""
    short_circuit_current_a: Amperes
    """Direct current that a gap shorted for good draws."""
    feed_into_arc_a: Amperes
    """Mean current that the charger pushes into an arc that stands."""
    coil_peak_a: Amperes | None
    """Highest coil current, start-up included; None without a coil."""
    charging_resistor_w: Watts
    """Mean heat of the charging resistor while drilling; 0 without one."""
    lead_inductance_h: Henries
    duration_s: Seconds
    """Time of one drilling."""
    leak_current_a: Amperes
    """Mean current through the liquid past the sparks."""

    def __post_init__(self) -> None:
        """Refuse what is not a finite number, and what lies on the wrong side of 0."""
        for each in fields(self):
            value = getattr(self, each.name)
            if each.name == "coil_peak_a" and value is None:
                continue
            if each.name == "reverse_volts":
                require_finite(each.name, value, "V")
                require_not_negative("-reverse_volts", -value, "V")
            elif each.name == "lead_inductance_h":
                require_positive(each.name, value, "H")
            else:
                require_not_negative(each.name, value, "")
