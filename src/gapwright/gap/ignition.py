"""What ignites the sparks of a rig, said in plain words."""

from dataclasses import dataclass
from enum import StrEnum

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import Amperes, Field, Henries, Metres, Ohms, Volts
from gapwright.gap.breakdown import PLATEAU, strike_gap
from gapwright.gap.contact import CLEAN, OILY_FACTOR, can_arc, largest_inductance
from gapwright.gap.delay import MARGIN

GLOW: Volts = 300.0
"""Voltage below which air cannot break down before the faces nearly touch [V]."""

BRIDGED: Volts = 45.0
"""Voltage below which chains of debris ignite most sparks in a liquid (common practice) [V]."""


class Way(StrEnum):
    """How a spark starts."""

    FIELD = "field"
    BRIDGE = "bridge"
    BREAK = "break"
    MELT = "melt"
    AIR = "air"
    LIQUID = "liquid"
    DEBRIS = "debris"
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class DryRig:
    """What decides how a rig without liquid strikes."""

    voltage: Volts
    inductance: Henries
    charging_resistance: Ohms
    least_arc_voltage: Volts
    least_arc_current: Amperes
    strike_field: Field
    is_oily: bool = False

    def __post_init__(self) -> None:
        """Refuse values outside their ranges."""
        require_positive("voltage", self.voltage, "V")
        require_not_negative("inductance", self.inductance, "H")
        require_not_negative("charging_resistance", self.charging_resistance, "Ω")
        require_positive("least_arc_voltage", self.least_arc_voltage, "V")
        require_positive("least_arc_current", self.least_arc_current, "A")
        require_positive("strike_field", self.strike_field, "V/m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ignition:
    """How sparks start, at what gap, and the sentence that says it."""

    way: Way
    gap: Metres
    text: str


def dry_ignition(rig: DryRig) -> Ignition:
    """What ignites a rig without liquid: air, field just before touch, a blown bridge, or only melting."""
    gap = strike_gap(rig.voltage, field=rig.strike_field)
    volts = f"{rig.voltage:g} V"
    if rig.voltage > PLATEAU:
        return Ignition(way=Way.AIR, gap=gap, text=f"{volts} breaks down the air itself.")
    if not can_arc(rig.voltage, least_arc_voltage=rig.least_arc_voltage):
        return Ignition(way=Way.MELT, gap=0.0, text=_melting(rig))
    most = largest_inductance(
        rig.voltage,
        arc_voltage=rig.least_arc_voltage,
        least_arc_current=rig.least_arc_current,
        allowed_time=CLEAN * (OILY_FACTOR if rig.is_oily else 1.0),
    )
    if rig.inductance <= most:
        text = (
            f"Below {GLOW:g} V air does not break down: {volts} strikes only at {1e6 * gap:.2g} µm, "
            "less than the roughness of the faces. Sparks come by near-contact and contact, "
            "so a dry rig is slow."
        )
        return Ignition(way=Way.FIELD, gap=gap, text=text)
    feeds = rig.charging_resistance * rig.least_arc_current < rig.voltage
    return Ignition(way=Way.BREAK if feeds else Way.BRIDGE, gap=0.0, text=_touching(rig, most, feeds=feeds))


def _melting(rig: DryRig) -> str:
    """Say that there is no arc."""
    return (
        f"{rig.voltage:g} V cannot hold an arc between these metals, which needs more than "
        f"{rig.least_arc_voltage + 1.0:g} V: contact only melts the faces."
    )


def _touching(rig: DryRig, most: Henries, *, feeds: bool) -> str:
    """Say that the faces must touch, and what happens then."""
    then = "the charger draws an arc as they part" if feeds else "the store blows the bridge of metal"
    return (
        f"The faces must touch: the loop's {1e6 * rig.inductance:.2g} µH is more than the "
        f"{1e6 * most:.2g} µH at which a clean make still arcs. Sparks come when {then}; "
        "a shorter loop would help."
    )


def liquid_ignition(open_voltage: Volts, *, burning_voltage: Volts, gap: Metres) -> Ignition:
    """What ignites a rig in liquid, at the gap where it works.

    Parameters
    ----------
    open_voltage
        Highest voltage that the open gap sees, above 0. [V]
    burning_voltage
        Voltage of a burning spark, above 0. [V]
    gap
        Gap at which the rig works, above 0. [m]

    Raises
    ------
    InputRefused
        If a value is not above 0.
    """
    require_positive("open_voltage", open_voltage, "V")
    require_positive("burning_voltage", burning_voltage, "V")
    require_positive("gap", gap, "m")
    at = f"{open_voltage:.3g} V across about {1e6 * gap:.2g} µm"
    if open_voltage <= burning_voltage + MARGIN:
        text = (
            f"{open_voltage:.3g} V is not enough: a useful chance of ignition begins {MARGIN:g} V above the "
            f"burning voltage of {burning_voltage:.3g} V."
        )
        return Ignition(way=Way.NOTHING, gap=gap, text=text)
    if open_voltage < BRIDGED:
        text = f"{at}: below {BRIDGED:g} V most sparks start at bridges of debris and touches; expect shorts."
        return Ignition(way=Way.DEBRIS, gap=gap, text=text)
    text = f"{at}: the liquid itself breaks down by chance, the sooner the narrower and dirtier the gap."
    return Ignition(way=Way.LIQUID, gap=gap, text=text)
