"""Findings about surges: switching on, and refilling after each spark."""

from collections.abc import Iterator

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes
from gapwright.circuit.engine.run import Run
from gapwright.circuit.stages.generators import COIL, STORE, SUPPLY
from gapwright.rig.generator import Relaxation
from gapwright.rig.rig import Rig
from gapwright.study.generator.scenes import LONGEST_SPAN, STILL, SceneName, Scenes, late_rise
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.finding import Finding, Held, finding
from gapwright.study.grounds.limit_words import RIG_FILE
from gapwright.study.grounds.outcome import Degree

SLACK = 1.01
"""Current over that of the design from which on it is called a surge."""


def charging_part(seen: Scenes) -> str:
    """Part whose current is that of charging: the coil, or else the charging resistor, or the supply."""
    names = seen.netlist.names
    return next(part for part in (COIL, "charging resistor", SUPPLY) if part in names)


def design_current(rig: Rig) -> Amperes | None:
    """Current that the charger is meant to reach; None where the rig file states none."""
    if isinstance(rig.generator, Relaxation):
        return rig.supply.voltage / (rig.generator.resistor.resistance + rig.supply.output_resistance)
    return getattr(rig.generator, "peak_current", None)


def _highest(ran: Run, part: str) -> Amperes:
    meter = ran.meters[part]
    return max(meter.highest_current, -meter.lowest_current)


def start_findings(made: Bench, seen: Scenes) -> Iterator[Finding]:
    """Inrush at start-up and surge after each spark, and a store that does not fill while it is watched."""
    yield from unfilled(seen)
    part, meant = charging_part(seen), design_current(made.rig)
    for scene, words in (
        (SceneName.START_UP, "inrush at start-up"),
        (SceneName.SPARK, "refill surge after a spark"),
    ):
        surge = _highest(seen.by_name[scene].ran, part)
        times = (
            f", {surge / meant:.2f} times the {printed_quantity(meant, 'A')} it is meant for" if meant else ""
        )
        yield finding(
            Held(
                part=part,
                quantity=words,
                scene=scene,
                found=surge,
                limit=SLACK * meant if meant else None,
                unit="A",
            ),
            text=f"The {words} through the {part} is {printed_quantity(surge, 'A')}{times}: below the "
            f"supply's voltage nothing but resistance holds it back."
            if part == COIL
            else f"The {words} through the {part} is {printed_quantity(surge, 'A')}{times}.",
            remedy="Judge coil, switch and diode by this current, not by the one the design is meant for; "
            "a start through a resistor or a softer supply lowers the first of them.",
            source=RIG_FILE,
            beyond=Degree.NOTE,
        )


def unfilled(seen: Scenes) -> Iterator[Finding]:
    """A store that still rises when its start-up is left: all that follows takes it as full."""
    ran = seen.by_name[SceneName.START_UP].ran
    if ran.duration < LONGEST_SPAN:
        return  # the start-up is left once the store rises no more
    rise = late_rise(ran)
    if rise <= STILL:
        return
    watched, reached = printed_quantity(ran.duration, "s"), printed_quantity(seen.peak_open, "V")
    yield finding(
        Held(
            part=STORE,
            quantity="rise in the second half of the start-up",
            scene=SceneName.START_UP,
            found=rise,
            limit=STILL,
            unit="",
        ),
        text=f"The store is not full {watched} after switching on: it stands at {reached} and gained "
        f"{100.0 * rise:.1f} % of that in the second half of this time. What is said of sparks, shorts and "
        "arcs takes it as full there.",
        remedy="Charge with more current or take a smaller store: one that fills for seconds gives few "
        "sparks a minute.",
        source="assumption of the scenes: a store that rises by less counts as full",
        beyond=Degree.CARE,
    )
