"""A whole drilling against what must hold of any: volumes, counts, joules, resolution, and the prototype."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.hole.shape import hole_volume
from gapwright.study.drilling.one_member import Task, run_member, typical_spark_energy
from gapwright.study.drilling.records_kept import SPARK_COLUMNS, Surface, Wanted
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.ledger import ledger
from gapwright.study.grounds.outcome import Role
from gapwright.study.grounds.uncertain import median_member, uncertain_constants
from tests.unit.study.drilled import charge, made, setting_of

PLATE = 0.6e-3
AT = {name: place for place, name in enumerate(SPARK_COLUMNS)}


class Rows:
    """Every spark of a drilling."""

    def __init__(self) -> None:
        self.kept: list[np.ndarray] = []

    def sparks(self, rows: np.ndarray) -> None:
        self.kept.append(rows)

    def ticks(self, rows: np.ndarray) -> None:
        """Leave ticks."""

    def shape(self, depth: float, work: Surface, tool: Surface) -> None:
        """Leave shapes."""


def task(plate: float, *, seed: int = 1, finer: float = 1.0) -> Task:
    bench = made("first-build", plate)
    return Task(
        made=bench,
        charge=charge("first-build"),
        member=median_member(uncertain_constants(bench.rig, bench.job)),
        seed=seed,
        batch=8,
        shown=False,
        spark_energy=typical_spark_energy(charge("first-build"), bench),
        finer=finer,
    )


@pytest.fixture(scope="module")
def drilled():
    rows = Rows()
    result = run_member(replace(task(PLATE), wanted=Wanted(keeper=rows)))
    assert result is not None
    assert result.course.gets_through
    return result, np.concatenate(rows.kept)


@pytest.mark.source(
    "computed", "conservation of volume: what sparks took is what is gone, to 1e-6 on both bodies"
)
def test_volume_is_conserved_on_both_bodies(drilled):
    result, _ = drilled
    num = result.course.numbers
    gone = float(num[state.REMOVED] - num[state.BEYOND] + num[state.BROKEN])
    assert hole_volume(*result.course.work) == pytest.approx(gone, rel=1e-6)
    lost = setting_of("first-build", PLATE, 8).smear * float(num[state.WORN])
    assert hole_volume(*result.course.tool) == pytest.approx(lost, rel=1e-6)


@pytest.mark.source("computed", "count of sparks times their mean volume is the volume of the hole")
def test_sparks_times_their_mean_volume_is_the_hole(drilled):
    result, rows = drilled
    num = result.course.numbers
    count = float(rows[:, AT["batch"]].sum())
    mean = float(np.average(rows[:, AT["volume_m3"]], weights=rows[:, AT["batch"]]))
    sparks = count * mean - float(num[state.BEYOND]) + float(num[state.BROKEN])
    assert hole_volume(*result.course.work) == pytest.approx(sparks, rel=1e-6)


@pytest.mark.source("computed", "energy: in less out less what is stored, to 1e-6 through a whole drilling")
def test_the_ledger_closes_through_the_whole_drilling(drilled):
    result, rows = drilled
    account = ledger(made("first-build", PLATE), result.metered)
    assert abs(account.balance_error) < 1e-6
    given = sum(line.energy_j for line in account.accounts if line.role is Role.IN)
    spent = sum(line.energy_j for line in account.accounts if line.role in (Role.OUT, Role.STORED))
    assert spent == pytest.approx(given, rel=1e-6)
    burnt = sum(line.energy_j for line in account.accounts if line.stage == "spark" and line.role is Role.OUT)
    burnt += sum(
        line.energy_j for line in account.accounts if line.stage == "metal" and line.role is Role.OUT
    )
    told = float(np.dot(rows[:, AT["energy_j"]], rows[:, AT["batch"]]))
    assert told == pytest.approx(burnt, rel=0.05)


@pytest.mark.source("computed", "twice as many points: overcut within 5 % or 1 µm, time within 3 %")
def test_a_hole_does_not_depend_on_how_densely_it_is_described():
    """A short form of proof/hole_convergence.py; the tolerances leave room for the luck of eight holes."""
    found = {
        finer: [run_member(task(0.4e-3, seed=seed, finer=finer)) for seed in range(1, 9)]
        for finer in (1.0, 2.0)
    }
    figures = {
        finer: {name: np.array([r.figure[name] for r in results if r]) for name in ("overcut", "time")}
        for finer, results in found.items()
    }
    for name, share, least in (("overcut", 0.05, 1e-6), ("time", 0.03, 0.0)):
        usual, finer = figures[1.0][name], figures[2.0][name]
        luck = np.sqrt((usual.var(ddof=1) + finer.var(ddof=1)) / len(usual))
        room = max(share * usual.mean(), least)
        assert luck < room, f"{name}: eight holes cannot tell"
        assert abs(finer.mean() - usual.mean()) <= room + 2.0 * luck, name
