"""Tables of a circuit's modes, made when a run first meets them.

Most modes are written in their own natural terms: real exponentials and
decaying oscillations, so that a state is carried over any time in closed form.
Where those terms are nearly parallel the mode is kept as its matrix and
carried by a ladder of exponentials instead.
"""

from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gapwright.circuit.control.governor import Sensor
from gapwright.circuit.engine._meter_kernel import inverse_rates
from gapwright.circuit.engine.governing import sensor_row
from gapwright.circuit.engine.powers import product_form
from gapwright.circuit.engine.terms import Terms, decomposed
from gapwright.circuit.network.elements import Diode, Switch
from gapwright.circuit.network.magnetics import bends
from gapwright.circuit.network.mna import Equations, GapState, Mode, Rows, coil_current, equations
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.network.states import values_of_state

CURRENT_MARGIN = 1e-9
"""Reverse current at which a diode counts as blocking. [A]"""
VOLT_MARGIN = 1e-9
"""Excess over its drop at which a diode counts as conducting. [V]"""
FIRST_CAPACITY = 32
EXTRA_EVENTS = 4
"""Event rows behind those of the diodes: gap, slope of its current, coil current, sensed voltage."""


class Tables(NamedTuple):
    """Arrays of all modes met so far, as the kernels take them."""

    slot: NDArray[np.int32]
    """(2^bits,) place of a mode, -1 while it has not been met."""
    modal: NDArray[np.bool_]
    """(k,) whether the mode is carried in closed form."""
    reals: NDArray[np.int32]
    """(k,) number of real terms; pairs follow them."""
    rates: Rows
    """(k, m) rate of each real term; real and imaginary part of each pair."""
    inverse: Rows
    """(k, m, m) one over the rates of products of terms; see `_meter_kernel.inverse_rates`."""
    state_of: Rows
    """(k, m, m) state from terms."""
    terms_of: Rows
    """(k, m, m) terms from state."""
    system: Rows
    """(k, m, m) state matrix."""
    events: Rows
    """(k, events, m) event rows over terms."""
    watched: Rows
    """(k, m, 2 parts) currents, then voltages of all parts, over terms."""
    gap_rows: Rows
    """(k, 2, m) gap voltage and gap current over terms."""
    gap_forms: Rows
    """(k, 3, m, m) charge, energy and action integral of the gap, over integrals of the terms' products."""
    products: Rows
    """(k, m, m) integrals of the terms' products over all time spent in the mode."""


Worked = tuple[Equations, Terms]
"""Equations of one mode and their terms."""


@lru_cache(maxsize=512)
def _worked_out(netlist: Netlist, mask: int) -> Worked:
    """Equations of one mode and their terms, kept for the next run of an equal circuit."""
    solved = equations(netlist, Mode.from_mask(netlist, mask))
    return solved, decomposed(solved.system)


