"""Charge map: what a generator does between sparks, so that a drilling can skip its switching cycles.

The map cuts a run at sections, instants at which the gap is open and the
whole state of the circuit follows from one voltage. From section to section
it holds the time taken, the gap voltage on the way and the energy under each
heading, with and without a discharge at any phase, worked out by the exact
engine on a grid of voltages and leak conductances. Between nodes everything
is linear, so a sum of energies closes as exactly as at the nodes.

Charts, relaxation generator: ``charging``, slices of an eighth of the time
constant. Step-up with a current limit, sections at the opening of the switch
with the coil at its limit: ``off`` (until the control decides), ``on`` (to
the next opening; its coordinate is still the voltage at the opening before),
``drain`` (store full: until the coil is empty; same coordinate), ``idle``
(store full, coil empty: slices), ``begin`` (first closing with an empty coil).

Energy of the leads' inductance at a section is counted as lost in their
damping, and what is missing in a supply's own capacitor as drawn from the
supply, so that store and coil alone carry energy across a section.
"""

from dataclasses import dataclass

import numpy as np

from gapwright.base.checks import require_positive
from gapwright.base.progress import Progress, silent
from gapwright.base.units import Joules, Siemens, Volts
from gapwright.circuit.control.control import Control, PeakCurrent
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.map import _section_kernel as sk
from gapwright.circuit.map._map_kernel import (
    BY_END,
    BY_START,
    CUT,
    MapArrays,
    advance,
    phase_value,
    phase_volts,
    stored_energy,
    stretch_time,
    volts_from_stored,
)
from gapwright.circuit.map._map_short_kernel import enter_short, leave_short, stay_short
from gapwright.circuit.map._map_spark_kernel import ignite
from gapwright.circuit.map.map_layout import LARGEST_LEAK, RETURN_POINTS, Layout, layout_of, supply_volts
from gapwright.circuit.map.map_nodes import Bench
from gapwright.circuit.map.map_plan import Plan
from gapwright.circuit.map.map_shorts import short_tables
from gapwright.circuit.map.map_worked import Worked, leaks_of, worked_nodes
from gapwright.circuit.network.netlist import Netlist

__all__ = [
    "FACTS",
    "FACT_COLUMNS",
    "RETURN_POINTS",
    "ChargeMap",
    "MapArrays",
    "Meter",
    "advance",
    "charge_map",
    "enter_short",
    "ignite",
    "leave_short",
    "phase_value",
    "phase_volts",
    "stay_short",
    "stored_energy",
    "stretch_time",
    "volts_from_stored",
]

