"""Lines of a deck for single parts and for what works the switch."""

import re

from gapwright.base.errors import InputRefused
from gapwright.circuit.control import FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.elements import (
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
from gapwright.circuit.ignition import Ignition, Threshold
from gapwright.circuit.netlist import GROUND, Netlist

DRIVE = "drive_"
"""Node that is at 1 V while the controlled switch is to be closed; no other name ends so."""
NO_LEAK_OHMS = 1e9
"""What an open gap lets through in a deck, besides its leak."""
SHORTEST_LAG = 20e-9
RISES = 4.0
"""The gap's voltage is seen late, by so many times what its current takes to rise to what holds it."""
EDGE = 10e-9
"""Rise and fall of the drive of a clocked switch. [s]"""
SLACK = 1e-4
"""Hysteresis of the comparator of a current limit, as a share of the limit."""


def number(value: float) -> str:
    """Number as a deck holds it: exact, without unit or prefix."""
    return format(value, ".12g")


def label(name: str) -> str:
    """Name of a part or node in a deck: lower case, without spaces."""
    return re.sub(r"\W+", "_", name.lower()).strip("_")


def labels(netlist: Netlist) -> dict[str, str]:
    """Name in the deck of every node.

    Raises
    ------
    InputRefused
        If two nodes or two parts get one name.
    """
    nodes = {node: label(node) for node in netlist.nodes} | {GROUND: "0"}
    for given in (nodes, {name: label(name) for name in netlist.names}):
        seen: dict[str, str] = {}
        for name, short in given.items():
            if short in seen:
                raise InputRefused(
                    f"names must differ in letters and digits, got {seen[short]!r} and {name!r}; rename one"
                )
            seen[short] = name
    return nodes


def part_lines(part: Element, netlist: Netlist, ignition: Ignition, *, driven: bool) -> list[str]:
    """Lines of one part; a `driven` switch follows the control."""
    nodes = labels(netlist)
    name, ends = label(part.name), f"{nodes[part.start]} {nodes[part.end]}"
    match part:
        case Switch():
            return _switch_lines(part, name, ends, driven=driven)
        case Gap():
            return _gap_lines(part, netlist, ignition)
        case VoltageSource() | CurrentSource():
            return [_source_line(part, name, ends)]
        case Diode():
            return _diode_lines(part, name, nodes)
        case Resistor() | Capacitor() | Inductor():
            return _passive_lines(part, name, nodes)


def _source_line(part: VoltageSource | CurrentSource, name: str, ends: str) -> str:
    if isinstance(part, VoltageSource):
        return f"V{name} {ends} {number(part.volts)}"
    return f"I{name} {ends} {number(part.amperes)}"


def _diode_lines(part: Diode, name: str, nodes: dict[str, str]) -> list[str]:
    return [
        f"V{name}_drop {nodes[part.start]} {name}_in_ {number(part.drop_volts)}",
        f"D{name} {name}_in_ {nodes[part.end]} {name}_model",
        f".model {name}_model d(is=1e-9 n=0.02 rs={number(part.on_ohms)})",
        f"R{name}_blocked {nodes[part.start]} {nodes[part.end]} {number(part.off_ohms)}",
    ]


def _passive_lines(part: Resistor | Capacitor | Inductor, name: str, nodes: dict[str, str]) -> list[str]:
    ends = f"{nodes[part.start]} {nodes[part.end]}"
    match part:
        case Resistor():
            return [f"R{name} {ends} {number(part.ohms)}"]
        case Capacitor():
            return _capacitor_lines(part, name, nodes)
        case Inductor():
            damper = f"R{name}_damper {ends} {number(part.damper_ohms)}" if part.damper_ohms else ""
            return [f"L{name} {ends} {number(part.henries)} ic=0", *([damper] if damper else [])]


def _capacitor_lines(part: Capacitor, name: str, nodes: dict[str, str]) -> list[str]:
    start, end = nodes[part.start], nodes[part.end]
    if part.series_ohms == 0:
        return [f"C{name} {start} {end} {number(part.farads)} ic=0"]
    return [
        f"R{name}_series {start} {name}_in_ {number(part.series_ohms)}",
        f"C{name} {name}_in_ {end} {number(part.farads)} ic=0",
    ]


def _switch_lines(part: Switch, name: str, ends: str, *, driven: bool) -> list[str]:
    if not driven:
        return [f"R{name} {ends} {number(part.on_ohms if part.closed else part.off_ohms)}"]
    return [
        f"S{name} {ends} {DRIVE} 0 {name}_model",
        f".model {name}_model sw(vt=0.5 vh=0 ron={number(part.on_ohms)} roff={number(part.off_ohms)})",
    ]


def _lag(gap: Gap, netlist: Netlist, threshold: float) -> float:
    """Time by which the gap's voltage is seen late, so that its current can rise before it is gone."""
    lead = sum(part.henries for part in netlist.of(Inductor) if gap.start in (part.start, part.end))
    return max(SHORTEST_LAG, RISES * gap.hold_amperes * lead / (threshold - gap.arc_volts))


def _gap_lines(part: Gap, netlist: Netlist, ignition: Ignition) -> list[str]:
    """Gap that closes above the threshold and opens when its current has fallen to what holds it.

    A thousandfold of the current above that is added to the voltage seen, so
    the gap stays closed as long as it flows; half-way between burning voltage
    and threshold lies far from either.
    """
    nodes, name = labels(netlist), label(part.name)
    start, end = nodes[part.start], nodes[part.end]
    lines = [f"R{name}_leak {start} {end} {number(1.0 / part.leak_siemens)}"] if part.leak_siemens else []
    lines += [f"V{name}_arc {name}_in_ {end} {number(part.arc_volts)}"]
    if not isinstance(ignition, Threshold):
        return [*lines, f"R{name}_open {start} {name}_in_ {number(NO_LEAK_OHMS)}"]
    high, low = ignition.volts, 0.5 * (ignition.volts + part.arc_volts)
    across = f"v({start})" if end == GROUND else f"v({start})-v({end})"
    seen = f"v({nodes[ignition.node]})" if ignition.node else across
    lag = _lag(part, netlist, ignition.volts)
    return [
        *lines,
        f"S{name} {start} {name}_in_ {name}_held_ 0 {name}_model off",
        f".model {name}_model sw(vt={number(0.5 * (high + low))} vh={number(0.5 * (high - low))} "
        f"ron={number(part.arc_ohms)} roff={number(NO_LEAK_OHMS)})",
        f"B{name}_seen {name}_seen_ 0 v={seen}",
        f"R{name}_seen {name}_seen_ {name}_late_ 1000",
        f"C{name}_seen {name}_late_ 0 {number(lag / 1000.0)} ic=0",
        f"B{name}_held {name}_held_ 0 "
        f"v=v({name}_late_)+1000*max(i(V{name}_arc)-{number(part.hold_amperes)},0)",
    ]


def drive_lines(
    netlist: Netlist, control: NoControl | FixedOnTime | PeakCurrent, nodes: dict[str, str]
) -> list[str]:
    """Lines that bring the node of the drive to 1 V while the switch is to be closed."""
    match control:
        case NoControl():
            return []
        case FixedOnTime():
            times = (EDGE, EDGE, control.on_time - EDGE, control.period)
            pulse = " ".join(number(value) for value in (0.0, 1.0, 0.0, *times))
            return ["* control: a clock", f"Vdrive_ {DRIVE} 0 pulse({pulse})"]
        case PeakCurrent():
            return _comparator_lines(netlist, control, nodes)


def _comparator_lines(netlist: Netlist, control: PeakCurrent, nodes: dict[str, str]) -> list[str]:
    """Latch that the coil's current opens, and that a timer closes unless the store is full.

    The timer rises to 1 V in the least off-time, and is held at zero while
    the switch is closed or the coil carries the limit or more. It starts at
    1 V: the first closing waits for nothing.
    """
    coil, limit = f"i(L{label(netlist.coil)})", number(control.limit)
    store = netlist.element(netlist.store)
    full, band = 0.5 * (control.voltage_limit + control.release), 0.5 * control.hysteresis
    return [
        "* control: a current limit",
        f"Bwish_ wish_ 0 v=v({DRIVE}) > 0.5 ? 1-{coil}/{limit} : (v(full_) > 0.5 ? -1 : v(timer_)-1)",
        "Vone_ one_ 0 1",
        f"Slatch_ one_ {DRIVE} wish_ 0 latch_model off",
        f".model latch_model sw(vt=0 vh={number(SLACK)} ron=1 roff=1e9)",
        f"Rlatch_ {DRIVE} 0 1000",
        f"Clatch_ {DRIVE} 0 1p ic=0",
        "Itimer_ 0 timer_ 1",
        f"Ctimer_ timer_ 0 {number(control.minimum_off_time)} ic=1",
        "Sreset_ timer_ 0 reset_ 0 reset_model off",
        ".model reset_model sw(vt=0.5 vh=0 ron=1m roff=1e9)",
        f"Breset_ reset_ 0 v=v({DRIVE})+({coil} > {limit} ? 1 : 0)",
        f"Sfull_ one_ full_ {nodes[store.start]} {nodes[store.end]} full_model off",
        f".model full_model sw(vt={number(full)} vh={number(band)} ron=1 roff=1e9)",
        "Rfull_ full_ 0 1000",
    ]