class ModeBook:
    """The modes of one circuit met so far; grows as kernels ask for more."""

    def __init__(
        self,
        netlist: Netlist,
        *,
        sense: str = "",
        sensors: tuple[Sensor, ...] = (),
        worked: Mapping[int, Worked] | None = None,
    ) -> None:
        """Start with no mode.

        `sense` is the node whose voltage ignites, the gap itself if empty;
        `sensors` are watched by governors; `worked` holds modes by mask that
        were worked out before.
        """
        self.netlist = netlist
        self.worked = worked or {}
        self.sense = sense
        self.sensors = sensors
        self.masks: list[int] = []
        self.modes: list[Mode] = []
        self.solved: list[Equations] = []
        self.terms: list[Terms] = []
        self.m = len(netlist.state_names) + 1
        self._diodes = [self._diode(diode) for diode in netlist.of(Diode)]
        flips = len(netlist.of(Diode)) + len(netlist.bends)
        self.events = flips + EXTRA_EVENTS + len(sensors)
        self.bits = flips + len(netlist.of(Switch)) + 2
        self.tables = self._blank(FIRST_CAPACITY)
        self._gathered = np.zeros((2, *self.tables.products.shape))

    def _diode(self, diode: Diode) -> tuple[int, float, Rows | None]:
        """Place and drop of a diode, and the current for which it holds its charge, if it stores any."""
        netlist, held = self.netlist, None
        if diode.storage_seconds > 0:
            place = netlist.state_names.index(diode.name, len(netlist.states))
            held = values_of_state(netlist)[place] / diode.storage_seconds
        return netlist.names.index(diode.name), diode.drop_volts, held

    def _blank(self, k: int) -> Tables:
        m, parts = self.m, len(self.netlist.elements)
        return Tables(
            slot=np.full(1 << self.bits, -1, dtype=np.int32),
            modal=np.zeros(k, dtype=np.bool_),
            reals=np.zeros(k, dtype=np.int32),
            rates=np.zeros((k, m)),
            inverse=np.zeros((k, m, m)),
            state_of=np.zeros((k, m, m)),
            terms_of=np.zeros((k, m, m)),
            system=np.zeros((k, m, m)),
            events=np.zeros((k, self.events, m)),
            watched=np.zeros((k, m, 2 * parts)),
            gap_rows=np.zeros((k, 2, m)),
            gap_forms=np.zeros((k, 3, m, m)),
            products=np.zeros((k, m, m)),
        )

    def _grow(self) -> None:
        old = self.tables
        new = self._blank(2 * len(old.modal))
        new.slot[:] = old.slot
        for name, array in old._asdict().items():
            if name != "slot":
                getattr(new, name)[: len(array)] = array
        self._gathered = np.concatenate([self._gathered, np.zeros_like(self._gathered)], axis=1)
        self.tables = new

    def add(self, mask: int) -> None:
        """Solve one more mode and enter it."""
        mode = Mode.from_mask(self.netlist, mask)
        solved, terms = self.worked.get(mask) or _worked_out(self.netlist, mask)
        k = len(self.masks)
        if k == len(self.tables.modal):
            self._grow()
        t = self.tables
        t.modal[k], t.reals[k] = terms.modal, terms.reals
        t.rates[k], t.state_of[k], t.terms_of[k] = terms.rates, terms.state_of, terms.terms_of
        if terms.modal:
            inverse_rates(t.rates[k], terms.reals, t.inverse[k])
        t.system[k] = solved.system
        t.events[k] = self._event_rows(mode, solved) @ terms.state_of
        t.watched[k] = (np.concatenate([solved.amperes, solved.volts]) @ terms.state_of).T
        self._enter_gap(k, mode.gap)
        self.masks.append(mask)
        self.modes.append(mode)
        self.solved.append(solved)
        self.terms.append(terms)
        t.slot[mask] = k

    def _enter_gap(self, k: int, state: GapState) -> None:
        """Rows and forms of the gap, from those of its current and voltage among the watched."""
        if self.netlist.gap is None:
            return
        t, index = self.tables, self.netlist.names.index(self.netlist.gap.name)
        amperes, volts = t.watched[k, :, index], t.watched[k, :, len(self.netlist.elements) + index]
        t.gap_rows[k, 0] = volts
        t.gap_rows[k, 1] = -amperes if state is GapState.REVERSE else amperes
        for j, other in enumerate((t.state_of[k, -1], volts, amperes)):
            t.gap_forms[k, j] = product_form(other, amperes)

    def _event_rows(self, mode: Mode, solved: Equations) -> Rows:
        """Rows that turn negative when a diode or bend must flip, then those of gap and control."""
        netlist, rows = self.netlist, np.zeros((self.events, self.m))
        self._enter_diodes(rows, mode, solved)
        self._enter_bends(rows[len(self._diodes) :], mode)
        behind = rows[self.events - EXTRA_EVENTS - len(self.sensors) :]
        self._enter_gap_events(behind, mode.gap, solved)
        if netlist.coil:
            behind[2] = coil_current(netlist, mode, netlist.coil)
        if netlist.store:
            behind[3] = solved.volts[netlist.names.index(netlist.store)]
        for k, sensor in enumerate(self.sensors):
            behind[EXTRA_EVENTS + k] = sensor_row(netlist, mode, solved, sensor)
        return rows

    def _enter_diodes(self, rows: Rows, mode: Mode, solved: Equations) -> None:
        for row, (k, drop, held), on in zip(rows, self._diodes, mode.diodes, strict=False):
            if not on:
                row -= solved.volts[k]
                row[-1] += drop + VOLT_MARGIN
            elif held is None:
                row += solved.amperes[k]
                row[-1] += CURRENT_MARGIN
            else:
                row += held
                row[-1] += CURRENT_MARGIN

    def _enter_bends(self, rows: Rows, mode: Mode) -> None:
        netlist = self.netlist
        for row, (coil, number), beyond in zip(rows, netlist.bends, mode.bends, strict=False):
            at = float(bends(coil.henries, coil.pieces)[abs(number) - 1])
            row += np.sign(number) * values_of_state(netlist)[netlist.state_names.index(coil.name)]
            row[-1] -= at
            if not beyond:
                row *= -1.0
            row[-1] += CURRENT_MARGIN

    def _enter_gap_events(self, rows: Rows, state: GapState, solved: Equations) -> None:
        gap = self.netlist.gap
        if gap is None or state is GapState.SHORT:
            return
        k = self.netlist.names.index(gap.name)
        if state is GapState.OPEN:
            rows[0] = solved.nodes[self.sense] if self.sense else solved.volts[k]
            rows[1] = solved.volts[k]
        else:
            rows[0] = solved.amperes[k] if state is GapState.ARC else -solved.amperes[k]
            rows[1] = rows[0] @ solved.system

    def gather(self) -> None:
        """Take in what was metered since the last time, so that small steps are not lost in a large sum.

        The sum is kept in two parts, the second what rounding takes from the first; see Knuth, The Art of
        Computer Programming, volume 2, section 4.2.2, theorem B.
        """
        whole, lost = self._gathered
        more = self.tables.products
        total = whole + more
        seen = total - whole
        lost += (whole - (total - seen)) + (more - seen)
        whole[:] = total
        more[:] = 0.0

    def metered(self) -> Rows:
        """(modes, m, m) integrals of the state's products over all time spent in each mode."""
        k = len(self.masks)
        terms: Rows = self._gathered[0, :k] + self._gathered[1, :k] + self.tables.products[:k]
        shape = self.tables.state_of[:k]
        return np.asarray(shape @ terms @ np.swapaxes(shape, 1, 2))

    def clear(self) -> None:
        """Forget all that was metered."""
        self._gathered[:] = 0.0
        self.tables.products[:] = 0.0
