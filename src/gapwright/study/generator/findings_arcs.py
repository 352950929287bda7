"""Findings about currents that do not end: lasting shorts, arcs that stand, and what no switch interrupts."""

from collections.abc import Iterator
from dataclasses import fields

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes
from gapwright.circuit.control.control import FixedOnTime
from gapwright.circuit.network.elements import Capacitor, Diode, Element, Gap, Switch, VoltageSource
from gapwright.circuit.network.netlist import GROUND, Netlist
from gapwright.circuit.stages.generators import COIL, GAP
from gapwright.rig.generator import Relaxation, StepUp
from gapwright.study.cautions.cautions_parts import arc_that_stands, short_without_switch
from gapwright.study.generator.findings_parts import lowest_store_voltage, peak_store_voltage
from gapwright.study.generator.scenes import (
    SceneName,
    Scenes,
    felt_sparks,
    gap_of,
    least_current,
    mean_current,
)
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.finding import Finding, Held, finding, of_caution
from gapwright.study.grounds.stress import Stress

__all__ = ["arc_findings", "stress_of", "unswitched_path"]


def stress_of(made: Bench, seen: Scenes) -> Stress:
    """What the scenes ask of the parts, as the rules of the cautions take it."""
    sparks = felt_sparks(seen.spark.ran)
    done = sparks[sparks["ended"]]
    farads = made.rig.generator.capacitor.capacitance
    coil = (
        max((each.ran.meters[COIL].highest_current for each in seen.by_name.values()), default=0.0)
        if (COIL in seen.netlist.names)
        else None
    )
    has = len(done) > 0
    return Stress(
        store_volts=peak_store_voltage(seen),
        stored_energy_j=0.5 * farads * seen.peak_open**2,
        reverse_volts=lowest_store_voltage(seen),
        spark_energy_j=float(done["energy_j"].mean()) if has else 0.0,
        spark_rate_hz=len(done) / seen.spark.ran.duration,
        peak_current_a=float(done["peak_a"].max()) if has else 0.0,
        action_a2s=float(done["action_a2s"].mean()) if has else 0.0,
        short_circuit_current_a=max(0.0, mean_current(seen.by_name[SceneName.SHORT].lasting, GAP)),
        feed_into_arc_a=max(0.0, mean_current(seen.by_name[SceneName.STANDING_ARC].lasting, GAP)),
        coil_peak_a=coil,
        charging_resistor_w=seen.spark.lasting.joules("out", "charging resistor")
        / seen.spark.lasting.duration,
        lead_inductance_h=made.rig.leads.inductance,
        duration_s=seen.spark.ran.duration,
        leak_current_a=0.0,
    )


def arc_findings(made: Bench, seen: Scenes, stress: Stress) -> Iterator[Finding]:
    """Shorts and arcs that the charger goes on feeding."""
    yield from lasting_short(made, seen, stress)
    yield from standing_arc_grade(made, stress)
    yield held_arc(made, seen)


def lasting_short(made: Bench, seen: Scenes, stress: Stress) -> Iterator[Finding]:
    """A path from source to gap that no switch lies in."""
    path = unswitched_path(seen.netlist)
    if not path:
        return
    current = stress.short_circuit_current_a
    held = Held(
        part=GAP, quantity="current into a lasting short", scene=SceneName.SHORT, found=current, unit="A"
    )
    through = ", ".join(path)
    for caution in short_without_switch(made, stress):
        generator = made.rig.generator
        bears = (
            min(generator.coil.saturation_current, generator.diode.current_rating)
            if isinstance(generator, StepUp)
            else None
        )
        yield of_caution(caution, _with_limit(held, bears))
        return
    yield finding(
        held,
        text=f"A shorted gap draws {printed_quantity(current, 'A')} from the supply through {through}, and "
        f"no switch lies in that path.",
        remedy="Choose the charging resistor for it, or let the controller cut the supply when a "
        "short lasts.",
        source="computed",
    )


