"""Lines of a deck for single parts."""

from dataclasses import dataclass
from math import log

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.ignition import Ignition, Threshold
from gapwright.circuit.deck.deck_coils import coil_lines
from gapwright.circuit.deck.deck_sight import between, burns_node, has_meter, label, labels, number
from gapwright.circuit.engine.arrays import Start
from gapwright.circuit.network.elements import (
    Capacitor,
    CurrentSource,
    Diode,
    Element,
    Gap,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist

SATURATION, STEEPNESS, THERMAL_VOLTS = 1e-9, 0.02, 0.025865
"""Exponential of a diode: it has its drop at 1 A, and hardly less at a milliampere. [A, 1, V]"""
STARTER = 100.0
"""Resistance, over its own, by which a diode that stores charge comes to hold some."""
LEAST_HELD = 1e-3
"""Charge over storage time from which a diode counts as holding some. [A]"""
JUNCTION = 5e-12
"""Capacitance of a blocking diode [F]; without any, programs stall where a coil's current ends."""
NO_LEAK_OHMS = 1e9
"""What an open gap lets through in a deck, besides its leak."""
SHORTEST_LAG = 20e-9
RISES = 4.0
"""The gap's voltage is seen late, by so many times what its current takes to rise to what holds it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """What the lines of all parts depend on."""

    netlist: Netlist
    ignition: Ignition
    drives: dict[str, str]
    """Node that works each driven switch."""
    metered: frozenset[str]
    """Parts whose current is looked at."""
    start: Start


def part_lines(  # noqa: C901, PLR0911 - one case for each kind of part
    part: Element, drawing: Drawing
) -> list[str]:
    """Lines of one part."""
    nodes = labels(drawing.netlist)
    name, ends = label(part.name), f"{nodes[part.start]} {nodes[part.end]}"
    lines: list[str] = []
    if has_meter(part, drawing.metered):
        lines, ends = [f"V{name}_flow {nodes[part.start]} {name}_met_ 0"], f"{name}_met_ {nodes[part.end]}"
    at_first = drawing.start.values.get(part.name, 0.0)
    match part:
        case Switch():
            return lines + _switch_lines(part, name, ends, drawing.drives.get(part.name, ""))
        case Gap():
            return _gap_lines(part, drawing)
        case VoltageSource() | CurrentSource():
            return [_source_line(part, name, ends)]
        case Diode():
            return _diode_lines(part, name, nodes, at_first)
        case Resistor():
            return [f"R{name} {ends} {number(part.ohms)}"]
        case Capacitor():
            return lines + _capacitor_lines(part, name, ends, at_first)
        case Inductor():
            return coil_lines(part, name, ends, at_first)


def _source_line(part: VoltageSource | CurrentSource, name: str, ends: str) -> str:
    if isinstance(part, VoltageSource):
        return f"V{name} {ends} {number(part.volts)}"
    return f"I{name} {ends} {number(part.amperes)}"


def _diode_lines(part: Diode, name: str, nodes: dict[str, str], held: float) -> list[str]:
    if held:
        raise InputRefused(
            f"a deck must start with diodes that hold no charge, got {held:g} C in {part.name}; start at rest"
        )
    drop = part.drop_volts - STEEPNESS * THERMAL_VOLTS * log(1.0 / SATURATION)
    ohms = part.on_ohms * (STARTER if part.storage_seconds else 1.0)
    return [
        f"V{name}_drop {nodes[part.start]} {name}_in_ {number(drop)}",
        f"D{name} {name}_in_ {nodes[part.end]} {name}_model",
        f".model {name}_model d(is={number(SATURATION)} n={number(STEEPNESS)} rs={number(ohms)} "
        f"cjo={number(JUNCTION)} m=0.01)",
        f"R{name}_blocked {nodes[part.start]} {nodes[part.end]} {number(part.off_ohms)}",
        *(_storing_lines(part, name, nodes[part.end]) if part.storage_seconds else []),
    ]


def _storing_lines(part: Diode, name: str, end: str) -> list[str]:
    """Switch beside a diode that is closed while the diode holds charge, which is counted as a current."""
    return [
        f"F{name}_held 0 {name}_held_ V{name}_drop 1",
        f"R{name}_held {name}_held_ 0 1",
        f"C{name}_held {name}_held_ 0 {number(part.storage_seconds)} ic=0",
        f"S{name} {name}_in_ {end} {name}_held_ 0 {name}_stores off",
        f".model {name}_stores sw(vt={number(LEAST_HELD)} vh={number(0.5 * LEAST_HELD)} "
        f"ron={number(part.on_ohms)} roff={number(part.off_ohms)})",
    ]


def _capacitor_lines(part: Capacitor, name: str, ends: str, volts: float) -> list[str]:
    if part.series_ohms == 0:
        return [f"C{name} {ends} {number(part.farads)} ic={number(volts)}"]
    start, end = ends.split()
    return [
        f"R{name}_series {start} {name}_in_ {number(part.series_ohms)}",
        f"C{name} {name}_in_ {end} {number(part.farads)} ic={number(volts)}",
    ]


def _switch_lines(part: Switch, name: str, ends: str, drive: str) -> list[str]:
    if not drive:
        return [f"R{name} {ends} {number(part.on_ohms if part.closed else part.off_ohms)}"]
    return [
        f"S{name} {ends} {drive} 0 {name}_model",
        f".model {name}_model sw(vt=0.5 vh=0 ron={number(part.on_ohms)} roff={number(part.off_ohms)})",
    ]


def _lag(gap: Gap, netlist: Netlist, threshold: float) -> float:
    """Time by which the gap's voltage is seen late, so that its current can rise before it is gone."""
    lead = sum(part.henries for part in netlist.of(Inductor) if gap.start in (part.start, part.end))
    return max(SHORTEST_LAG, RISES * gap.hold_amperes * lead / (threshold - gap.arc_volts))


def _gap_lines(part: Gap, drawing: Drawing) -> list[str]:
    """Gap that closes above the threshold and opens when its current has fallen to what holds it.

    A thousandfold of the current above that is added to the voltage seen, so
    the gap stays closed as long as it flows; half-way between burning voltage
    and threshold lies far from either. What it does is added for an instant,
    so that it stays decided. A gap that is shorted at the start stays so.
    """
    netlist, ignition = drawing.netlist, drawing.ignition
    nodes, name = labels(netlist), label(part.name)
    start, end = nodes[part.start], nodes[part.end]
    dark = f"R{name}_burns {burns_node(part)} 0 1e5"
    if drawing.start.gap is GapState.SHORT:
        return [f"R{name}_short {start} {end} {number(part.short_ohms)}", dark]
    lines = [f"R{name}_leak {start} {end} {number(1.0 / part.leak_siemens)}"] if part.leak_siemens else []
    lines += [f"V{name}_arc {name}_in_ {end} {number(part.arc_volts)}"]
    if not isinstance(ignition, Threshold):
        return [*lines, f"R{name}_open {start} {name}_in_ {number(NO_LEAK_OHMS)}", dark]
    high, low = ignition.volts, 0.5 * (ignition.volts + part.arc_volts)
    across = between(netlist, part.start, part.end)
    seen_volts = f"v({nodes[ignition.node]})" if ignition.node else across
    lag = _lag(part, netlist, ignition.volts)
    return [
        *lines,
        f"S{name} {start} {name}_in_ {name}_held_ 0 {name}_model off",
        f".model {name}_model sw(vt={number(0.5 * (high + low))} vh={number(0.5 * (high - low))} "
        f"ron={number(part.arc_ohms)} roff={number(NO_LEAK_OHMS)})",
        f"B{name}_seen {name}_seen_ 0 v={seen_volts}",
        f"R{name}_seen {name}_seen_ {name}_late_ 1000",
        f"C{name}_seen {name}_late_ 0 {number(lag / 1000.0)} ic=0",
        f"V{name}_one {name}_one_ 0 1",
        f"S{name}_burns {name}_one_ {burns_node(part)} {name}_held_ 0 {name}_model off",
        dark,
        f"R{name}_burnt {burns_node(part)} {name}_burnt_ 1000",
        f"C{name}_burnt {name}_burnt_ 0 {number(lag / 1000.0)} ic=0",
        f"B{name}_held {name}_held_ 0 v=v({name}_late_)"
        f"+{number(high - low)}*(v({burns_node(part)})-v({name}_burnt_))"
        f"+1000*max(i(V{name}_arc)-{number(part.hold_amperes)},0)",
    ]
