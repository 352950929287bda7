"""Flyback generators for a wanted spark energy and rate: two coils on one core, the gap kept apart."""

from collections.abc import Iterator
from dataclasses import replace

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Farads, Number, Ohms
from gapwright.facts.series import nearest_preferred
from gapwright.study.grounds.assemble import Bench
from gapwright.study.sizing.sizing_parts import HEADROOM, coil_design, text
from gapwright.study.sizing.sizing_plan import Bears, Plan, own_lines, planned, ratings_of, switch_and_diode
from gapwright.study.sizing.sizing_stores import (
    Candidate,
    PartLine,
    Table,
    coil_line,
    common,
    sensing,
    timers,
)
from gapwright.study.sizing.sizing_wish import Wish

PULL = 4.0
"""Peak current of the primary over the mean current of the supply, for a first guess."""
COUPLING = 0.98
"""Coupling of two windings wound over each other; from memory."""
REFLECTED = 1.5
"""Store voltage, seen from the primary, over the supply's: sets the ratio of turns."""
CLAMPED = 1.5
"""Voltage of the clamp over the store voltage seen from the primary."""
RIPPLES = 10.0
"""Periods in which the clamp empties."""
LEAST_OFF = 1e-6
"""Least time that the switch stays open [s]."""
BLANKING = 20e-6
"""Time without charging after a spark, so that the gap holds again [s]; from memory."""


def flybacks(wish: Wish, made: Bench) -> Iterator[Candidate]:
    """A store charged through two coils on one core.

    Raises
    ------
    Unsuitable
        If the supply is too weak.
    """
    yield from planned(built, wish, made, pull=PULL)


def turns_ratio(plan: Plan, made: Bench) -> Number:
    """Secondary over primary turns, in halves, at least 1."""
    return max(1.0, round(2.0 * plan.store.volts / (REFLECTED * made.rig.supply.voltage)) / 2.0)


def _clamp(plan: Plan, made: Bench) -> tuple[Farads, Ohms]:
    """Capacitor and resistor that take what the leakage of the coils holds in each period."""
    reflected = plan.store.volts / turns_ratio(plan, made)
    frequency = 0.5 / plan.on_time
    leak = 0.5 * (1.0 - COUPLING**2) * plan.henries(made.rig) * plan.peak**2
    ohms = nearest_preferred((CLAMPED * reflected) ** 2 / (leak * frequency), "E12")
    return nearest_preferred(RIPPLES / (frequency * ohms), "E6"), ohms


def built(plan: Plan, bears: Bears, wish: Wish, made: Bench) -> Candidate:
    """Candidate of a plan whose parts bear given currents and voltages."""
    volts, henries, peak = plan.store.volts, plan.henries(made.rig), plan.peak
    ratio, (farads, ohms) = turns_ratio(plan, made), _clamp(plan, made)
    surge = HEADROOM * bears.coil
    coil = coil_design(henries, peak=surge, rms=0.6 * peak, core=wish.core)
    counted = timers(
        wish,
        {
            "least off-time": LEAST_OFF,
            "blanking after a spark": BLANKING,
            "longest on-time, after which the drive gives up": 3.0 * henries * peak / made.rig.supply.voltage,
            "sample of the gap": made.rig.controller.sample_time,
        },
    )
    lasts = {each.name: each.lasts_s for each in counted}
    table, lines = common(plan.store, made)
    rated_at = ratings_of(bears)
    divider, tapped = sensing(volts, wish)
    generator: Table = {
        "kind": "flyback",
        "turns_ratio": ratio,
        "coupling": COUPLING,
        "secondary_resistance": text(ratio**2 * coil.resistance_ohm, "Ω"),
        "peak_current": text(peak, "A"),
        "minimum_off_time": text(lasts.get("least off-time", LEAST_OFF), "s"),
        "blanking": text(lasts.get("blanking after a spark", BLANKING), "s"),
        "voltage_limit": text(volts, "V"),
        "hysteresis": text(0.03 * volts, "V"),
        "coil": {
            "inductance": text(henries, "H"),
            "resistance": text(coil.resistance_ohm, "Ω"),
            "saturation_current": text(surge, "A"),
        },
        "clamp": {"capacitance": text(farads, "F"), "resistance": text(ohms, "Ω")},
        **switch_and_diode(rated_at),
        **table,
    }
    wound = coil_line(coil, surge)
    beside = f"{wound.value.split(';')[0]}; over it {ratio * coil.turns:.0f} turns for the store"
    return Candidate(
        kind="flyback",
        generator=generator,
        lead_inductance=plan.store.spec.inductance,
        parts=(
            replace(wound, part="coils", value=beside),
            *own_lines(plan, rated_at),
            *_clamp_lines(farads, ohms),
            *lines,
            *tapped,
        ),
        coil=coil,
        divider=divider,
        timers=counted,
    )


def _clamp_lines(farads: Farads, ohms: Ohms) -> tuple[PartLine, ...]:
    """Diode, capacitor and resistor of the clamp."""
    bears = "what the switch bears"
    return (
        PartLine(part="clamp diode", value="fast diode", bears=bears),
        PartLine(part="clamp", value=f"film capacitor {printed_quantity(farads, 'F')}", bears=bears),
        PartLine(part="clamp resistor", value=f"resistor {printed_quantity(ohms, 'Ω')} ±5 %", bears=bears),
    )
