"""Nodes of a charge map, worked out by the exact engine."""

from dataclasses import replace

import numpy as np

from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.circuit.control.control import NoControl, PeakCurrent
from gapwright.circuit.control.ignition import Never
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine.arrays import governors_of
from gapwright.circuit.engine.engine import Start, chatter_error, setup_of, state_at
from gapwright.circuit.engine.governing import machines_of
from gapwright.circuit.engine.modes import ModeBook
from gapwright.circuit.engine.powers import power_forms
from gapwright.circuit.map import _section_entry_kernel as entry
from gapwright.circuit.map import _section_kernel as sk
from gapwright.circuit.map.map_headings import given_accounts
from gapwright.circuit.map.map_layout import (
    RETURN_POINTS,
    SUPPLY_FULL,
    Layout,
    lead_of,
    longest_discharge,
    slice_of,
    supply_volts,
)
from gapwright.circuit.map.map_plan import SETTLINGS
from gapwright.circuit.map.map_sections import sections_of
from gapwright.circuit.network.elements import Capacitor, Inductor, VoltageSource
from gapwright.circuit.network.mna import Mode, state_scale

LEAST_LEAK = 1e-6
"""Least leak of a gap that pulses are given to: more than what an open transistor lets through. [S]"""
PATH_ROWS = 32
"""Sections of a journey that are kept at once."""


