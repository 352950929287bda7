"""Nodes of a charge map, worked out by the exact engine."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.units import Ohms
from gapwright.circuit import _happening_kernel as hk
from gapwright.circuit import _section_kernel as sk
from gapwright.circuit.control import Control, FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.elements import Capacitor, Gap, Inductor, Resistor, VoltageSource
from gapwright.circuit.engine import Start, chatter_error, run, setup_of, state_at
from gapwright.circuit.ignition import Forced, Never
from gapwright.circuit.mna import Mode, state_scale
from gapwright.circuit.modes import ModeBook, power_forms
from gapwright.circuit.netlist import GROUND, Netlist

RETURN_POINTS = 7
"""Gap voltages kept of the way back from a discharge to a section."""
SLICE_SHARE = 0.125
"""Slice of a relaxation generator, as a share of its time constant."""
SUPPLY_FULL = 0.999
"""Share of its voltage from which on a supply's own capacitor counts as full."""
IDLE_SLICE = 2e-5
"""Slice of a step-up generator whose store is full. [s]"""
SETTLINGS = 50.0
"""Time constants of a coil and its damper after which an emptied coil has settled."""

Heading = tuple[str, str, str]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """What a map is worked out from."""

    netlist: Netlist
    control: NoControl | PeakCurrent
    charts: tuple[str, ...]
    kinds: tuple[int, ...]
    headings: tuple[Heading, ...]
    volts: hk.Numbers
    phases: int
    source_ohms: Ohms
    supply: Capacitor | None

    def index(self, name: str) -> int:
        """Place of a state."""
        return [part.name for part in self.netlist.states].index(name)


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


def headings_of(netlist: Netlist) -> tuple[Heading, ...]:
    """Headings of the ledger of a circuit, in order of its parts."""
    found: dict[Heading, None] = {}
    for part in netlist.elements:
        role = "in" if part.account in _given(netlist) else "out"
        if isinstance(part, Gap):
            for account in ("leakage", part.account, "short circuit"):
                found[part.stage, account, "out"] = None
        else:
            found[part.stage, part.account, role] = None
    return tuple(found)


def _given(netlist: Netlist) -> set[str]:
    return {part.account for part in netlist.elements if type(part).__name__ in {"VoltageSource", "CurrentSource"}}


def _lead(netlist: Netlist) -> Inductor:
    gap = netlist.gap
    if gap is None:
        raise InputRefused("a charge map must have a circuit with a gap, got none; add one")
    for part in netlist.of(Inductor):
        if gap.start in (part.start, part.end):
            return part
    raise InputRefused("a charge map must have an inductance in the lead to the gap, got none; add the lead's")


def _supply_store(netlist: Netlist) -> Capacitor | None:
    """Capacitor of a supply: across a source, through its regulator alone."""
    others = [part for part in netlist.of(Capacitor) if part.name != netlist.store]
    return others[0] if len(others) == 1 and others[0].stage == "supply" and others[0].end == GROUND else None


def _refuse_more_states(netlist: Netlist, lead: Inductor, supply: Capacitor | None) -> None:
    known = {netlist.store, netlist.coil, lead.name} | ({supply.name} if supply else set())
    for part in netlist.states:
        if part.name not in known:
            raise InputRefused(
                f"a charge map must have one store, one coil and one lead, got {part.name} besides; "
                "run the full engine for such a circuit"
            )
    if not netlist.store:
        raise InputRefused("a charge map must know the store, got none; name it in the circuit")


def _supply_volts(netlist: Netlist) -> float:
    return max((source.volts for source in netlist.of(VoltageSource)), default=0.0)


def _store(netlist: Netlist) -> Capacitor:
    part = netlist.element(netlist.store)
    if not isinstance(part, Capacitor):
        raise InputRefused(f"the store must be a capacitor, got {part.name}")
    return part


def _charging_ohms(netlist: Netlist) -> float:
    """Resistance through which a relaxation generator's store is charged."""
    return sum(part.ohms for part in netlist.of(Resistor) if part.stage == "supply")


