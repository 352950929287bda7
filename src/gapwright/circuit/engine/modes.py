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
from gapwright.circuit.engine.governing import sensor_row
from gapwright.circuit.engine.terms import Terms, decomposed
from gapwright.circuit.network.elements import (
    Capacitor,
    CurrentSource,
    Diode,
    Gap,
    Inductor,
    Switch,
    VoltageSource,
)
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


def product_form(first: Rows, second: Rows) -> Rows:
    """Symmetric matrix whose weighted sum over products of the state is one row times another."""
    outer = np.outer(first, second)
    return np.asarray(0.5 * (outer + outer.T))


def power_forms(netlist: Netlist, solved: Equations, gap: GapState) -> dict[tuple[str, str, str], Rows]:
    """Power given or taken under each heading, as forms over products of the state.

    Keys are (part, account, role); the stage is the part's own.
    """
    forms: dict[tuple[str, str, str], Rows] = {}
    for part, volts, amperes in zip(netlist.elements, solved.volts, solved.amperes, strict=True):
        match part:
            case VoltageSource() | CurrentSource():
                forms[part.name, part.account, "in"] = -product_form(volts, amperes)
            case Capacitor():
                forms[part.name, part.account, "out"] = part.series_ohms * product_form(amperes, amperes)
            case Inductor():
                if part.damper_ohms is not None:
                    forms[part.name, part.account, "out"] = product_form(volts, volts) / part.damper_ohms
            case Gap():
                account = {
                    GapState.OPEN: "leakage",
                    GapState.ARC: part.account,
                    GapState.SHORT: "short circuit",
                    GapState.REVERSE: part.account,
                }
                forms[part.name, account[gap], "out"] = product_form(volts, amperes)
            case _:
                forms[part.name, part.account, "out"] = product_form(volts, amperes)
    return forms


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
        self.solved: list[Equations] = []
        self.terms: list[Terms] = []
        self.m = len(netlist.state_names) + 1
        flips = len(netlist.of(Diode)) + len(netlist.bends)
        self.events = flips + EXTRA_EVENTS + len(sensors)
        self.bits = flips + len(netlist.of(Switch)) + 2
        self.tables = self._blank(FIRST_CAPACITY)
        self._gathered = np.zeros((2, *self.tables.products.shape))

    def _blank(self, k: int) -> Tables:
        m, parts = self.m, len(self.netlist.elements)
        return Tables(
            slot=np.full(1 << self.bits, -1, dtype=np.int32),
            modal=np.zeros(k, dtype=np.bool_),
            reals=np.zeros(k, dtype=np.int32),
            rates=np.zeros((k, m)),
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
        t.system[k] = solved.system
        t.events[k] = self._event_rows(mode, solved) @ terms.state_of
        t.watched[k] = (np.concatenate([solved.amperes, solved.volts]) @ terms.state_of).T
        self._enter_gap(k, mode.gap, solved, terms)
        self.masks.append(mask)
        self.solved.append(solved)
        self.terms.append(terms)
        t.slot[mask] = k

    def _enter_gap(self, k: int, state: GapState, solved: Equations, terms: Terms) -> None:
        if self.netlist.gap is None:
            return
        index = self.netlist.names.index(self.netlist.gap.name)
        volts, amperes = solved.volts[index], solved.amperes[index]
        one = np.eye(self.m)[-1]
        way = -1.0 if state is GapState.REVERSE else 1.0
        self.tables.gap_rows[k] = np.array([volts, way * amperes]) @ terms.state_of
        forms = (product_form(amperes, one), product_form(volts, amperes), product_form(amperes, amperes))
        for j, form in enumerate(forms):
            self.tables.gap_forms[k, j] = terms.state_of.T @ form @ terms.state_of

    def _event_rows(self, mode: Mode, solved: Equations) -> Rows:
        """Rows that turn negative when a diode or bend must flip, then those of gap and control."""
        netlist, names = self.netlist, self.netlist.names
        rows = self._diode_rows(mode, solved) + self._bend_rows(mode) + self._gap_event_rows(mode.gap, solved)
        coil, sensed = np.zeros(self.m), np.zeros(self.m)
        if netlist.coil:
            coil = coil_current(netlist, mode, netlist.coil)
        if netlist.store:
            sensed = solved.volts[names.index(netlist.store)]
        watched = [sensor_row(netlist, mode, solved, sensor) for sensor in self.sensors]
        return np.array([*rows, coil, sensed, *watched])

    def _diode_rows(self, mode: Mode, solved: Equations) -> list[Rows]:
        netlist, one = self.netlist, np.eye(self.m)[-1]
        rows = []
        for diode, on in zip(netlist.of(Diode), mode.diodes, strict=True):
            k = netlist.names.index(diode.name)
            if not on:
                rows.append((diode.drop_volts + VOLT_MARGIN) * one - solved.volts[k])
            elif diode.storage_seconds > 0:
                held = values_of_state(netlist)[netlist.state_names.index(diode.name, len(netlist.states))]
                rows.append(held / diode.storage_seconds + CURRENT_MARGIN * one)
            else:
                rows.append(solved.amperes[k] + CURRENT_MARGIN * one)
        return rows

    def _bend_rows(self, mode: Mode) -> list[Rows]:
        netlist, one = self.netlist, np.eye(self.m)[-1]
        rows = []
        for (coil, number), beyond in zip(netlist.bends, mode.bends, strict=True):
            at = float(bends(coil.henries, coil.pieces)[abs(number) - 1])
            flux = np.sign(number) * values_of_state(netlist)[netlist.state_names.index(coil.name)]
            rows.append((flux - at * one if beyond else at * one - flux) + CURRENT_MARGIN * one)
        return rows

    def _gap_event_rows(self, state: GapState, solved: Equations) -> list[Rows]:
        gap, none = self.netlist.gap, np.zeros(self.m)
        if gap is None or state is GapState.SHORT:
            return [none, none]
        k = self.netlist.names.index(gap.name)
        if state is not GapState.OPEN:
            burning = solved.amperes[k] if state is GapState.ARC else -solved.amperes[k]
            return [burning, burning @ solved.system]
        return [solved.nodes[self.sense] if self.sense else solved.volts[k], solved.volts[k]]

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

    def metered(self, slot: int) -> Rows:
        """(m, m) integrals of the terms' products over all time spent in a mode."""
        total: Rows = self._gathered[:, slot].sum(axis=0) + self.tables.products[slot]
        return total

    def clear(self) -> None:
        """Forget all that was metered."""
        self._gathered[:] = 0.0
        self.tables.products[:] = 0.0
