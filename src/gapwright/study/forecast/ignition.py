"""What ignites a rig's sparks, in words, and what a liquid would change."""

from scipy.optimize import brentq

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Metres, Volts
from gapwright.facts.limits import limit
from gapwright.facts.liquids import liquid
from gapwright.facts.priors import prior
from gapwright.gap.breakdown import (
    ATMOSPHERE,
    PLATEAU,
    paschen_minimum_pressure_gap,
    paschen_voltage,
    strike_gap,
)
from gapwright.gap.bridge import discharge_action, largest_blown_radius
from gapwright.gap.contact import largest_inductance
from gapwright.rig.generator import farads_at_gap
from gapwright.rig.priors import chosen_prior
from gapwright.rig.rig import loop_resistance
from gapwright.study.grounds.assemble import HAZARD_HEADROOM, Bench, usual

CONTACT_BELOW: Volts = 300.0
"""Open voltage below which air passes no spark but by contact [V]; Curtis 1940: a glow needs about 300 V."""
WIDEST_AIR_GAP: Metres = 1e-2
FIELD_OF = {"water": "effective-field-water", "hydrocarbon": "effective-field-oil"}


def ignition_in_words(made: Bench, gap_m: Metres | None) -> str:
    """What ignites the sparks of this rig: sentences without the last full stop.

    Parameters
    ----------
    made
        Rig and job with their facts.
    gap_m
        Working gap that the forecast found, None where it found none. [m]
    """
    if not made.dry:
        return _by_breakdown_of_liquid(made, gap_m)
    return _by_contact(made) if made.ceiling < CONTACT_BELOW else _by_breakdown_of_air(made)


def what_a_liquid_changes(made: Bench) -> str:
    """What water would change in a dry rig, as sentences; empty for a rig that has a liquid.

    Parameters
    ----------
    made
        Rig and job with their facts.
    """
    if not made.dry:
        return ""
    wider = usual(made, "contact-field") / usual(made, FIELD_OF["water"])
    dry = usual(made, "removal-per-energy-dry") * usual(made, "dry-redeposition")
    wet = usual(made, "removal-per-energy")
    share = chosen_prior(made.rig.priors, prior("effective-share"))
    flash, cover = limit("flash-point-preferred").value, limit("liquid-cover").value
    removes = (
        f"{100 * share.median:.0f} % of sparks remove ({100 * share.low:.0f} to {100 * share.high:.0f} %)"
    )
    wet_touch, dry_touch = (printed_quantity(limit(f"touch-{way}-dc").value, "V") for way in ("wet", "dry"))
    return (
        f"A liquid would let the same voltage strike across a gap about {wider:.0f} times wider in water, "
        f"so that a coarse axis shorts less. Each joule that does remove takes about {wet / dry:.0f} times "
        f"the metal ({_per_kilojoule(wet)} against {_per_kilojoule(dry)} mm³ for each kilojoule), yet only "
        f"some {removes}, which leaves about {share.median * wet / dry:.0f} times overall. "
        f"{_voltage_in_water(made)} It brings its own cautions: bare parts to at most {wet_touch} instead "
        f"of {dry_touch} and a residual-current device for water; at least {printed_quantity(cover, 'm')} "
        f"over the spark and a flash point above {printed_quantity(flash - 273.15, '°C')} for oil, which "
        "must never only drip."
    )


def _per_kilojoule(removal: float) -> str:
    """A removal in cubic millimetres for each kilojoule; `removal` in m³/J."""
    return f"{removal * 1e12:.2g}"


def _voltage_in_water(made: Bench) -> str:
    """Whether the dry rig's voltage would do in water."""
    needs = liquid("deionised-water").burning_voltage.value + usual(made, HAZARD_HEADROOM)
    bridged = usual(made, "bridge-dominated-voltage")
    has = printed_quantity(made.ceiling, "V")
    if made.ceiling <= needs:
        return f"But {has} is too low for it: water needs more than {printed_quantity(needs, 'V')}."
    if made.ceiling < bridged:
        field = printed_quantity(bridged, "V")
        return f"At {has} bridges of debris would start most sparks; above {field} the field does."
    return f"{has} is enough for it."