def _ceiling(netlist: Netlist, control: NoControl | PeakCurrent) -> float:
    if isinstance(control, NoControl):
        return _supply_volts(netlist) * 1.002
    coil = netlist.element(netlist.coil)
    henries = coil.henries if isinstance(coil, Inductor) else 0.0
    farads = _store(netlist).farads
    return float(np.sqrt(control.voltage_limit**2 + 2.0 * henries * control.limit**2 / farads)) + 1.0


def _remainder(netlist: Netlist, control: Control, volts: float) -> float:
    """Lowest store voltage after a discharge from `volts`."""
    start = Start(values={netlist.store: volts} | _full_supply(netlist))
    whole = run(netlist, NoControl(), _longest_discharge(netlist), ignition=Forced(times=np.zeros(1)), initial=start)
    return min(0.0, whole.meters[netlist.store].lowest_voltage)


def _full_supply(netlist: Netlist) -> dict[str, float]:
    supply = _supply_store(netlist)
    return {supply.name: _supply_volts(netlist)} if supply else {}


def _longest_discharge(netlist: Netlist) -> float:
    """Time in which every discharge that ends by itself has ended."""
    lead, store, gap = _lead(netlist), _store(netlist), netlist.gap
    ohms = store.series_ohms + (gap.arc_ohms if gap else 0.0)
    ohms += sum(part.ohms for part in netlist.of(Resistor) if part.stage == "leads")
    return 20.0 * (ohms * store.farads + np.pi * float(np.sqrt(lead.henries * store.farads)))


def layout_of(netlist: Netlist, control: Control, *, nodes: int, phases: int) -> Layout:
    """Grid, charts and headings of a map; refuses circuits that have none."""
    if isinstance(control, FixedOnTime):
        raise InputRefused(
            "a charge map must have sections with one voltage, which a fixed on-time has not (the coil current walks "
            "up); use the full engine, or drive the generator by a current limit"
        )
    if nodes < 16 or phases < 3:
        raise InputRefused(f"a charge map must have at least 16 nodes and 3 phases, got {nodes} and {phases}")
    lead, supply = _lead(netlist), _supply_store(netlist)
    _refuse_more_states(netlist, lead, supply)
    top = _ceiling(netlist, control)
    bottom = 1.05 * _remainder(netlist, control, top) - 0.01 * top
    plain = isinstance(control, NoControl)
    return Layout(
        netlist=netlist,
        control=control,
        charts=("charging",) if plain else ("off", "on", "drain", "idle", "begin"),
        kinds=(sk.CHARGING,) if plain else (sk.OFF, sk.ON, sk.DRAIN, sk.REST, sk.BEGIN),
        headings=headings_of(netlist),
        volts=np.linspace(bottom, top, nodes),
        phases=phases,
        source_ohms=_charging_ohms(netlist) if plain else _converter_ohms(netlist, control),
        supply=supply,
    )


def _converter_ohms(netlist: Netlist, control: Control) -> float:
    """Resistance that would take all a step-up generator can give at its voltage limit."""
    if not isinstance(control, PeakCurrent):
        return 1.0
    power = 0.5 * _supply_volts(netlist) * control.limit
    return control.voltage_limit**2 / power


