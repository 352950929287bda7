"""Nodes of a charge map for all leak conductances, worked out one leak after another."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from gapwright.base.progress import Progress, silent, tell
from gapwright.base.units import Siemens
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.map import _section_kernel as sk
from gapwright.circuit.map.map_layout import Layout
from gapwright.circuit.map.map_nodes import Bench
from gapwright.circuit.map.map_starts import travelled


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
    spark_next: hk.Counts
    edges: hk.Numbers
    """(leaks, 2) of the first chart."""


JUMP_SHARE = 0.1
"""Share by which times of return differ between neighbours that come back to the same section."""
SPARK_AT, BUS_SPARK_AT = (0, 1, 3, 5, 7, 9), (0, 2, 4)
"""Leaks of the grid for which discharges are worked out; they depend on the leak but little."""
SPARK_TABLES = ("spark_time", "spark_end", "spark_energy", "spark_facts", "spark_return", "spark_next")
"""Tables of discharges."""
LEAKS, BUS_LEAKS = 10, 5
"""Leaks of the grid; what a store across the supply gives is nearly even in them."""


def _second_sections(benches: list[Bench]) -> None:
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
        bench.nodes.sections[:] = np.where(wanted & (bench.nodes.sections > 0), 2, 0)
        bench.work(again=True)


def leaks_of(layout: Layout, largest: Siemens) -> tuple[hk.Numbers, tuple[int, ...]]:
    """Leaks of a map's grid, and places of those for which discharges are worked out."""
    grid = np.asarray(largest * np.linspace(0.0, 1.0, BUS_LEAKS if layout.bus else LEAKS) ** 2)
    return grid, BUS_SPARK_AT if layout.bus else SPARK_AT


def worked_nodes(
    layout: Layout, leaks: hk.Numbers, spark_at: tuple[int, ...], *, progress: Progress = silent
) -> tuple[Worked, Bench]:
    """Work out the nodes of a map for all leak conductances; also gives the bench of the least leak."""
    benches = []
    for k, leak in enumerate(leaks):
        tell(progress, k, len(leaks), "mapping the generator")
        bench = Bench(layout, float(leak), sparks=k in spark_at)
        if layout.plan is not None:
            bench.nodes.starts[:] = travelled(bench, layout.plan)
        bench.work()
        _copy_phases(bench)
        benches.append(bench)
    _second_sections([benches[k] for k in spark_at])

    def stacked(name: str, leaks: tuple[int, ...] = tuple(range(len(benches)))) -> Any:
        return np.ascontiguousarray(np.stack([getattr(benches[k].nodes, name) for k in leaks], axis=1))

    after = stacked("after")
    worked = {name: stacked(name) for name in ("time", "end", "gap_volts", "energy")}
    worked |= {name: stacked(name, spark_at) for name in SPARK_TABLES}
    starts = stacked("starts")
    stored = 0.5 * np.square(starts[..., list(layout.carried)]).sum(axis=-1)
    stored[:] = stored[:, :1]  # so that what is stored tells the voltage whatever leaks
    for name, array in worked.items():
        _fill(array, after[:, list(spark_at)] if name in SPARK_TABLES else after)
    edges = np.array([bench.edges() for bench in benches])
    return Worked(stored=stored, edges=edges, **worked), benches[0]


def _copy_phases(bench: Bench) -> None:
    """Let the one discharge of a chart without voltage stand for all its phases."""
    nodes = bench.nodes
    if not nodes.sections.size:
        return
    for c in np.flatnonzero(nodes.sections[:, 0, 1] == 0):
        for name in SPARK_TABLES:
            array = getattr(nodes, name)
            array[c] = array[c, :, :1]


def _fill(array: Any, after: hk.Counts) -> None:
    """Give nodes that never end (their store cannot be full) the values of the nearest that do.

    None of them is visited.
    """
    for chart, leak in np.ndindex(after.shape[:2]):
        lost = after[chart, leak] == sk.UNREACHED
        fine = np.flatnonzero(~lost)
        for v in np.flatnonzero(lost):
            array[chart, leak, v] = array[chart, leak, fine[np.argmin(np.abs(fine - v))]]
