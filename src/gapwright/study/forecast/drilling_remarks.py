"""What a reader should know about how the drilling shown went: ignition, warmth, sheets, liquid, lifts."""

from collections.abc import Iterator
from math import inf, pi

from gapwright.base.quantity import printed_quantity
from gapwright.gap.breaking import safe_voltage_rise
from gapwright.hole.sheet import clamped_deflection
from gapwright.rig.generator import farads_at_gap, short_circuit_current
from gapwright.rig.generator_kinds import CurrentSource
from gapwright.rig.setup import flushing_pressure, flute_share
from gapwright.study.drilling.drilling import Course
from gapwright.study.drilling.gap_margin import has_margin
from gapwright.study.drilling.records_kept import WAYS
from gapwright.study.drilling.why_ended import deciding_number
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench, swept_diameter, usual
from gapwright.study.grounds.limit_words import celsius_text

SHEET = 1.0
"""Thickness, in diameters of the electrode, below which a workpiece is spoken of as a sheet."""
PUSH = 0.1
"""Force by which an electrode is taken to press on a sheet at a touch, from memory [N]."""
WAY_WORDS = {
    "field": "the field across the gap",
    "last spark's place": "what the last spark left at its place",
    "debris": "debris in the gap",
    "field emission": "field emission just before touch",
    "blown neck": "a neck that blew",
    "parting": "an arc between parting faces",
}


def drilling_remarks(made: Bench, done: Course) -> list[str]:
    """Sentences about the drilling shown.

    Parameters
    ----------
    made
        Rig and job with their facts.
    done
        What the drilling did.
    """
    parts = (_ending, _ways, _parting, _warmth, _sheet, _lifts, _standing_still, _margin, _jet, _kept_current)
    return [sentence for part in parts for sentence in part(made, done)]


def _ending(made: Bench, done: Course) -> Iterator[str]:
    why = deciding_number(made, done)
    if why:
        yield f"The drilling shown ended, {done.ended}: {why}."


def _ways(_made: Bench, done: Course) -> Iterator[str]:
    total = float(done.way_count.sum())
    if total == 0.0:
        return
    shares = [
        (count / total, WAY_WORDS[way]) for way, count in zip(WAYS, done.way_count, strict=True) if count
    ]
    said = ", ".join(f"{100 * share:.3g} % by {way}" for share, way in sorted(shares, reverse=True))
    counted = f"{total:,.0f}".replace(",", "\u202f")
    yield f"Of the {counted} discharges of the drilling shown, {said}."


def _parting(made: Bench, _done: Course) -> Iterator[str]:
    if not made.dry:
        return
    current = short_circuit_current(made.rig.generator, made.rig.supply)
    if current <= made.hold_current:
        yield (
            f"No arc forms as the faces part: the charger gives {printed_quantity(current, 'A', digits=2)}, "
            f"less than the {printed_quantity(made.hold_current, 'A')} that an arc needs."
        )
        return
    farads = farads_at_gap(made.rig.generator)
    rise = current / farads if farads > 0.0 else inf
    safe = safe_voltage_rise(made.rig.controller.retract_speed, field=usual(made, "contact-field"))
    if rise <= safe:
        yield (
            f"No arc forms as the faces part: beside the store the voltage rises by {1e-3 * rise:.2g} V/ms, "
            f"and a gap opening at {printed_quantity(made.rig.controller.retract_speed, 'm/s')} holds "
            f"{1e-3 * safe:.2g} V/ms."
        )


def _warmth(made: Bench, done: Course) -> Iterator[str]:
    num = done.numbers
    wall, gap = float(num[state.HOTTEST_WALL]), float(num[state.HOTTEST])
    if made.dry:
        yield f"The hole's wall reaches about {celsius_text(wall)} between sparks."
        return
    boiling = made.liquid.fact("boiling_point").value if made.liquid.knows("boiling_point") else inf
    if max(gap, wall) < boiling:
        yield (
            f"The liquid in the gap reaches about {celsius_text(gap)} and the hole's wall "
            f"{celsius_text(wall)}."
        )
        return
    yield (
        f"The liquid in the gap boils at {celsius_text(boiling)}: the heat of the sparks would take it to "
        f"about {celsius_text(gap)}, and takes the hole's wall to {celsius_text(wall)}. Sparks then burn in "
        f"vapour. Press more liquid through, lift the electrode, or take smaller sparks."
    )


def _sheet(made: Bench, done: Course) -> Iterator[str]:
    work, electrode = made.job.workpiece, made.rig.setup.electrode
    if work.thickness >= SHEET * electrode.diameter:
        return
    rise = float(done.numbers[state.HOTTEST_WALL]) - made.rig.setup.liquid.temperature
    yield (
        f"A sheet of {printed_quantity(work.thickness, 'm')} carries heat away badly: the hole's edge warms "
        f"by about {rise:.0f} K, and may buckle or lose its temper."
    )
    if work.overhang is None:
        return
    force = flushing_pressure(made.rig.setup.flushing) * 0.25 * pi * swept_diameter(made.rig) ** 2
    pressed = max(force, PUSH)
    bend = clamped_deflection(
        pressed, overhang=work.overhang, thickness=work.thickness, modulus=usual(made, "sheet-modulus")
    )
    yield (
        f"Clamped on one side, {printed_quantity(work.overhang, 'm')} from the hole, it gives way by about "
        f"{printed_quantity(bend, 'm', digits=2)} under {printed_quantity(pressed, 'N', digits=2)}: back it, "
        f"or clamp it all round, where that is more than the gap."
    )


def _lifts(_made: Bench, done: Course) -> Iterator[str]:
    if done.lifts:
        often = "once" if done.lifts == 1 else f"{done.lifts} times"
        yield f"The electrode was lifted {often} to let fresh liquid in."


def _standing_still(made: Bench, _done: Course) -> Iterator[str]:
    setup = made.rig.setup
    if setup.spindle.speed > 0.0:
        return
    if flute_share(setup.electrode) > 0.0:
        yield (
            "The spindle stands still, so the flutes would print ribs into the hole; the forecast takes it "
            "as round."
        )
    if setup.spindle.run_out > 0.0:
        yield (
            f"The spindle stands still, so its run-out of {printed_quantity(setup.spindle.run_out, 'm')} "
            f"sets the hole aside and does not widen it."
        )


def _margin(made: Bench, _done: Course) -> Iterator[str]:
    control = made.rig.controller
    if made.dry or has_margin(made):
        return
    yield (
        f"The stability margin is worked out for the proportional law on the mean gap voltage. This one "
        f"follows {control.senses.replace('-', ' ')} by the {control.law} law: the drilling shown tells."
    )


def _jet(made: Bench, _done: Course) -> Iterator[str]:
    if made.rig.setup.flushing.kind == "side-jet":
        yield "How hard a side jet presses is not part of the forecast; what it does is in the flushing time."


def _kept_current(made: Bench, _done: Course) -> Iterator[str]:
    if isinstance(made.rig.generator, CurrentSource):
        yield (
            "The current that the generator keeps is taken at its mean: a line of the ledger may be 5 % off "
            "the circuit's own, and 15 % where the gap leaks more than 1 mS."
        )
