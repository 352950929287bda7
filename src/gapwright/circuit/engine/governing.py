"""Governors as arrays for the kernels, and what a run tells of their phases."""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.circuit.control.governor import (
    Above,
    After,
    Below,
    Governor,
    OnClock,
    Rule,
    Sensor,
    WhenGap,
    WhenIn,
    require_governors,
)
from gapwright.circuit.engine import _governor_kernel as gk
from gapwright.circuit.network.elements import Diode, Inductor, Switch
from gapwright.circuit.network.mna import Equations, Mode, Rows, coil_current
from gapwright.circuit.network.netlist import GROUND, Netlist
from gapwright.circuit.network.states import values_of_state

Counts = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Machines:
    """All phases and rules of all governors, numbered through."""

    sensors: tuple[Sensor, ...] = ()
    """One for each rule that watches a quantity."""
    labels: tuple[str, ...] = ()
    """Governor and name of each phase."""
    firsts: tuple[int, ...] = ()
    """Phase in which each governor starts."""
    phases: Counts = field(default_factory=lambda: np.zeros((0, 6), dtype=np.int64))
    rules: Counts = field(default_factory=lambda: np.zeros((0, 5), dtype=np.int64))
    levels: Rows = field(default_factory=lambda: np.zeros((0, 2)))
    watching: Counts = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    """Rule of each sensor."""


def machines_of(netlist: Netlist, governors: tuple[Governor, ...]) -> Machines:
    """Governors of a circuit as arrays.

    Raises
    ------
    InputRefused
        If they work or watch what the circuit does not have.
    """
    require_governors(governors)
    if not governors:
        return Machines()
    place = {
        (g.name, phase.name): k
        for k, (g, phase) in enumerate((g, phase) for g in governors for phase in g.phases)
    }
    phases: list[list[int]] = []
    rules: list[list[int]] = []
    levels: list[tuple[float, float]] = []
    sensors: list[Sensor] = []
    watching: list[int] = []
    for number, g in enumerate(governors):
        worked = _bits(netlist, g.switches)
        for phase in g.phases:
            first = len(rules)
            for rule in phase.rules:
                if isinstance(rule, Above | Below):
                    watching.append(len(rules))
                    sensors.append(_checked(netlist, rule.sensor))
                rules.append(_rule_row(rule, place, g.name, len(sensors) - 1))
                levels.append(_levels(rule))
            sets, clears = _bits(netlist, phase.closes), worked & ~_bits(netlist, phase.closes)
            if phase.gap is not None:
                gap = _gap_bit(netlist)
                sets, clears = sets | int(phase.gap) << gap, clears | 3 << gap
            phases.append([number, sets, clears, first, len(rules), _zeroed(netlist, phase.zeroes)])
    return Machines(
        sensors=tuple(sensors),
        labels=tuple(f"{g}/{phase}" for g, phase in place),
        firsts=tuple(place[g.name, g.phases[0].name] for g in governors),
        phases=np.array(phases, dtype=np.int64).reshape(-1, 6),
        rules=np.array(rules, dtype=np.int64).reshape(-1, 5),
        levels=np.array(levels, dtype=float).reshape(-1, 2),
        watching=np.array(watching, dtype=np.int64),
    )


def _first_switch_bit(netlist: Netlist) -> int:
    return len(netlist.of(Diode)) + len(netlist.bends)


def _gap_bit(netlist: Netlist) -> int:
    if netlist.gap is None:
        raise InputRefused("a phase that holds the gap must have a circuit with a gap, got none; add one")
    return _first_switch_bit(netlist) + len(netlist.of(Switch))


def _bits(netlist: Netlist, names: tuple[str, ...]) -> int:
    switches = [switch.name for switch in netlist.of(Switch)]
    total = 0
    for name in names:
        if name not in switches:
            raise InputRefused(
                f"a governor works a switch {name!r} that is not there{close_names(name, switches)}"
            )
        total |= 1 << (_first_switch_bit(netlist) + switches.index(name))
    return total


def _zeroed(netlist: Netlist, counter: str) -> int:
    if not counter:
        return -1
    names = [c.name for c in netlist.counters]
    if counter not in names:
        raise InputRefused(
            f"a phase zeroes a counter {counter!r} that is not there{close_names(counter, names)}"
        )
    return netlist.state_names.index(counter)


def _checked(netlist: Netlist, sensor: Sensor) -> Sensor:
    """The sensor, if what it watches is there."""
    known = {
        "node": (*netlist.nodes, GROUND),
        "charge": tuple(counter.name for counter in netlist.counters),
    }.get(sensor.quantity, netlist.names)
    if sensor.name not in known:
        raise InputRefused(
            f"a sensor watches the {sensor.quantity} of {sensor.name!r}, which is not there"
            f"{close_names(sensor.name, known)}"
        )
    return sensor


def _rule_row(rule: Rule, place: dict[tuple[str, str], int], governor: str, row: int) -> list[int]:
    then = place[governor, rule.then]
    match rule:
        case Above():
            return [gk.SENSE, then, row, -1, 0]
        case Below():
            return [gk.SENSE, then, row, 1, 0]
        case After():
            return [gk.AFTER, then, 0, 0, 0]
        case OnClock():
            return [gk.ON_CLOCK, then, 0, 0, 0]
        case WhenGap():
            return [gk.GAP_IS, then, 0, 0, int(rule.state)]
        case WhenIn():
            kind = gk.NOT_IN_PHASE if rule.not_in else gk.IN_PHASE
            return [kind, then, 0, 0, place[rule.governor, rule.phase]]


def _levels(rule: Rule) -> tuple[float, float]:
    match rule:
        case Above() | Below():
            return rule.level, 0.0
        case After():
            return rule.seconds, 0.0
        case OnClock():
            return rule.period, rule.first
        case _:
            return 0.0, 0.0


def sensor_row(netlist: Netlist, mode: Mode, solved: Equations, sensor: Sensor) -> Rows:
    """(m,) what a sensor sees in a mode, over the scaled state."""
    if sensor.quantity == "node":
        return solved.nodes[sensor.name]
    if sensor.quantity == "charge":
        return np.asarray(values_of_state(netlist)[netlist.state_names.index(sensor.name)])
    if sensor.quantity == "amperes" and isinstance(netlist.element(sensor.name), Inductor):
        return coil_current(netlist, mode, sensor.name)
    rows = solved.volts if sensor.quantity == "volts" else solved.amperes
    return np.asarray(rows[netlist.names.index(sensor.name)])
