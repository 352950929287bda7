"""What surrounds a forecast: stresses on the parts, meter figures, remarks, laws out of range."""

from collections.abc import Sequence
from math import isfinite, nan

import numpy as np

from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.engine.engine import run
from gapwright.circuit.stages.generators import GAP
from gapwright.rig.generator import Relaxation, StepUp, gives_pulses, short_circuit_current
from gapwright.study.drilling.one_member import ENOUGH, MemberResult
from gapwright.study.drilling.why_ended import deciding_number
from gapwright.study.forecast.beyond_laws import debris_excess, flow_excess, heat_excess
from gapwright.study.forecast.drilling_remarks import drilling_remarks
from gapwright.study.forecast.ignition import what_a_liquid_changes
from gapwright.study.forecast.readings import ReadingFigures
from gapwright.study.forecast.size_kept import size_in_words
from gapwright.study.forecast.verdict import duration_text
from gapwright.study.forecast.what_stops import what_stops
from gapwright.study.generator.network import network, switched_on
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench, store_ceiling, swept_bore, swept_diameter, usual
from gapwright.study.grounds.bands import banded, end_error
from gapwright.study.grounds.ledger import LEAKAGE, booked
from gapwright.study.grounds.outcome import Excess
from gapwright.study.grounds.stress import Stress
from gapwright.study.grounds.uncertain import uncertain_constants

UNSURE = 0.05
"""Chance of meeting no member that gets there, at the most that is said to do so."""

SAGGED = 0.9
"""Share of the open voltage that pulses still have from a store that has given some."""


def usual_breakdown(made: Bench, fine: MemberResult) -> float:
    """Median breakdown voltage of the drilling shown, or 0.85 of the open voltage if it never sparked [V]."""
    fired = fine.course.log[fine.course.log[:, 2] > 0.0, 1]
    return float(np.median(fired)) if len(fired) else 0.85 * made.ceiling


def stress(made: Bench, fine: MemberResult) -> Stress:
    """What the parts endure, by the exact engine from start-up on and by the drilling shown."""
    generator, done = made.rig.generator, fine.course
    netlist, control = network(made)
    cycle = done.time / max(done.sparks, 1)
    span = min(max(6.0 * cycle, 200e-6), 0.5)
    usually = usual_breakdown(made, fine)
    strikes = Threshold(volts=min(usually, SAGGED * made.ceiling) if gives_pulses(generator) else usually)
    ran = run(netlist, control, span, ignition=strikes, initial=switched_on(netlist))
    coil = ran.meters[netlist.coil].highest_current if netlist.coil else None
    gap = netlist.gap.name if netlist.gap else GAP
    sparks = ran.sparks
    leaked = _metered_power(fine, LEAKAGE) / max(fine.figure["mean_volts"], 1e-9)
    farads = generator.capacitor.capacitance
    return Stress(
        store_volts=max(store_ceiling(made), ran.meters[netlist.store].highest_voltage),
        spark_energy_j=fine.figure["spark_energy"] if done.sparks else 0.0,
        spark_rate_hz=done.sparks / done.time,
        peak_current_a=ran.meters[gap].highest_current,
        action_a2s=float(np.median(sparks["action_a2s"])) if len(sparks) else 0.0,
        reverse_volts=min(0.0, float(sparks["store_v"].min())) if len(sparks) else 0.0,
        short_circuit_current_a=short_circuit_current(generator, made.rig.supply),
        feed_into_arc_a=feed_into_arc(made),
        coil_peak_a=coil,
        charging_resistor_w=_metered_power(fine, "charging resistor"),
        lead_inductance_h=made.rig.leads.inductance,
        duration_s=done.time,
        leak_current_a=leaked,
        stored_energy_j=0.5 * farads * store_ceiling(made) ** 2,
    )


def feed_into_arc(made: Bench) -> float:
    """Current that the charger would push into an arc that does not go out [A]."""
    generator, supply = made.rig.generator, made.rig.supply
    if isinstance(generator, Relaxation):
        return max(0.0, supply.voltage - made.burning) / (
            generator.resistor.resistance + supply.output_resistance
        )
    if isinstance(generator, StepUp):
        return min(generator.peak_current, supply.current_limit)
    return short_circuit_current(generator, supply)


def _metered_power(fine: MemberResult, account: str) -> float:
    """Mean power under a heading over the drilling shown [W]."""
    return booked(fine.metered, account) / fine.metered.duration


def figures_of_readings(made: Bench, fine: MemberResult, coarse: Sequence[MemberResult]) -> ReadingFigures:
    """Banded figures that a plain meter should show."""
    swept, bore = swept_diameter(made.rig), swept_bore(made.rig)
    rate = "cycles" if isinstance(made.rig.generator, StepUp) else "spark_rate"
    return ReadingFigures(
        supply_current_a=banded([r.figure["supply_current"] for r in coarse]),
        mean_gap_voltage_v=banded([r.figure["mean_volts"] for r in coarse]),
        charge_cycles_hz=banded([r.figure[rate] for r in coarse]),
        front_area_m2=0.25 * np.pi * (swept**2 - bore**2),
        gap_m=max(fine.figure["front_gap"], 1e-6) if fine.course.sparks else 10e-6,
    )


