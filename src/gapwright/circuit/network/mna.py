"""Nodal equations of a circuit in one mode, solved for all voltages and currents.

A mode fixes which switches are closed, which diodes conduct and what the gap
does. Within a mode the circuit is linear: with the state ``y`` (the roots of
capacitance times voltage and of inductance times current, so that the stored
energy is half its square) and a constant 1 behind it, every voltage and
current is a row times that vector, and ``dy/dt = A y``.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

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
from gapwright.circuit.network.magnetics import line_of
from gapwright.circuit.network.netlist import GROUND, Netlist
from gapwright.circuit.network.states import COUNTER_SECONDS, state_scale, values_of_state

__all__ = ["Equations", "GapState", "Mode", "Rows", "coil_current", "equations", "state_scale"]

Rows = NDArray[np.float64]

STIFF_OHMS = 1.0
"""Below this a resistance is written as volts = ohms times amperes, above as its inverse. [Ω]"""


class GapState(IntEnum):
    """What the gap does; the two highest bits of a mode."""

    OPEN = 0
    ARC = 1
    SHORT = 2
    REVERSE = 3
    """An arc whose current goes from end to start."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mode:
    """One combination of conducting diodes, coils beyond their bends, closed switches and gap state.

    As a number: diodes from the lowest bit up, then bends, switches, the gap.
    """

    diodes: tuple[bool, ...]
    bends: tuple[bool, ...]
    switches: tuple[bool, ...]
    gap: GapState

    @classmethod
    def from_mask(cls, netlist: Netlist, mask: int) -> "Mode":
        """Mode that `mask` stands for in this circuit."""
        diodes, bends, switches = len(netlist.of(Diode)), len(netlist.bends), len(netlist.of(Switch))
        bits = [bool(mask >> k & 1) for k in range(diodes + bends + switches)]
        return cls(
            diodes=tuple(bits[:diodes]),
            bends=tuple(bits[diodes : diodes + bends]),
            switches=tuple(bits[diodes + bends :]),
            gap=GapState(mask >> len(bits)),
        )

    def region(self, netlist: Netlist, coil: str) -> int:
        """Piece of a coil's flux that holds: how many bends it is beyond, below zero the other way."""
        beyond = [
            number
            for (part, number), on in zip(netlist.bends, self.bends, strict=True)
            if on and part.name == coil
        ]
        return max(beyond, key=abs, default=0)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Equations:
    """State matrix and rows of one mode, over the scaled state with its constant last."""

    system: Rows
    """(m, m) the matrix ``A``; its last row is zero."""
    volts: Rows
    """(parts, m) voltage across each part."""
    amperes: Rows
    """(parts, m) current through each part."""
    nodes: dict[str, Rows]
    """(m,) voltage of each node."""


def _resistive(ohms: float, volts: float = 0.0) -> tuple[float, float, float]:
    """Coefficients a, b, c of ``a v + b i = c`` for ``v = volts + ohms i``."""
    return (1.0, -ohms, volts) if ohms <= STIFF_OHMS else (1.0 / ohms, -1.0, volts / ohms)


def _gap_law(gap: Gap, state: GapState) -> tuple[float, float, float]:
    match state:
        case GapState.OPEN:
            return gap.leak_siemens, -1.0, 0.0
        case GapState.ARC:
            return _resistive(gap.arc_ohms, gap.arc_volts)
        case GapState.SHORT:
            return _resistive(gap.short_ohms)
        case GapState.REVERSE:
            return _resistive(gap.arc_ohms, -gap.arc_volts)


def _part_law(  # noqa: C901, PLR0911 - one case for each kind of part
    part: Element, *, on: bool, gap: GapState
) -> tuple[float, float, float]:
    """Coefficients a, b, c of ``a v + b i = c``, leaving out what a state contributes."""
    match part:
        case Resistor():
            return _resistive(part.ohms)
        case Capacitor():
            return 1.0, -part.series_ohms, 0.0
        case Inductor():
            return -1.0 / part.damper_ohms if part.damper_ohms else 0.0, 1.0, 0.0
        case VoltageSource():
            return 1.0, 0.0, part.volts
        case CurrentSource():
            return 0.0, 1.0, part.amperes
        case Switch():
            return _resistive(part.on_ohms if on else part.off_ohms)
        case Diode():
            return _resistive(part.on_ohms, part.drop_volts) if on else _resistive(part.off_ohms)
        case Gap():
            return _gap_law(part, gap)