def _by_breakdown_of_liquid(made: Bench, gap: Metres | None) -> str:
    volts, bridged = made.ceiling, usual(made, "bridge-dominated-voltage")
    field = usual(made, FIELD_OF[made.liquid.kind])
    has, name = printed_quantity(volts, "V"), made.liquid.title
    if volts < bridged:
        return (
            f"Bridge-dominated: below {printed_quantity(bridged, 'V')} open, and {has} is, bridges of "
            f"debris across the gap start most sparks rather than its field. Expect shorts, and sparks "
            f"that come in bursts"
        )
    wide = printed_quantity(strike_gap(volts, field=field), "m", digits=2)
    found = (
        ""
        if gap is None or gap <= 0.0
        else f"; the working gap settles near {printed_quantity(gap, 'm', digits=2)}, "
        f"{volts / gap * 1e-6:.2g} V/µm"
    )
    return (
        f"The {name} breaks down across the working gap: {has} strikes readily up to about "
        f"{wide} ({field * 1e-6:.2g} V/µm){found}. Where and when is chance, helped by debris and by the "
        f"place of the last spark"
    )


def _by_contact(made: Bench) -> str:
    reach = strike_gap(made.ceiling, field=usual(made, "contact-field"))
    most = largest_inductance(
        made.ceiling,
        arc_voltage=made.burning,
        least_arc_current=made.hold_current,
        allowed_time=usual(made, "make-arc-time"),
    )
    loop, bound = printed_quantity(made.rig.leads.inductance, "H"), printed_quantity(most, "H", digits=2)
    needs = f"{printed_quantity(made.burning, 'V')} and {printed_quantity(made.hold_current, 'A')}"
    if made.rig.leads.inductance <= most:
        make = (
            f"The loop's {loop} lets an arc form as they close, before they touch (clean metal allows up to "
            f"{bound}), and a neck that touches all the same is blown if it is thin"
        )
    else:
        make = (
            f"The loop's {loop} holds the arc back as they close (clean metal allows up to {bound}), so "
            f"only a neck that touches and explodes makes a spark; oily or sooty metal may still arc"
        )
    return (
        f"Contact ignites the sparks: in air {printed_quantity(made.ceiling, 'V')} jumps only about "
        f"{printed_quantity(reach, 'm', digits=2)}, less than the roughness of the faces. {make}"
        f"{_blown_neck(made)}. An arc needs at least {needs}"
    )


def _blown_neck(made: Bench) -> str:
    """Size of the neck that the full store melts, in brackets; empty where the metal's figure is missing."""
    if not made.electrode.knows("neck_action"):
        return ""
    farads = farads_at_gap(made.rig.generator)
    if farads == 0.0:
        return ""
    action = discharge_action(
        made.ceiling,
        capacitance=farads,
        loop_resistance=loop_resistance(made.rig),
    )
    across = 2.0 * largest_blown_radius(action, metal=made.electrode.neck_action.value)
    return f" (the full store melts one up to {printed_quantity(across, 'm', digits=2)} across)"


def _by_breakdown_of_air(made: Bench) -> str:
    volts = made.ceiling
    has = printed_quantity(volts, "V")
    if volts <= PLATEAU:
        reach = strike_gap(volts, field=usual(made, "contact-field"))
        return (
            f"Air breaks down just before the faces touch: {has} is below the "
            f"{printed_quantity(PLATEAU, 'V')} at which wider gaps strike, and jumps about "
            f"{printed_quantity(reach, 'm', digits=2)} by field emission"
        )
    lowest = paschen_minimum_pressure_gap() / ATMOSPHERE
    reach = brentq(lambda gap: paschen_voltage(gap) - volts, lowest, WIDEST_AIR_GAP)
    return (
        f"Air breaks down across the gap: {has} jumps up to about {printed_quantity(reach, 'm', digits=2)} "
        f"by Paschen's law, and any narrower gap from where field emission ends"
    )