def _slice(layout: Layout) -> float:
    store = _store(layout.netlist).farads
    if isinstance(layout.control, NoControl):
        return SLICE_SHARE * store * layout.source_ohms
    return IDLE_SLICE


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
        charts, nodes, phases, meters = len(layout.charts), len(layout.volts), layout.phases, len(layout.headings)
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
        rows = [(self.layout.index(lead.name), self.layout.headings.index((lead.stage, lead.account, "out")), 1)]
        if self.layout.supply is not None:
            source = self.netlist.of(VoltageSource)[0]
            meter = self.layout.headings.index((source.stage, source.account, "in"))
            rows.append((self.layout.index(self.layout.supply.name), meter, -1))
        return np.array(rows, dtype=np.int64)

    def _limits(self) -> hk.Numbers:
        control, scale = self.layout.control, state_scale(self.netlist)
        full = 0.0
        if self.layout.supply is not None:
            full = SUPPLY_FULL * _supply_volts(self.netlist) * scale[self.layout.index(self.layout.supply.name)]
        limit = control.limit if isinstance(control, PeakCurrent) else 0.0
        coil = self.netlist.element(self.netlist.coil) if self.netlist.coil else None
        settling = SETTLINGS * coil.henries / coil.damper_ohms if isinstance(coil, Inductor) else 0.0
        longest = _longest_discharge(self.netlist)
        return np.array([limit, _slice(self.layout), longest, 1.0, full, settling])

    def _starts(self) -> hk.Numbers:
        """States at the sections; those behind the first chart are filled in on the way."""
        layout, scale = self.layout, state_scale(self.netlist)
        starts = np.zeros((len(layout.charts), len(layout.volts), self.book.m))
        starts[:, :, -1] = 1.0
        starts[:, :, layout.index(self.netlist.store)] = layout.volts * scale[layout.index(self.netlist.store)]
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
            raise InputRefused("a charge map must have a circuit whose modes are all in closed form, got one that is not")
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
        edge = sk.edge_between(
            self.book.tables, self.setup, self.state, self.log, self.nodes, high - 1, high, full
        )
        return float(np.clip(edge, volts[high - 1], volts[high]))

    def work(self, *, again: bool = False) -> None:
        """Work all nodes out, or again those of which a second section is wanted."""
        first = 0
        while True:
            reason, first = sk.work_out(first, again, self.book.tables, self.setup, self.state, self.log, self.nodes)
            if reason == hk.DONE:
                return
            if reason == hk.NEED_MODE:
                self.add()
            elif reason == hk.CHATTER:
                raise chatter_error(self.netlist, self.state)
            else:
                raise GapwrightError(
                    f"a charge map must come back to a section, got none within 1 s from node {first} "
                    f"(reason {reason}); the store stays above its limit after a discharge, or the supply is too weak"
                )


JUMP_SHARE = 0.1
"""Share by which times of return differ between neighbours that come back to the same section."""
SPARK_EVERY = 3
"""Discharges are worked out for every so many leaks only; they depend on the leak but little."""


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


def worked_nodes(layout: Layout, leaks: hk.Numbers) -> tuple[Worked, Bench]:
    """Work out the nodes of a map for all leak conductances; also gives the bench of the least leak."""
    benches = []
    for k, leak in enumerate(leaks):
        bench = Bench(layout, float(leak), sparks=k % SPARK_EVERY == 0)
        bench.work()
        benches.append(bench)
    _second_sections(benches[::SPARK_EVERY])

    def stacked(name: str, every: int = 1) -> Any:
        return np.ascontiguousarray(np.stack([getattr(bench.nodes, name) for bench in benches[::every]], axis=1))

    after = stacked("after")
    worked = {name: stacked(name) for name in ("time", "end", "gap_volts", "energy")}
    sparks = ("spark_time", "spark_end", "spark_energy", "spark_facts", "spark_return")
    worked |= {name: stacked(name, SPARK_EVERY) for name in sparks}
    starts = stacked("starts")
    store = layout.index(layout.netlist.store)
    stored = 0.5 * starts[..., store] ** 2
    if layout.netlist.coil:
        stored = stored + 0.5 * starts[..., layout.index(layout.netlist.coil)] ** 2
    for name, array in worked.items():
        _fill(array, after[:, ::SPARK_EVERY] if name in sparks else after)
    edges = np.array([bench.edges() for bench in benches])
    return Worked(stored=stored, edges=edges, **worked), benches[0]


def _fill(array: hk.Numbers, after: hk.Counts) -> None:
    """Give nodes that never end (a store that cannot be full) the values of the nearest that do; none is visited."""
    for chart, leak in np.ndindex(after.shape[:2]):
        lost = after[chart, leak] == sk.UNREACHED
        fine = np.flatnonzero(~lost)
        for v in np.flatnonzero(lost):
            array[chart, leak, v] = array[chart, leak, fine[np.argmin(np.abs(fine - v))]]
