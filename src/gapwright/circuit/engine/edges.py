"""Losses that a run's straight-line parts do not have: switching, output capacitance, gate, recovery, core.

They are reckoned beside the account, from the exact voltage and current at
each edge and the exact flux between edges, while the run goes on: the steps
of a run are looked at in packets and not kept.
"""

import itertools
from dataclasses import dataclass, field

import numpy as np

from gapwright.base.units import Coulombs, Farads, Joules, Number, Seconds, SquareMetres, Volts
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine.modes import ModeBook
from gapwright.circuit.network.elements import Diode, Inductor, Switch
from gapwright.circuit.network.magnetics import Rows
from gapwright.circuit.network.mna import Mode
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.network.states import inductances, values_of_state

FLAT = 1e-3
"""Share of the highest flux density below which a change counts as rest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchData:
    """What a transistor loses at each edge; one at the very start of a run is not seen."""

    rise_seconds: Seconds = 0.0
    """Time of switching on, in which voltage and current overlap by half."""
    fall_seconds: Seconds = 0.0
    output_farads: Farads = 0.0
    """Discharged through the transistor at each turn-on."""
    gate_coulombs: Coulombs = 0.0
    gate_volts: Volts = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreData:
    """Core of a coil, and its loss as a power law of frequency and swing (Steinmetz)."""

    area: SquareMetres
    volume: Number
    """[m³]"""
    turns: Number
    coefficient: Number
    """Loss density in W/m³ at 1 Hz and 1 T."""
    frequency_exponent: Number
    flux_exponent: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class LossData:
    """What is known of the parts beyond the circuit, by name."""

    switches: dict[str, SwitchData] = field(default_factory=dict)
    diodes: dict[str, Coulombs] = field(default_factory=dict)
    """Charge that a diode gives back at each turn-off."""
    cores: dict[str, CoreData] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeLoss:
    """What one part lost at edges or in its core over a run."""

    part: str
    what: str
    """"switching", "output capacitance", "gate", "recovery" or "core"."""
    count: int
    joules: Joules


@dataclass(slots=True, kw_only=True, eq=False)
class EdgeMeter:
    """Adds up the losses of a run, packet by packet of its steps."""

    book: ModeBook
    data: LossData
    totals: dict[tuple[str, str], tuple[int, float]] = field(default_factory=dict)
    last: tuple[int, Rows] | None = None
    """Mode of the step before the packet, and the state at its start."""
    turns: dict[str, Rows] = field(default_factory=dict)
    """Time and flux density of each core at its last turn and at the last step."""

    def take(self, times: Rows, slots: hk.Counts, terms: Rows) -> None:
        """Look at one packet of steps."""
        if not len(times):
            return
        states = np.einsum("kij,kj->ki", self.book.tables.state_of[slots], terms)
        before = np.concatenate([[self.last[0] if self.last else slots[0]], slots[:-1]])
        for old, new in {(int(a), int(b)) for a, b in zip(before, slots, strict=True) if a != b}:
            at = (before == old) & (slots == new)
            self._edges(old, new, states[at])
        for name, core in self.data.cores.items():
            self._swings(name, core, times, states)
        self.last = int(slots[-1]), states[-1]

    def _edges(self, old: int, new: int, states: Rows) -> None:
        """Book the flips of switches and diodes between two modes."""
        netlist = self.book.netlist
        was, now = (Mode.from_mask(netlist, self.book.masks[slot]) for slot in (old, new))
        for k, switch in enumerate(netlist.of(Switch)):
            data = self.data.switches.get(switch.name)
            if data is not None and was.switches[k] != now.switches[k]:
                self._switched(switch.name, data, (old, new), states, closes=now.switches[k])
        for k, diode in enumerate(netlist.of(Diode)):
            charge = self.data.diodes.get(diode.name)
            if charge is not None and was.diodes[k] and not now.diodes[k]:
                self._book(diode.name, "recovery", charge * np.abs(self._volts(diode.name, new, states)))

    def _switched(
        self, name: str, data: SwitchData, slots: tuple[int, int], states: Rows, *, closes: bool
    ) -> None:
        old, new = slots
        open_slot, closed_slot = (old, new) if closes else (new, old)
        volts = np.abs(self._volts(name, open_slot, states))
        amperes = np.abs(self._amperes(name, closed_slot, states))
        overlap = data.rise_seconds if closes else data.fall_seconds
        self._book(name, "switching", 0.5 * overlap * volts * amperes)
        if closes:
            self._book(name, "output capacitance", 0.5 * data.output_farads * volts**2)
            self._book(name, "gate", np.full(len(states), data.gate_coulombs * data.gate_volts))

    def _volts(self, name: str, slot: int, states: Rows) -> Rows:
        return np.asarray(states @ self.book.solved[slot].volts[self.book.netlist.names.index(name)])

    def _amperes(self, name: str, slot: int, states: Rows) -> Rows:
        return np.asarray(states @ self.book.solved[slot].amperes[self.book.netlist.names.index(name)])

    def _book(self, part: str, what: str, joules: Rows) -> None:
        count, total = self.totals.get((part, what), (0, 0.0))
        self.totals[part, what] = count + len(joules), total + float(joules.sum())

    def _swings(self, name: str, core: CoreData, times: Rows, states: Rows) -> None:
        """Loss of each straight stretch of flux between two turns, as that of a triangle."""
        kept = self.turns.get(name, np.zeros((2, 0)))
        t = np.concatenate([kept[0], times])
        b = np.concatenate([kept[1], flux_of(self.book.netlist, name, states) / (core.turns * core.area)])
        step = np.diff(b)
        way = np.sign(np.where(np.abs(step) > FLAT * np.abs(b).max(), step, 0.0))
        turn = 1 + np.flatnonzero(np.diff(way) != 0.0)
        ends = np.concatenate([[0], turn])
        losses = [
            stretch_loss(core, float(t[k] - t[h]), abs(float(b[k] - b[h])))
            for h, k in itertools.pairwise(ends)
        ]
        self._book(name, "core", np.array(losses))
        self.turns[name] = np.array([[t[ends[-1]], t[-1]], [b[ends[-1]], b[-1]]])

    def losses(self) -> tuple[EdgeLoss, ...]:
        """What has been booked so far."""
        return tuple(
            EdgeLoss(part=part, what=what, count=count, joules=joules)
            for (part, what), (count, joules) in self.totals.items()
        )


def stretch_loss(core: CoreData, seconds: float, swing: float) -> float:
    r"""Loss of a core while its flux density goes straight through a swing, in J.

    A triangle of that swing has twice the stretch for its period, and loses
    :math:`k f^\alpha (\Delta B/2)^\beta` per volume and second.
    """
    if seconds <= 0.0 or swing <= 0.0:
        return 0.0
    frequency = 0.5 / seconds
    density = core.coefficient * frequency**core.frequency_exponent * (0.5 * swing) ** core.flux_exponent
    return float(density * core.volume * seconds)


def flux_of(netlist: Netlist, name: str, states: Rows) -> Rows:
    """Flux linkage of a coil in each state, in V·s."""
    values = states @ values_of_state(netlist).T
    coils = [coil.name for coil in netlist.of(Inductor)]
    first = len(netlist.states) - len(coils)
    return np.asarray(values[:, first : first + len(coils)] @ inductances(netlist)[coils.index(name)])
