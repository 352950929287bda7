"""What a deck calls parts and nodes, and what it reads of them: voltages and currents as expressions."""

import re

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.governor import Sensor
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
from gapwright.circuit.network.netlist import GROUND, Netlist


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


def between(netlist: Netlist, start: str, end: str) -> str:
    """Voltage between two nodes of the circuit."""
    nodes = labels(netlist)
    terms = [f"{sign}v({nodes[node]})" for sign, node in (("", start), ("-", end)) if node != GROUND]
    return "".join(terms)


def voltage(netlist: Netlist, name: str) -> str:
    """Voltage across a part."""
    part = netlist.element(name)
    return between(netlist, part.start, part.end)


def current(  # noqa: C901, PLR0911 - one case for each kind of part
    netlist: Netlist, name: str, gap: GapState = GapState.OPEN
) -> str:
    """Current through a part; of a coil that in its winding. A gap that is held short has a resistor's."""
    part, short = netlist.element(name), label(name)
    match part:
        case Resistor():
            return f"({voltage(netlist, name)})/{number(part.ohms)}"
        case Capacitor():
            return f"i(V{short}_flow)"
        case Inductor():
            return f"i(V{short}_flow)" if part.pieces else f"i(L{short})"
        case VoltageSource():
            return f"i(V{short})"
        case CurrentSource():
            return number(part.amperes)
        case Switch():
            return f"i(V{short}_flow)"
        case Diode():
            return f"(i(V{short}_drop)+({voltage(netlist, name)})/{number(part.off_ohms)})"
        case Gap():
            return _gap_current(part, netlist, gap)


def _gap_current(gap: Gap, netlist: Netlist, state: GapState) -> str:
    if state is GapState.SHORT:
        return f"({voltage(netlist, gap.name)})/{number(gap.short_ohms)}"
    return f"(i(V{label(gap.name)}_arc)+({voltage(netlist, gap.name)})*{number(gap.leak_siemens)})"


def has_meter(part: Element, metered: frozenset[str]) -> bool:
    """Whether a part needs a source of 0 V in series, by which its current is seen."""
    return part.name in metered and isinstance(part, Switch | Capacitor)


def seen(netlist: Netlist, sensor: Sensor, gap: GapState) -> str:
    """What a sensor of a control sees."""
    match sensor.quantity:
        case "node":
            return f"v({labels(netlist)[sensor.name]})" if sensor.name != GROUND else "0"
        case "charge":
            return f"v({counter_node(sensor.name)})"
        case "volts":
            return voltage(netlist, sensor.name)
        case _:
            return current(netlist, sensor.name, gap)


def counter_node(name: str) -> str:
    """Node whose voltage is the charge counted, in microcoulombs."""
    return f"{label(name)}_counted_"


def burns_node(gap: Gap) -> str:
    """Node at 1 V while the gap burns."""
    return f"{label(gap.name)}_burns_"
