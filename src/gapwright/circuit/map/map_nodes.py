"""Nodes of a charge map, worked out by the exact engine."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import Progress, silent, tell
from gapwright.circuit.control.control import NoControl, PeakCurrent
from gapwright.circuit.control.ignition import Never
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine.engine import Start, chatter_error, setup_of, state_at
from gapwright.circuit.engine.modes import ModeBook, power_forms
from gapwright.circuit.map import _section_entry_kernel as entry
from gapwright.circuit.map import _section_kernel as sk
from gapwright.circuit.map.map_layout import (
    RETURN_POINTS,
    SETTLINGS,
    SUPPLY_FULL,
    Layout,
    _given,
    _lead,
    _longest_discharge,
    _slice,
    _supply_volts,
)
from gapwright.circuit.network.elements import Inductor, VoltageSource
from gapwright.circuit.network.mna import Mode, state_scale


@dataclass(slots=True, kw_only=True, eq=False)
class Worked:
    """Nodes that have been worked out; leading axes are charts and leaks."""

    time: hk.Numbers
    end: hk.Numbers
    stored: hk.Numbers
    gap_volts: hk.Numbers
    energy: hk.Numbers
    spark_time: hk.Numbers
    spark_end: hk.Numbers
    spark_energy: hk.Numbers
    spark_facts: hk.Numbers
    spark_return: hk.Numbers
    edges: hk.Numbers
    """(leaks, 2) of the first chart."""


class Bench:
    """One leak conductance: modes, forms and the arrays of its nodes."""

    def __init__(self, layout: Layout, leak: float, *, sparks: bool = True) -> None:
        gap = layout.netlist.gap
        if gap is None:
            raise InputRefused("a charge map must have a gap, got none")
        self.layout, self.leak = layout, leak
        self.netlist = layout.netlist.with_part(replace(gap, leak_siemens=leak))
        self.book = ModeBook(self.netlist)
        self.setup = setup_of(self.netlist, layout.control, Never(), None)
        self.setup.ints[hk.WATCH_PEAKS] = 0
        self.state = state_at(self.netlist, layout.control, Start(), 1.0)
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
            sections=np.ones(sparked, dtype=np.int64),
            starts=self._starts(),
            phase_x=np.zeros((phases, m)),
            phase_ints=np.zeros((phases, len(self.state.ints)), dtype=np.int64),
            phase_floats=np.zeros((phases, len(self.state.floats))),
        )

    def _aside(self) -> hk.Counts:
        """States whose energy is booked at a section, with their meter and sign."""
        lead = _lead(self.netlist)
        rows = [
            (self.layout.index(lead.name), self.layout.headings.index((lead.stage, lead.account, "out")), 1)
        ]
        if self.layout.supply is not None:
            source = self.netlist.of(VoltageSource)[0]
            meter = self.layout.headings.index((source.stage, source.account, "in"))
            rows.append((self.layout.index(self.layout.supply.name), meter, -1))
        return np.array(rows, dtype=np.int64)

    def _limits(self) -> hk.Numbers:
        control, scale = self.layout.control, state_scale(self.netlist)
        full = 0.0
        if self.layout.supply is not None:
            full = (
                SUPPLY_FULL * _supply_volts(self.netlist) * scale[self.layout.index(self.layout.supply.name)]
            )
        limit = control.limit if isinstance(control, PeakCurrent) else 0.0
        coil = self.netlist.element(self.netlist.coil) if self.netlist.coil else None
        settling = 0.0
        if isinstance(coil, Inductor) and coil.damper_ohms is not None:
            settling = SETTLINGS * coil.henries / coil.damper_ohms
        longest = _longest_discharge(self.netlist)
        return np.array([limit, _slice(self.layout), longest, 1.0, full, settling])

    def _starts(self) -> hk.Numbers:
        """States at the sections; those behind the first chart are filled in on the way."""
        layout, scale = self.layout, state_scale(self.netlist)
        starts = np.zeros((len(layout.charts), len(layout.volts), self.book.m))
        starts[:, :, -1] = 1.0
        starts[:, :, layout.index(self.netlist.store)] = (
            layout.volts * scale[layout.index(self.netlist.store)]
        )
        lead = layout.index(_lead(self.netlist).name)
        starts[:, :, lead] = self.leak * layout.volts * scale[lead]
        if layout.supply is not None:
            k = layout.index(layout.supply.name)
            starts[:, :, k] = _supply_volts(self.netlist) * scale[k]
        if isinstance(layout.control, PeakCurrent):
            coil = layout.index(self.netlist.coil)
            starts[0, :, coil] = layout.control.limit * scale[coil]
        return starts

    def add(self) -> None:
        """Enter the mode that was asked for, with its forms."""
        mask, slot = int(self.state.ints[hk.MASK]), len(self.book.masks)
        self.book.add(mask)
        if not self.book.terms[slot].modal:
            raise InputRefused(
                "a charge map must have a circuit whose modes are all in closed form, got one that is not"
            )
        stages = {part.name: part.stage for part in self.netlist.elements}
        shape = self.book.terms[slot].state_of
        given = _given(self.netlist)
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
        if isinstance(self.layout.control, NoControl):
            return np.inf, np.inf
        return self._edge(full=False), self._edge(full=True)

    def _edge(self, *, full: bool) -> float:
        after, volts = self.nodes.after[0], self.layout.volts
        above = np.isin(after, (hk.DRAINING, hk.IDLE)) if full else after != hk.SWITCH_OFF
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
        if reason != hk.DONE:
            raise GapwrightError(
                f"a charge map must come back to a section, got none within 1 s from node {node} "
                f"(reason {reason}); the store stays above its limit after a discharge, or the supply is too weak"
            )


JUMP_SHARE = 0.1
"""Share by which times of return differ between neighbours that come back to the same section."""
SPARK_AT = (0, 1, 3, 5, 7, 9)
"""Leaks of the grid for which discharges are worked out; they depend on the leak but little."""


def _second_sections(benches: list["Bench"]) -> None:
    """Ask for a second section where neighbours come back at clearly other times than a node."""
    times = np.stack([bench.nodes.spark_time[..., 0] for bench in benches])
    step = np.stack([bench.nodes.time for bench in benches])[..., None] / times.shape[-1]
    differ = np.zeros(times.shape, dtype=bool)
    for axis in (0, 2, 3):
        low, high = [slice(None)] * 4, [slice(None)] * 4
        low[axis], high[axis] = slice(None, -1), slice(1, None)
        a, b = times[tuple(low)], times[tuple(high)]
        reach = 1.5 * (step if axis == 3 else np.minimum(step[tuple(low)], step[tuple(high)]))
        apart = np.abs(a - b) > reach + JUMP_SHARE * np.minimum(a, b)
        differ[tuple(low)] |= apart & (a < b)
        differ[tuple(high)] |= apart & (b < a)
    for bench, wanted in zip(benches, differ, strict=True):
        bench.nodes.sections[:] = np.where(wanted, 2, 0)
        bench.work(again=True)


def worked_nodes(layout: Layout, leaks: hk.Numbers, *, progress: Progress = silent) -> tuple[Worked, Bench]:
    """Work out the nodes of a map for all leak conductances; also gives the bench of the least leak."""
    benches = []
    for k, leak in enumerate(leaks):
        tell(progress, k, len(leaks), "mapping the generator")
        bench = Bench(layout, float(leak), sparks=k in SPARK_AT)
        bench.work()
        benches.append(bench)
    _second_sections([benches[k] for k in SPARK_AT])

    def stacked(name: str, leaks: tuple[int, ...] = tuple(range(len(benches)))) -> Any:
        return np.ascontiguousarray(np.stack([getattr(benches[k].nodes, name) for k in leaks], axis=1))

    after = stacked("after")
    worked = {name: stacked(name) for name in ("time", "end", "gap_volts", "energy")}
    sparks = ("spark_time", "spark_end", "spark_energy", "spark_facts", "spark_return")
    worked |= {name: stacked(name, SPARK_AT) for name in sparks}
    starts = stacked("starts")
    store = layout.index(layout.netlist.store)
    stored = 0.5 * starts[..., store] ** 2
    if layout.netlist.coil:
        stored = stored + 0.5 * starts[..., layout.index(layout.netlist.coil)] ** 2
    for name, array in worked.items():
        _fill(array, after[:, list(SPARK_AT)] if name in sparks else after)
    edges = np.array([bench.edges() for bench in benches])
    return Worked(stored=stored, edges=edges, **worked), benches[0]


def _fill(array: hk.Numbers, after: hk.Counts) -> None:
    """Give nodes that never end (a store that cannot be full) the values of the nearest that do; none is visited."""
    for chart, leak in np.ndindex(after.shape[:2]):
        lost = after[chart, leak] == sk.UNREACHED
        fine = np.flatnonzero(~lost)
        for v in np.flatnonzero(lost):
            array[chart, leak, v] = array[chart, leak, fine[np.argmin(np.abs(fine - v))]]
