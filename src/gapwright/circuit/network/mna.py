"""Nodal equations of a circuit in one mode, solved for all voltages and currents.

A mode fixes which switches are closed, which diodes conduct and what the gap
does. Within a mode the circuit is linear: with the state ``y`` (the roots of
capacitance times voltage and of inductance times current, so that the stored
energy is half its square) and a constant 1 behind it, every voltage and
current is a row times that vector, and ``dy/dt = A y``.
"""

from collections.abc import Sequence
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

__all__ = [
    "Equations",
    "GapState",
    "Mode",
    "Rows",
    "coil_current",
    "equations",
    "equations_together",
    "state_scale",
]

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


def _part_row(
    netlist: Netlist, k: int, place: dict[str, int], *, on: bool, gap: GapState, region: int
) -> tuple[Rows, Rows]:
    """Row of a part's law over node voltages and part currents; what it equals, over state and constant."""
    part = netlist.elements[k]
    left, right = np.zeros(len(place) + len(netlist.elements)), np.zeros(len(netlist.state_names) + 1)
    a, b, c = _part_law(part, on=on, gap=gap)
    for node, sign in ((part.start, 1.0), (part.end, -1.0)):
        if node != GROUND:
            left[place[node]] = sign * a
    left[len(place) + k] = b
    right[-1] = c
    if isinstance(part, Inductor):
        slope, offset = line_of(part.henries, part.pieces, region)
        right[netlist.state_names.index(part.name)], right[-1] = slope, offset
    elif isinstance(part, Capacitor):
        right[netlist.state_names.index(part.name)] = 1.0
    return left, right


def _conducting(netlist: Netlist, modes: Sequence[Mode]) -> dict[str, list[bool]]:
    """Whether each diode and switch conducts, mode by mode."""
    diodes = {part.name: [mode.diodes[k] for mode in modes] for k, part in enumerate(netlist.of(Diode))}
    return diodes | {
        part.name: [mode.switches[k] for mode in modes] for k, part in enumerate(netlist.of(Switch))
    }


def _solution(netlist: Netlist, modes: Sequence[Mode]) -> Rows:
    """Node voltages, then part currents, as rows over the values of state and constant, mode by mode."""
    nodes, parts, count = netlist.nodes, netlist.elements, len(modes)
    place = {node: k for k, node in enumerate(nodes)}
    on = _conducting(netlist, modes)
    size = len(nodes) + len(parts)
    left, right = np.zeros((count, size, size)), np.zeros((count, size, len(netlist.state_names) + 1))
    for k, part in enumerate(parts):
        row = len(nodes) + k
        for node, sign in ((part.start, 1.0), (part.end, -1.0)):
            if node != GROUND:
                left[:, place[node], row] = sign
        bent = isinstance(part, Inductor) and bool(part.pieces)
        states = [
            (
                conducts,
                mode.gap if isinstance(part, Gap) else GapState.OPEN,
                mode.region(netlist, part.name) if bent else 0,
            )
            for conducts, mode in zip(on.get(part.name, [False] * count), modes, strict=True)
        ]
        for state in set(states):
            alike = [place for place, other in enumerate(states) if other == state]
            conducts, gap, region = state
            left[alike, row], right[alike, row] = _part_row(
                netlist, k, place, on=conducts, gap=gap, region=region
            )
    return np.asarray(np.linalg.solve(left, right), dtype=np.float64)


def equations(netlist: Netlist, mode: Mode) -> Equations:
    """State matrix and rows of a circuit in one mode."""
    return equations_together(netlist, (mode,))[0]


def equations_together(netlist: Netlist, modes: Sequence[Mode]) -> list[Equations]:
    """State matrices and rows of a circuit in several modes.

    The arithmetic is done mode by mode, so that what comes out does not depend on
    which modes are asked together; only what is alike is set up once.
    """
    nodes, values = list(netlist.nodes), values_of_state(netlist)
    solution = _solution(netlist, modes) @ values
    rows = np.concatenate([solution[:, : len(nodes)], np.zeros((len(modes), 1, len(values)))], axis=1)
    place = {node: k for k, node in enumerate([*nodes, GROUND])}
    starts = [place[part.start] for part in netlist.elements]
    ends = [place[part.end] for part in netlist.elements]
    volts, amperes = rows[:, starts] - rows[:, ends], solution[:, len(nodes) :]
    index = {name: k for k, name in enumerate(netlist.names)}
    slopes = np.zeros((len(modes), len(netlist.states), len(values)))
    for k, part in enumerate(netlist.states):
        slopes[:, k] = (amperes if isinstance(part, Capacitor) else volts)[:, index[part.name]]
    system = np.zeros((len(modes), *values.shape))
    held = slopes.shape[1]
    system[:, :held] = values[:held, :held].T @ slopes
    _enter_charges(netlist, modes, amperes, system)
    return [
        Equations(
            system=system[n],
            volts=volts[n],
            amperes=amperes[n],
            nodes={node: rows[n, k] for node, k in place.items()},
        )
        for n in range(len(modes))
    ]


def _enter_charges(netlist: Netlist, modes: Sequence[Mode], amperes: Rows, system: Rows) -> None:
    """Rates of the charges held in diodes and of the counters, mode by mode."""
    index, first = {name: k for k, name in enumerate(netlist.names)}, len(netlist.states)
    values, on = values_of_state(netlist), _conducting(netlist, modes)
    for k, diode in enumerate(netlist.storing, start=first):
        conducts = on[diode.name]
        system[conducts, k] = amperes[conducts, index[diode.name]] / values[k, k]
        system[:, k, k] -= 1.0 / diode.storage_seconds
    for k, counter in enumerate(netlist.counters, start=first + len(netlist.storing)):
        system[:, k] = amperes[:, index[counter.part]] / values[k, k]
        system[:, k, k] -= 1.0 / COUNTER_SECONDS


def coil_current(netlist: Netlist, mode: Mode, name: str) -> Rows:
    """(m,) current of a coil, without that of its damper, over the scaled state."""
    k, values = netlist.state_names.index(name), values_of_state(netlist)
    coil = netlist.states[k]
    if not isinstance(coil, Inductor):
        return np.asarray(values[k])
    slope, offset = line_of(coil.henries, coil.pieces, mode.region(netlist, name) if coil.pieces else 0)
    row: Rows = slope * values[k]
    row[-1] += offset
    return row