FACTS = ("breakdown_v", "energy_j", "duration_s", "charge_c", "peak_a", "store_v")
"""Facts of a discharge; a duration above 1 s marks one that would not end by itself and was cut off.

Behind them come the time from the recovery of the gap to the next section,
and `RETURN_POINTS` gap voltages at equal times in it.
"""
FACT_COLUMNS = len(FACTS) + 1 + RETURN_POINTS
"""Length of the array of facts that `ignite` fills."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """A heading of the ledger; role "in" or "out"."""

    stage: str
    account: str
    role: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChargeMap:
    """A generator as seen from spark to spark."""

    meters: tuple[Meter, ...]
    """Headings, in the order of the energy columns."""
    charts: tuple[str, ...]
    arrays: MapArrays
    start_chart: int
    """Chart in which a run begins with everything at zero, but for a store across the supply."""
    start_volts: Volts = 0.0
    """Voltage at which the store begins."""
    start_joules: Joules = 0.0
    """Energy that is carried then."""


def charge_map(
    netlist: Netlist,
    control: Control,
    *,
    largest_leak: Siemens | None = None,
    nodes: int | None = None,
    phases: int | None = None,
    progress: Progress = silent,
) -> ChargeMap:
    """Charge map of a generator.

    Parameters
    ----------
    netlist
        Circuit of a relaxation or a current-limited step-up generator.
    control
        What works its switch.
    largest_leak
        Largest gap leak conductance that will be asked for, above 0; the
        nearer to what is needed, the finer the map. Chosen from the
        generator's resistance if not given. [S]
    nodes
        Number of store voltages, at least 16; chosen by the kind if not given.
    phases
        Number of phases of a stretch, at least 3; chosen by the kind if not given.
    progress
        Hears how much is mapped; False stops with `Stopped`.

    Returns
    -------
    charge_map
        The map, its arrays read-only.

    Raises
    ------
    InputRefused
        If the circuit's state at a section does not follow from one voltage.
    """
    layout = layout_of(netlist, control, nodes=nodes, phases=phases)
    largest = LARGEST_LEAK / layout.source_ohms if largest_leak is None else largest_leak
    require_positive("largest_leak", largest, "S")
    grid, spark_at = leaks_of(layout, largest)
    worked, bench = worked_nodes(layout, grid, spark_at, progress=progress)
    arrays = _arrays(layout, grid, grid[list(spark_at)], worked, bench)
    start = supply_volts(netlist) if layout.bus else 0.0
    for array in arrays:
        array.setflags(write=False)
    return ChargeMap(
        meters=tuple(Meter(stage=s, account=a, role=r) for s, a, r in layout.headings),
        charts=layout.charts,
        arrays=arrays,
        start_chart=layout.plan.start if layout.plan else len(layout.charts) - 1,
        start_volts=start,
        start_joules=float(np.interp(start, layout.volts, worked.stored[0, 0])) if start else 0.0,
    )


def _step_up_rules(
    layout: Layout, leaks: hk.Numbers, worked: Worked, control: PeakCurrent
) -> tuple[hk.Numbers, hk.Counts, hk.Counts, hk.Counts]:
    """Edges, next charts, kept coordinates and rules of the five charts of a step-up generator.

    The control senses the store's terminals, a little below its voltage while the leak is fed.
    """
    edges = np.full((5, worked.time.shape[1], 2), np.inf)
    edges[0] = worked.edges
    edges[3, :, 0] = control.release * (1.0 + layout.store.series_ohms * leaks)
    follows = np.array([[0, 1, 2], [0, 0, 0], [3, 3, 3], [4, 3, 3], [0, 0, 0]])
    keeps = np.array([[0, 1, 1], [0, 0, 0], [0, 0, 0], [0, 0, 0], [0, 0, 0]])
    edges[1] = edges[0]
    rule = np.array([BY_START, BY_START, BY_END, CUT, BY_END])
    return edges, follows, keeps, rule


def _plan_rules(
    layout: Layout, leaks: hk.Numbers, worked: Worked, plan: Plan
) -> tuple[hk.Numbers, hk.Counts, hk.Counts]:
    """Edges, next charts and rules of the charts of a generator under governors."""
    edges = np.full((len(plan.charts), len(leaks), 2), np.inf)
    if plan.full >= 0:
        edges[0] = worked.edges
    for c, chart in enumerate(plan.charts):
        if chart.release is not None:
            edges[c, :, 0] = chart.release * (1.0 + layout.store.series_ohms * leaks)
    return edges, np.array([c.follows for c in plan.charts]), np.array([c.rule for c in plan.charts])


def _next_charts(worked: Worked) -> hk.Counts:
    """Chart after a discharge in each chart, -1 where not all its nodes come to the same."""
    flat = worked.spark_next.reshape(len(worked.spark_next), -1)
    return np.where(flat.min(axis=1) == flat.max(axis=1), flat[:, 0], -1)


def _lift(layout: Layout, worked: Worked) -> hk.Numbers:
    """Voltage of an open gap over that of a full store, by chart."""
    if not layout.bus or layout.plan is None:
        return np.ones(len(layout.charts))
    full = int(np.argmin(np.abs(layout.volts - supply_volts(layout.netlist))))
    shares = worked.gap_volts[:, 0, full, 0] / layout.volts[full]
    return np.array([0.0 if c.dead else share for c, share in zip(layout.plan.charts, shares, strict=True)])


def _arrays(
    layout: Layout, leaks: hk.Numbers, spark_leaks: hk.Numbers, worked: Worked, bench: Bench
) -> MapArrays:
    charts = len(layout.charts)
    edges = np.full((charts, len(leaks), 2), np.inf)
    follows, keeps, rule = np.zeros((charts, 3), int), np.zeros((charts, 3), int), np.zeros(charts, int)
    if isinstance(layout.control, PeakCurrent):
        edges, follows, keeps, rule = _step_up_rules(layout, leaks, worked, layout.control)
    train = np.zeros(4)
    if layout.plan is not None:
        edges, follows, rule = _plan_rules(layout, leaks, worked, layout.plan)
        if layout.plan.train is not None:
            train[:] = *layout.plan.train, 0.0, charts - 1.0
    shorts = short_tables(layout, bench)
    return MapArrays(
        volts=layout.volts,
        leaks=leaks,
        spark_leaks=spark_leaks,
        time=worked.time,
        end=worked.end,
        stored=worked.stored,
        gap_volts=worked.gap_volts,
        energy=worked.energy,
        rule=rule.astype(np.int64),
        rederives=np.array([kind not in (sk.ON, sk.DRAIN) for kind in layout.kinds], dtype=np.int64),
        edges=edges,
        follows=follows.astype(np.int64),
        keeps=keeps.astype(np.int64),
        spark_time=worked.spark_time,
        spark_end=worked.spark_end,
        spark_next=_next_charts(worked),
        spark_chart=worked.spark_next,
        spark_energy=worked.spark_energy,
        spark_facts=worked.spark_facts,
        spark_return=worked.spark_return,
        lift=_lift(layout, worked),
        train=train,
        **shorts,
    )
