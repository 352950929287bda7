"""What a circuit under governors holds at a section beside its store's voltage, found by going there.

Two journeys with an open gap are made, from an empty store and on from a
discharge of a full one. Coils, clamps and whatever else there is are taken
as they were when the store came by at the voltage of a node, on the second
journey where it went, which is the course of a drilling.
"""

import numpy as np

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.spark_loop import SUPPLY_STORE
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine.engine import Start, state_at
from gapwright.circuit.map import _section_entry_kernel as entry
from gapwright.circuit.map import _section_kernel as sk
from gapwright.circuit.map.map_layout import Layout, supply_volts
from gapwright.circuit.map.map_nodes import Bench, require_section
from gapwright.circuit.map.map_plan import Plan
from gapwright.circuit.network.elements import Capacitor
from gapwright.circuit.network.netlist import GROUND
from gapwright.circuit.network.states import state_scale

MOST_PARTS = 512
"""Parts of a journey, of as many sections as the kernel keeps at once."""
RISEN = 1e-6
"""Share of the highest voltage by which the store must have risen in a part of a journey to go on."""
BUS_FROM = 0.6
"""Share of its voltage at which a store across the supply begins its journey."""
UNALIKE = 0.02
"""Share of a discharge's energy by which what is held at one voltage may differ from journey to journey."""


def travelled(bench: Bench, plan: Plan) -> hk.Numbers:
    """(charts, nodes, m) states at the sections of a leak, as two journeys found them."""
    starts = bench.nodes.starts.copy()
    others = _others(bench.layout)
    if not others:
        return starts
    _leave(bench, plan)
    first = _went(bench)
    reason, _ = bench.carry_out(entry.BURN, (int(first[-1, 0]), 0), np.zeros(1), kept=_copied(bench.state))
    require_section(reason, int(first[-1, 0]))
    again = _went(bench)
    if not plan.bus:
        _require_alike(bench.layout, others, first, again)
    for c in range(len(starts)):
        _enter(bench.layout, others, starts[c], [_seen(path, c, plan) for path in (first, again)])
    if plan.bus:
        _enter_lead(bench.layout, plan, starts, np.concatenate([first, again]))
    if plan.averaged:
        coil = bench.layout.index(bench.netlist.coil)
        currents = np.concatenate([first, again])[:, 1 + coil]
        starts[:, :, coil] = np.sqrt(np.mean(currents**2))
    return starts


def _seen(path: hk.Numbers, chart: int, plan: Plan) -> hk.Numbers:
    """(rows, m) states of a path at the sections of a chart; of all where pulses never came to that chart."""
    here = path[:, 0] == chart
    return path[here if here.any() or not plan.bus else slice(None), 1:]


def _others(layout: Layout) -> tuple[int, ...]:
    """States whose course a journey tells: not the store, nor a supply that counts as full."""
    left = {layout.netlist.store, layout.lead.name} | ({layout.supply.name} if layout.supply else set())
    return tuple(k for k, part in enumerate(layout.netlist.states) if part.name not in left)


def _leave(bench: Bench, plan: Plan) -> None:
    """Put the state where a run begins; a store across the supply is part full, since it never empties."""
    volts = supply_volts(bench.netlist)
    values = {part.name: volts for part in (bench.layout.supply,) if part is not None}
    if plan.bus:
        fed = {
            part.name for part in bench.netlist.of(Capacitor) if part.stage == "supply" and part.end == GROUND
        }
        fed &= {bench.netlist.store, SUPPLY_STORE}
        values = dict.fromkeys(fed, BUS_FROM * volts)
    start = Start(values=values, phases=plan.charts[plan.start].begins)
    bench.state = state_at(bench.netlist, plan.control, start, 1.0, bench.machines)


def _copied(state: hk.State) -> hk.State:
    return state._replace(**{name: array.copy() for name, array in state._asdict().items()})


def _volts(layout: Layout, states: hk.Numbers) -> hk.Numbers:
    """Store voltage of states."""
    store = layout.index(layout.netlist.store)
    volts: hk.Numbers = states[:, store] / state_scale(layout.netlist)[store]
    return volts


def _went(bench: Bench) -> hk.Numbers:
    """(rows, 1 + m) chart and state of the sections of a journey, until the store rises no more."""
    parts: list[hk.Numbers] = []
    for _ in range(MOST_PARTS):
        reason, count = bench.carry_out(entry.GO, (0, 0), np.zeros(1), kept=_copied(bench.state))
        require_section(reason, count)
        parts.append(bench.nodes.path[:count].copy())
        volts = _volts(bench.layout, parts[-1][:, 1:])
        full = bench.layout.kinds[int(parts[-1][-1, 0])] == sk.HELD
        if full or volts[-1] - volts[len(volts) // 2] <= RISEN * bench.layout.volts[-1]:
            break
    return np.concatenate(parts)


def _course(layout: Layout, path: hk.Numbers, volts: hk.Numbers) -> hk.Numbers:
    """(volts, m) states of a path, between its sections, over store voltage."""
    at, first = np.unique(np.round(_volts(layout, path), 9), return_index=True)
    return np.stack([np.interp(volts, at, path[first, k]) for k in range(path.shape[1])], axis=1)


def _enter(layout: Layout, others: tuple[int, ...], starts: hk.Numbers, paths: list[hk.Numbers]) -> None:
    """Put what a circuit holds beside its store into the starts of a chart, if a journey came by."""
    entered = False
    for path in (path for path in paths if len(path)):
        found = _course(layout, path, layout.volts)
        above = layout.volts >= (_volts(layout, path).min() if entered else -np.inf)
        for k in others:
            starts[above, k] = found[above, k]
        entered = True


def _enter_lead(layout: Layout, plan: Plan, starts: hk.Numbers, path: hk.Numbers) -> None:
    """Current that leaks through a gap with voltage, which is that at the end of a wait; none without."""
    lead = layout.index(layout.lead.name)
    for c, chart in enumerate(plan.charts):
        starts[c, :, lead] = 0.0
        if not chart.dead:
            waited = path[path[:, 0] == chart.follows[0]][:, 1:]
            starts[c, :, lead] = _course(layout, waited, layout.volts)[:, lead]


def _require_alike(layout: Layout, others: tuple[int, ...], first: hk.Numbers, again: hk.Numbers) -> None:
    """Refuse a circuit that holds other energies at one store voltage when it comes there on another way."""
    one, two = (path[path[:, 0] == 0][:, 1:] for path in (first, again))
    if not (len(one) and len(two)):
        return
    volts = _volts(layout, two)
    volts = volts[(volts >= _volts(layout, one).min()) & (volts <= _volts(layout, one).max())]
    if not len(volts):
        return
    held = [0.5 * np.square(_course(layout, path, volts)[:, list(others)]) for path in (one, two)]
    spark = 0.5 * layout.store.farads * (layout.volts[-1] ** 2 - volts.min() ** 2)
    apart = np.abs(held[0] - held[1]).max(axis=0) / spark
    if apart.max() > UNALIKE:
        part = layout.netlist.states[others[int(apart.argmax())]].name
        raise InputRefused(
            "what a circuit holds at a section must follow from its store's voltage within "
            f"{UNALIKE:.0%} of a discharge, got {part} apart by {apart.max():.1%} from one charging to "
            "the next; run the full engine for such a circuit"
        )