def _with_limit(held: Held, bound: Amperes | None) -> Held:
    values = {each.name: getattr(held, each.name) for each in fields(held)}
    return Held(**(values | {"limit": bound}))


def standing_arc_grade(made: Bench, stress: Stress) -> Iterator[Finding]:
    """How readily the charger feeds an arc that stands: graded, never ruled out."""
    current = max(stress.short_circuit_current_a, stress.feed_into_arc_a)
    for caution in arc_that_stands(made, stress):
        yield of_caution(
            caution,
            Held(
                part=GAP,
                quantity="current that feeds a standing arc",
                scene=SceneName.STANDING_ARC,
                found=current,
                limit=made.hold_current,
                unit="A",
            ),
        )


def held_arc(made: Bench, seen: Scenes) -> Finding:
    """Whether the charger, by the exact engine, holds an arc that has once been lit."""
    scene = seen.by_name[SceneName.STANDING_ARC]
    least, mean = least_current(scene, GAP), mean_current(scene.lasting, GAP)
    gap = gap_of(seen.netlist)
    holds = least > made.hold_current
    latched = "latched" if isinstance(seen.control, FixedOnTime) else "held"
    volts, needs = printed_quantity(gap.arc_volts, "V"), printed_quantity(made.hold_current, "A")
    if holds:
        text = (
            f"The arc is {latched}: once lit it burns on at {volts} with {printed_quantity(mean, 'A')} on "
            f"average and never less than {printed_quantity(least, 'A')}, above the {needs} it needs."
        )
    else:
        text = (
            f"Into an arc of {volts} the charger pushes {printed_quantity(max(mean, 0.0), 'A')} on "
            f"average, but at times only {printed_quantity(max(least, 0.0), 'A')}, below the {needs} that "
            f"hold it."
        )
    return finding(
        Held(
            part=GAP,
            quantity="least current of a burning arc",
            scene=SceneName.STANDING_ARC,
            found=max(least, 0.0),
            limit=made.hold_current,
            unit="A",
        ),
        text=text,
        remedy=_cure(made) if holds else "Nothing to do; draw back all the same when the gap stays low.",
        source="the lower of the two metals' least arc currents",
    )


def _cure(made: Bench) -> str:
    volts = printed_quantity(made.burning, "V")
    if not isinstance(made.rig.generator, Relaxation):
        return (
            "Drive the coil by peak current and start a new charge only when it is empty, or blank the "
            f"charger after each spark until the gap has left {volts}."
        )
    return (
        "Take a larger charging resistor, or let the controller cut the supply while the gap stays at "
        f"{volts}."
    )


def unswitched_path(netlist: Netlist) -> tuple[str, ...]:
    """Parts on a way from a source's positive pole to the gap that no switch lies in; empty if none.

    Capacitors block a lasting current and diodes the wrong direction.
    """
    gap = netlist.gap
    sources = netlist.of(VoltageSource)
    if gap is None or not sources:
        return ()
    reached: dict[str, tuple[str, ...]] = {source.start: () for source in sources if source.volts > 0.0}
    waiting = list(reached)
    while waiting:
        node = waiting.pop()
        for part in netlist.elements:
            for end in _onwards(part, node):
                if end not in reached and end != GROUND:
                    reached[end] = (*reached[node], part.name)
                    waiting.append(end)
    return reached.get(gap.start, ())


def _onwards(part: Element, node: str) -> tuple[str, ...]:
    """Ends that a lasting current reaches from a node through a part."""
    match part:
        case Switch() | Capacitor() | Gap() | VoltageSource():
            return ()
        case Diode():
            # The regulator of a supply stands for its limit: its current is the supply's own.
            return (part.end,) if part.start == node else _regulated(part, node)
        case _:
            return tuple(
                end for end, other in ((part.end, part.start), (part.start, part.end)) if other == node
            )


def _regulated(part: Diode, node: str) -> tuple[str, ...]:
    return (part.start,) if part.end == node and part.name.startswith("supply") else ()
