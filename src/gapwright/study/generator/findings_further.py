"""Findings about parts that only some generators have: further switches and diodes, the ignition."""

from collections.abc import Iterator

from gapwright.circuit.stages.stage_parts import GAP_DIODE, STEERING
from gapwright.rig.components import Diode, Resistor, Switch
from gapwright.study.generator.findings_heat import watts
from gapwright.study.generator.findings_parts import SURGES, highest_current, highest_voltage
from gapwright.study.generator.scenes import SceneName, Scenes, mean_current
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.finding import Finding, Held, finding
from gapwright.study.grounds.limit_words import RIG_FILE
from gapwright.study.grounds.remedies import REMEDIES

SERIES, REVERSE, IGNITION = "series switch", "reverse diode", "ignition resistor"


def further_findings(made: Bench, seen: Scenes) -> Iterator[Finding]:
    """Ratings of the parts beside those that every generator of the kind has."""
    generator = made.rig.generator
    series = getattr(generator, "series_switch", None)
    for name, part in (
        (SERIES, series.switch if series is not None else None),
        (STEERING, getattr(generator, "steering", None)),
        (REVERSE, getattr(generator, "reverse_diode", None)),
        (GAP_DIODE, getattr(generator, "diode", None)),
        (IGNITION, getattr(generator, "ignition_resistor", None)),
    ):
        if name not in seen.netlist.names:
            continue
        match part:
            case Switch():
                yield from _switch(name, part, seen)
            case Diode():
                yield from _diode(name, part, seen)
            case Resistor():
                yield _resistor(name, part, seen)
            case _:
                continue


def _held(name: str, quantity: str, worst: tuple[float, SceneName], limit: float, unit: str) -> Held:
    return Held(part=name, quantity=quantity, scene=worst[1], found=worst[0], limit=limit, unit=unit)


def _switch(name: str, part: Switch, seen: Scenes) -> Iterator[Finding]:
    """Peak voltage and current of a switch."""
    volts, amperes = seen.highest(highest_voltage(name)), seen.highest(highest_current(name))
    for quantity, worst, limit, unit in (
        ("voltage", volts, part.voltage_rating, "V"),
        ("peak current", amperes, part.current_rating, "A"),
    ):
        yield finding(
            _held(name, quantity, worst, limit, unit),
            remedy="Take a transistor rated well above it.",
            source=RIG_FILE,
        )


def _diode(name: str, part: Diode, seen: Scenes) -> Iterator[Finding]:
    """Reverse voltage, lasting mean current and surges of a diode."""
    lasting = {each: mean_current(scene.lasting, name) for each, scene in seen.by_name.items()}
    worst = max(lasting, key=lambda each: lasting[each])
    surges = f"{SURGES:g} times the mean rating for some microseconds, from memory"
    for quantity, found, limit, unit, source in (
        ("reverse voltage", seen.highest(highest_voltage(name)), part.voltage_rating, "V", RIG_FILE),
        ("mean current", (lasting[worst], worst), part.current_rating, "A", RIG_FILE),
        ("peak current", seen.highest(highest_current(name)), SURGES * part.current_rating, "A", surges),
    ):
        yield finding(
            _held(name, quantity, found, limit, unit),
            remedy="Take a diode rated well above it; its sheet says which surges it bears.",
            source=source,
        )


def _resistor(name: str, part: Resistor, seen: Scenes) -> Finding:
    """Power in a resistor, in its worst lasting scene."""
    heat = {each: watts(scene.lasting, name) for each, scene in seen.by_name.items()}
    worst = max(heat, key=lambda each: heat[each])
    return finding(
        _held(name, "power", (heat[worst], worst), part.power_rating, "W"),
        remedy=REMEDIES["charging resistor", "power while sparking"],
        source=RIG_FILE,
    )
