"""Sections under governors as arrays for the kernels."""

from typing import NamedTuple

import numpy as np

from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine.governing import Machines
from gapwright.circuit.map.map_plan import Phases, Plan


class Sections(NamedTuple):
    """Fields of `Nodes` that tell of governors."""

    begins: hk.Counts
    needs: hk.Counts
    freed: hk.Counts
    marks: hk.Counts
    waits: hk.Numbers


def sections_of(plan: Plan | None, machines: Machines, charts: int) -> Sections:
    """Charts and marks of a plan by numbers of phases; arrays without governors if there is no plan."""
    count = len(machines.firsts)
    begins, needs = np.zeros((charts, count), dtype=np.int64), np.full((charts, count), -1, dtype=np.int64)
    freed = np.full((2, charts, count), -1, dtype=np.int64)
    marks = plan.marks if plan is not None else ()
    rows, waits = np.zeros((len(marks), 6), dtype=np.int64), np.zeros(len(marks))
    governors = [label.partition("/")[0] for label in machines.labels]
    order = list(dict.fromkeys(governors))
    for c, chart in enumerate(plan.charts if plan is not None else ()):
        _enter(begins[c], chart.begins, machines, order)
        _enter(needs[c], chart.needs, machines, order)
        _enter(freed[0, c], chart.when_struck, machines, order)
        _enter(freed[1, c], chart.when_shorted, machines, order)
    for row, mark in zip(rows, marks, strict=True):
        place = machines.labels.index(f"{mark.governor}/{mark.phase}")
        row[:] = (
            mark.chart,
            order.index(mark.governor),
            place,
            mark.fresh,
            mark.ends_stretch,
            mark.ends_return,
        )
    waits[:] = [mark.wait for mark in marks]
    return Sections(begins=begins, needs=needs, freed=freed, marks=rows, waits=waits)


def _enter(row: hk.Counts, phases: Phases, machines: Machines, order: list[str]) -> None:
    for governor, phase in phases.items():
        row[order.index(governor)] = machines.labels.index(f"{governor}/{phase}")