class Bench:
    """One leak conductance: modes, forms and the arrays of its nodes."""

    def __init__(self, layout: Layout, leak: float, *, sparks: bool = True) -> None:
        gap = layout.netlist.gap
        if gap is None:
            raise InputRefused("a charge map must have a gap, got none")
        self.layout, self.leak = layout, max(leak, LEAST_LEAK) if layout.bus else leak
        self.netlist = layout.netlist.with_part(replace(gap, leak_siemens=self.leak))
        self.machines = machines_of(self.netlist, governors_of(layout.control))
        self.book = ModeBook(self.netlist, sensors=self.machines.sensors)
        self.setup = setup_of(self.netlist, layout.control, Never(), None, self.machines)
        self.setup.ints[hk.WATCH_PEAKS] = 0
        self.state = state_at(self.netlist, layout.control, Start(), 1.0, self.machines)
        self.log = hk.Log(
            sparks=np.zeros((8, hk.SPARK_COLUMNS)),
            knot_times=np.zeros(1),
            knot_slots=np.zeros(1, dtype=np.int64),
            knot_terms=np.zeros((1, self.book.m)),
        )
        self.forms = np.zeros((0, len(layout.headings), self.book.m, self.book.m))
        self.nodes = self._nodes(sparks=sparks)

    def _nodes(self, *, sparks: bool) -> sk.Nodes:
        layout, m = self.layout, self.book.m
        charts, nodes, phases, meters = (
            len(layout.charts),
            len(layout.volts),
            layout.phases,
            len(layout.headings),
        )
        flat, deep = (charts, nodes), (charts, nodes, phases)
        sparked = (charts, nodes, phases if sparks else 0)
        return sk.Nodes(
            forms=self.forms,
            kinds=np.array(layout.kinds, dtype=np.int64),
            aside=self._aside(),
            limits=self._limits(),
            volts=layout.volts,
            time=np.zeros(flat),
            end=np.zeros(flat),
            stored=np.zeros(flat),
            after=np.zeros(flat, dtype=np.int64),
            gap_volts=np.zeros(deep),
            energy=np.zeros((*deep, meters)),
            spark_time=np.zeros((*sparked, 2)),
            spark_end=np.zeros((*sparked, 2)),
            spark_energy=np.zeros((*sparked, 2, meters)),
            spark_facts=np.zeros((*sparked, 6)),
            spark_return=np.zeros((*sparked, 2, 1 + RETURN_POINTS)),
            sections=self._asked(sparked),
            starts=self._starts(),
            phase_x=np.zeros((phases, m)),
            phase_ints=np.zeros((phases, len(self.state.ints)), dtype=np.int64),
            phase_floats=np.zeros((phases, len(self.state.floats))),
            phase_current=np.zeros((phases, len(self.state.current)), dtype=np.int64),
            phase_clock=np.zeros((phases, *self.state.clock.shape)),
            found=np.zeros(1, dtype=np.int64),
            spark_next=np.zeros((*sparked, 2), dtype=np.int64),
            path=np.zeros((PATH_ROWS, 1 + m)),
            **sections_of(layout.plan, self.machines, charts)._asdict(),
        )

    def _asked(self, shape: tuple[int, int, int]) -> hk.Counts:
        """One section after each discharge; where a gap gets no voltage, discharges at one phase stand for all."""
        sections = np.ones(shape, dtype=np.int64)
        for c, chart in enumerate(self.layout.plan.charts if self.layout.plan is not None else ()):
            if chart.dead:
                sections[c, :, 1:] = 0
        return sections

    def _aside(self) -> hk.Counts:
        """States whose energy is booked at a section, with their meter and sign."""
        lead = lead_of(self.netlist)
        rows = [
            (self.layout.index(lead.name), self.layout.headings.index((lead.stage, lead.account, "out")), 1)
        ]
        if self.layout.supply is not None:
            source = self.netlist.of(VoltageSource)[0]
            meter = self.layout.headings.index((source.stage, source.account, "in"))
            rows.append((self.layout.index(self.layout.supply.name), meter, -1))
        for part in self.netlist.of(Capacitor):
            if part.name in self.layout.beside and part is not self.layout.supply:
                out = self.layout.headings.index((part.stage, part.account, "out"))
                rows.append((self.layout.index(part.name), out, 1))
        return np.array(rows, dtype=np.int64)

    def _limits(self) -> hk.Numbers:
        control, scale = self.layout.control, state_scale(self.netlist)
        full = 0.0
        if self.layout.supply is not None:
            full = (
                SUPPLY_FULL * supply_volts(self.netlist) * scale[self.layout.index(self.layout.supply.name)]
            )
        limit = control.limit if isinstance(control, PeakCurrent) else 0.0
        coil = self.netlist.element(self.netlist.coil) if self.netlist.coil else None
        settling = 0.0
        if isinstance(coil, Inductor) and coil.damper_ohms is not None:
            settling = SETTLINGS * coil.henries / coil.damper_ohms
        longest = longest_discharge(self.netlist)
        if self.layout.plan is not None:
            longest += 3.0 * self.layout.plan.longest_pulse
        return np.array([limit, slice_of(self.layout), longest, 1.0, full, settling])

    def _starts(self) -> hk.Numbers:
        """States at the sections; those behind the first chart are filled in on the way.

        What else a circuit under governors holds there comes from journeys, see `map_starts`.
        """
        layout, scale = self.layout, state_scale(self.netlist)
        starts = np.zeros((len(layout.charts), len(layout.volts), self.book.m))
        starts[:, :, -1] = 1.0
        starts[:, :, layout.index(self.netlist.store)] = (
            layout.volts * scale[layout.index(self.netlist.store)]
        )
        lead = layout.index(lead_of(self.netlist).name)
        starts[:, :, lead] = self.leak * layout.volts * scale[lead]
        if layout.supply is not None:
            k = layout.index(layout.supply.name)
            starts[:, :, k] = supply_volts(self.netlist) * scale[k]
        if isinstance(layout.control, PeakCurrent):
            coil = layout.index(self.netlist.coil)
            starts[0, :, coil] = layout.control.limit * scale[coil]
        return starts

    def add(self) -> None:
        """Enter the mode that was asked for, with its forms."""
        mask, slot = int(self.state.ints[hk.MASK]), len(self.book.masks)
        self.book.add(mask)
        if self.layout.plan is None and not self.book.terms[slot].modal:
            raise InputRefused(
                "a charge map must have a circuit whose modes are all in closed form, got one that is not"
            )
        stages = {part.name: part.stage for part in self.netlist.elements}
        shape = self.book.terms[slot].state_of
        given = given_accounts(self.netlist)
        gap = Mode.from_mask(self.netlist, mask).gap
        forms = np.zeros((1, *self.forms.shape[1:]))
        for (part, account, role), form in power_forms(self.netlist, self.book.solved[slot], gap).items():
            sign = -1.0 if role == "out" and account in given else 1.0
            booked = "in" if account in given else role
            k = self.layout.headings.index((stages[part], account, booked))
            forms[0, k] += sign * (shape.T @ form @ shape)
        self.forms = np.concatenate([self.forms, forms])
        self.nodes = self.nodes._replace(forms=self.forms)

    def edges(self) -> tuple[float, float]:
        """Store voltages at an opening above which the switch closes next, and above which the store is full."""
        plan = self.layout.plan
        if isinstance(self.layout.control, NoControl) or (plan is not None and plan.full < 0):
            return np.inf, np.inf
        return self._edge(full=False), self._edge(full=True)

    def _edge(self, *, full: bool) -> float:
        after, volts = self.nodes.after[0], self.layout.volts
        above = np.isin(after, (hk.DRAINING, hk.IDLE)) if full else after != hk.SWITCH_OFF
        if self.layout.plan is not None:
            above = after == self.layout.plan.full
        if (np.diff(above.astype(int)) < 0).any():
            raise InputRefused(
                "a charge map must have a control whose next step turns once with rising store voltage, got one that "
                "turns back; use a higher voltage limit or a shorter off-time, or the full engine"
            )
        if above.all() or not above.any():
            return -np.inf if above.all() else np.inf
        high = int(np.argmax(above))
        edge = np.zeros(1)
        self.carry_out(entry.FULL if full else entry.TURN, (high - 1, high), edge)
        return float(np.clip(edge[0], volts[high - 1], volts[high]))

    def carry_out(
        self,
        order: int,
        at: tuple[int, int],
        out: hk.Numbers,
        *,
        before: hk.Numbers | None = None,
        time: float = 0.0,
        kept: hk.State | None = None,
    ) -> tuple[int, int]:
        """Have the engine carry out an order; modes that it asks for are entered on the way.

        An order that starts from a state which was `kept` starts there each time.
        """
        clear = self.state.x if before is None else before
        while True:
            for target, source in zip(self.state, kept or (), strict=kept is not None):
                target[:] = source
            reason, number = entry.carry_out(
                order, at, self.book.tables, self.setup, self.state, self.log, self.nodes, clear, time, out
            )
            if reason == hk.CHATTER:
                raise chatter_error(self.netlist, self.state)
            if reason != hk.NEED_MODE:
                return reason, number
            self.add()
            if order in (entry.NODES, entry.AGAIN):
                at = (number, 0)

    def work(self, *, again: bool = False) -> None:
        """Work all nodes out, or again those of which a second section is wanted."""
        reason, node = self.carry_out(entry.AGAIN if again else entry.NODES, (0, 0), np.zeros(1))
        require_section(reason, node)


def require_section(reason: int, node: int) -> None:
    """Refuse to go on where no section was reached.

    Raises
    ------
    GapwrightError
        If the reason says so.
    """
    if reason != hk.DONE:
        raise GapwrightError(
            f"a charge map must come back to a section, got none within 1 s from node {node} "
            f"(reason {reason}); the store stays above its limit after a discharge, or the supply is too weak"
        )
