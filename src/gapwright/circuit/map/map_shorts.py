"""What a charge map holds of shorted gaps: the emptying of the store, what follows, and the way back."""

from typing import Any

import numpy as np

from gapwright.base.errors import GapwrightError
from gapwright.base.units import Seconds
from gapwright.circuit.control.control import NoControl
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.map import _section_entry_kernel as entry
from gapwright.circuit.map.map_layout import Layout, supply_volts
from gapwright.circuit.map.map_nodes import Bench
from gapwright.circuit.network.elements import Inductor, Resistor

POINTS = 16
"""Times at which the course of a short is kept."""
LONGEST: Seconds = 0.05
"""Time after which a short is taken to have settled; the current of a weak supply has its limit by then."""
EMPTYINGS = 10.0
"""Time constants of store and leads after which a store has emptied into a short."""


def _emptying_time(layout: Layout) -> float:
    """Time after which shorts go on alike: that of emptying the store, or one pulse where it does not empty."""
    if layout.plan is not None and layout.plan.bus:
        return layout.plan.longest_pulse
    netlist, gap = layout.netlist, layout.netlist.gap
    ohms = gap.short_ohms if gap else 0.0
    ohms += sum(part.ohms for part in netlist.of(Resistor) if part.stage == "leads")
    store = next(part for part in netlist.states if part.name == netlist.store)
    farads, own = getattr(store, "farads", 0.0), getattr(store, "series_ohms", 0.0)
    lead = max(part.henries for part in netlist.of(Inductor) if part.stage == "leads")
    return float(EMPTYINGS * max((ohms + own) * farads, 2.0 * lead / (ohms + own)))


def _done(bench: Bench, order: int, at: tuple[int, int], out: hk.Numbers, **when: Any) -> None:
    """Have a step of a short carried out."""
    reason, _ = bench.carry_out(order, at, out, **when)
    if reason != hk.DONE:
        raise GapwrightError(f"a short must lead back to a section, got reason {reason}; report this circuit")


def _stored(layout: Layout, x: hk.Numbers) -> float:
    """Energy that is carried from section to section."""
    return float(0.5 * np.square(x[list(layout.carried)]).sum())


def _entries(layout: Layout, bench: Bench, time: float) -> tuple[hk.Numbers, hk.Numbers]:
    """Energies of the emptying store, and energy left after it, by chart and node."""
    charts, nodes = len(layout.charts), len(layout.volts)
    energy, left = np.zeros((charts, nodes, len(layout.headings))), np.zeros((charts, nodes))
    for c, v in np.ndindex(charts, nodes):
        _done(bench, entry.INTO, (c, v), energy[c, v], time=time)
        left[c, v] = _stored(layout, bench.state.x)
    return energy, left


def _course(
    layout: Layout, bench: Bench, start: float, times: hk.Numbers
) -> tuple[hk.Numbers, list[hk.State]]:
    """Energies from the emptying of the store up to each time, and the states there."""
    before = bench.state.x.copy()
    bench.book.tables.products[:] = 0.0
    course, states = np.zeros((len(times), len(layout.headings))), []
    for k, time in enumerate(times):
        _done(bench, entry.ON, (0, 0), course[k], before=before, time=start + time)
        states.append(
            bench.state._replace(**{name: array.copy() for name, array in bench.state._asdict().items()})
        )
    return course, states


def _ways_back(layout: Layout, bench: Bench, states: list[hk.State]) -> dict[str, Any]:
    """From each state of a short to the next section."""
    energy = np.zeros((len(states), len(layout.headings)))
    time, volts = np.zeros(len(states)), np.zeros(len(states))
    chart = np.zeros(len(states), dtype=np.int64)
    for k, state in enumerate(states):
        _done(bench, entry.OUT, (0, 0), energy[k], kept=state)
        time[k] = bench.state.floats[hk.T] - state.floats[hk.T]
        volts[k] = bench.state.x[layout.index(layout.netlist.store)] / bench.setup.floats[hk.STORE_SCALE]
        chart[k] = bench.nodes.found[0]
    return {"leave_time": time, "leave_volts": volts, "leave_energy": energy, "leave_chart": chart}


def short_tables(layout: Layout, bench: Bench) -> dict[str, Any]:
    """Tables of shorts, worked out with the least leak.

    All shorts are taken to go on alike once the store has emptied; what they
    still hold differently by then is booked as lost in the short. A store
    across the supply does not empty: it keeps what it holds more or less than
    a full one, which goes on.
    """
    time = _emptying_time(layout)
    energy, left = _entries(layout, bench, time)
    lost = layout.headings.index(_short_heading(layout))
    signs = np.array([1.0 if role == "in" else -1.0 for _, _, role in layout.headings])
    middle = len(layout.volts) // 2
    if layout.bus:
        middle = int(np.argmin(np.abs(layout.volts - supply_volts(layout.netlist))))
    _done(bench, entry.INTO, (0, middle), energy[0, middle].copy(), time=time)
    if not layout.bus:
        energy[..., lost] += left - left[0, middle]
    longest = 2.0 * time if isinstance(layout.control, NoControl) else LONGEST
    times = np.concatenate([[0.0], np.geomspace(longest * 1e-3, longest, POINTS - 1)])
    course, states = _course(layout, bench, time, times)
    power = (course[-1] - course[-2]) / (times[-1] - times[-2])
    power[lost] += signs @ power
    return {
        "short_time": np.array([time]),
        "short_energy": energy,
        "short_times": times,
        "short_course": course,
        "short_power": power,
        **_ways_back(layout, bench, states),
    }


def _short_heading(layout: Layout) -> tuple[str, str, str]:
    return next(heading for heading in layout.headings if heading[1] == "short circuit")