def _solution(netlist: Netlist, mode: Mode) -> tuple[Rows, list[str]]:
    """Node voltages, then part currents, as rows over the values of the state and the constant."""
    nodes, parts, states = netlist.nodes, netlist.elements, netlist.states
    place = {node: k for k, node in enumerate(nodes)}
    column = {part.name: k for k, part in enumerate(states)}
    width = len(netlist.state_names) + 1
    on = dict(zip((p.name for p in netlist.of(Diode)), mode.diodes, strict=True))
    on |= dict(zip((p.name for p in netlist.of(Switch)), mode.switches, strict=True))
    size = len(nodes) + len(parts)
    left, right = np.zeros((size, size)), np.zeros((size, width))
    for k, part in enumerate(parts):
        row = len(nodes) + k
        a, b, c = _part_law(part, on=on.get(part.name, False), gap=mode.gap)
        for node, sign in ((part.start, 1.0), (part.end, -1.0)):
            if node != GROUND:
                left[row, place[node]] = sign * a
                left[place[node], row] = sign
        left[row, row] = b
        right[row, -1] = c
        if isinstance(part, Inductor):
            slope, offset = line_of(part.henries, part.pieces, mode.region(netlist, part.name))
            right[row, column[part.name]], right[row, -1] = slope, offset
        elif part.name in column:
            right[row, column[part.name]] = 1.0
    solved: Rows = np.asarray(np.linalg.solve(left, right), dtype=np.float64)
    return solved, list(nodes)


def equations(netlist: Netlist, mode: Mode) -> Equations:
    """State matrix and rows of a circuit in one mode."""
    solution, nodes = _solution(netlist, mode)
    values = values_of_state(netlist)
    solution = solution @ values
    rows = {node: solution[k] for k, node in enumerate(nodes)} | {GROUND: np.zeros(len(values))}
    volts = np.array([rows[part.start] - rows[part.end] for part in netlist.elements])
    amperes = solution[len(nodes) :]
    index = {name: k for k, name in enumerate(netlist.names)}
    slopes = np.zeros((len(netlist.states), len(values)))
    for k, part in enumerate(netlist.states):
        slopes[k] = (amperes if isinstance(part, Capacitor) else volts)[index[part.name]]
    system = np.zeros_like(values)
    system[: len(slopes)] = values[: len(slopes), : len(slopes)].T @ slopes
    _enter_charges(netlist, mode, amperes, system)
    return Equations(system=system, volts=volts, amperes=amperes, nodes=rows)


def _enter_charges(netlist: Netlist, mode: Mode, amperes: Rows, system: Rows) -> None:
    """Rates of the charges held in diodes and of the counters."""
    index, first = {name: k for k, name in enumerate(netlist.names)}, len(netlist.states)
    values = values_of_state(netlist)
    on = dict(zip((diode.name for diode in netlist.of(Diode)), mode.diodes, strict=True))
    for k, diode in enumerate(netlist.storing, start=first):
        if on[diode.name]:
            system[k] = amperes[index[diode.name]] / values[k, k]
        system[k, k] -= 1.0 / diode.storage_seconds
    for k, counter in enumerate(netlist.counters, start=first + len(netlist.storing)):
        system[k] = amperes[index[counter.part]] / values[k, k]
        system[k, k] -= 1.0 / COUNTER_SECONDS


def coil_current(netlist: Netlist, mode: Mode, name: str) -> Rows:
    """(m,) current of a coil, without that of its damper, over the scaled state."""
    k, values = netlist.state_names.index(name), values_of_state(netlist)
    coil = netlist.states[k]
    one = np.eye(len(values))[-1]
    if not isinstance(coil, Inductor):
        return np.asarray(values[k])
    slope, offset = line_of(coil.henries, coil.pieces, mode.region(netlist, name))
    return np.asarray(slope * values[k] + offset * one)