def remarks(made: Bench, fine: MemberResult, coarse: Sequence[MemberResult]) -> tuple[str, ...]:
    """What a reader should know about this forecast, in full sentences."""
    said = [what_a_liquid_changes(made)] if made.dry else []
    said += drilling_remarks(made, fine.course)
    said += [*_unfinished(made, coarse), *what_stops(made, coarse), *_none(coarse)]
    said.append(_surety(coarse))
    said += [text for text in (size_in_words(made.job, coarse),) if text]
    unused = _unused_priors(made)
    if unused:
        said.append(f"The rig file gives {', '.join(unused)}, which this forecast does not use.")
    if made.job.hole.count > 1 and fine.course.gets_through:
        total = fine.course.worn * made.job.hole.count
        said.append(
            f"{made.job.hole.count} holes would cost about {1e3 * total:.0f} mm of electrode "
            f"and {duration_text(fine.course.time * made.job.hole.count)} of drilling, each hole by itself."
        )
    return tuple(said)


def _unfinished(made: Bench, coarse: Sequence[MemberResult]) -> list[str]:
    """For every reason why members did not finish: how many, and the number that decided one of them."""
    found: dict[str, list[MemberResult]] = {}
    for each in coarse:
        if not each.course.gets_through:
            found.setdefault(each.course.ended, []).append(each)
    return [
        f"{len(those)} of {len(coarse)} members ended, {reason}{'; one of them' if len(those) > 1 else ''}: "
        f"{deciding_number(made, those[0].course)}."
        for reason, those in sorted(found.items())
    ]


def _none(coarse: Sequence[MemberResult]) -> list[str]:
    """What it means for all members that none of several gets there."""
    count = len(coarse)
    if count == 1 or any(each.course.gets_through for each in coarse):
        return []
    most = 1.0 - UNSURE ** (1.0 / count)
    rest = "; more would not be drilled" if count == ENOUGH else ""
    return [f"None of {count} members gets there, so at most {100 * most:.2g} % of all do, at 95 %{rest}."]


def _surety(coarse: Sequence[MemberResult]) -> str:
    """How well the ends of the bands are known."""
    if len(coarse) == 1:
        return "One member only, so there are no bands: every number is that of one drilling."
    known = end_error([r.figure["time"] for r in coarse])
    start = f"Bands are the 5th and 95th percentile over {len(coarse)} members, hole-to-hole scatter included"
    if known is None:
        return f"{start}; the upper end of the time is not known from so few finished members."
    low, high = (duration_text(end) for end in known)
    return f"{start}; the upper end of the time lies between {low} and {high}, at one standard deviation."


CONSULTED = (
    "ignition-area", "ignition-headroom", "smallest-gap", "contact-field", "asperity-radius", "bridge-length",
    "debris-reference", "debris-cap", "debris-diameter", "flushing-depth", "bridge-rate",
    "crater-volume-scatter", "conduction-ceiling", "make-arc-time", "removal-per-energy", "removal-ceiling",
    "removal-band-large", "removal-band-small", "removal-band-energy-large", "removal-band-energy-small",
    "crater-width-exponent", "roughness-exponent", "recast-exponent", "recast-floor",
    "memory-gain", "memory-radius", "deionisation-base", "deionisation-slope",
    "bridge-retract", "bridge-sparks", "flushing-reference", "flushing-time-still",
    "break-energy", "plateau-voltage", "cooled-radius", "sheet-modulus",
    "weibull-critical-gap", "weibull-steepness", "weibull-prompt-shape", "weibull-prompt-mean",
    "weibull-late-shape", "weibull-late-mean",
    "face-cooling-water", "face-cooling-oil", "face-cooling-air",
    "overcut-reference-energy", "overcut-exponent", "bridge-dominated-voltage",
)  # fmt: skip
"""Constants that a forecast looks up beside the uncertain ones."""


def _unused_priors(made: Bench) -> list[str]:
    """Constants of the rig file that this forecast never looks at."""
    spread = uncertain_constants(made.rig.model_copy(update={"priors": {}}), made.job)
    return sorted(name for name in made.rig.priors if name not in {*spread, *CONSULTED})


def excesses(made: Bench, coarse: Sequence[MemberResult]) -> tuple[Excess, ...]:
    """Laws used outside their stated range, and how far."""
    found = []
    if not made.dry and made.ceiling < usual(made, "bridge-dominated-voltage"):
        limit = usual(made, "bridge-dominated-voltage")
        found.append(
            Excess(
                law="ignition hazard in liquid",
                how_far=f"open voltage {made.ceiling:g} V is below {limit:g} V: bridges ignite the sparks",
            )
        )
    melted = max(
        (float(r.course.numbers[state.MELTED]) / r.metered.removed for r in coarse if r.metered.removed),
        default=nan,
    )
    if isfinite(melted) and melted > 1e-3:
        found.append(
            Excess(
                law="removal per energy",
                how_far=f"up to {100 * melted:.1f} % of the volume is more than conduction could melt",
            )
        )
    deep = made.job.workpiece.thickness / made.rig.setup.electrode.diameter
    if not made.dry and deep > 20.0:
        found.append(
            Excess(
                law="flushing life of debris",
                how_far=f"depth is {deep:.0f} diameters, the law holds to about 20",
            )
        )
    found += flow_excess(made, max(coarse, key=_flow).course)
    found += heat_excess(made, [r.course for r in coarse])
    found += debris_excess([r.course for r in coarse])
    return tuple(found)


def _flow(result: MemberResult) -> float:
    """Last flow through the bore [m³/s]."""
    return float(result.course.numbers[state.FLOW])
