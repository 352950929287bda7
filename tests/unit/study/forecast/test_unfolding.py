from dataclasses import replace

import pytest

from gapwright.base.errors import InputRefused
from gapwright.base.progress import Stopped
from gapwright.hole.shape import with_edge
from gapwright.study.forecast.forecast import forecast
from gapwright.study.forecast.glance import glance
from gapwright.study.forecast.unfolding import unfolding
from gapwright.study.grounds.outcome import Role
from tests.unit.study.benches import demo

THIN = 40e-6


def thin(name: str):
    """Rig and job of a demonstration, with a plate that is soon drilled."""
    bench = demo(name)
    work = bench.job.workpiece.model_copy(update={"thickness": THIN})
    return bench.rig, bench.job.model_copy(update={"workpiece": work})


def test_the_last_forecast_is_the_one_asked_for_at_once() -> None:
    rig, job = thin("first-build")
    found = list(unfolding(rig, job, members=3, seed=5))
    assert [each.members for each in found] == [0, 2, 3]
    assert [each.complete for each in found] == [False, False, True]
    whole, _ = forecast(rig, job, members=3, seed=5)
    assert found[-1].forecast == whole


def test_the_drilling_shown_can_be_played() -> None:
    rig, job = thin("first-build")
    *_, last = unfolding(rig, job, members=1)
    times = [frame.time for frame in last.frames]
    assert 2 <= len(times) <= 49
    assert times == sorted(times)
    assert last.frames[-1].depth == pytest.approx(job.workpiece.thickness, rel=1e-2)
    end, end_z = with_edge(*last.frames[-1].work, job.workpiece.thickness)
    assert (end == last.pictures.hole_radius_m).all()
    assert (end_z == last.pictures.hole_depth_m).all()


def test_it_stops_inside_a_member_when_asked() -> None:
    rig, job = thin("first-build")
    heard = []

    def three_times(done: int, total: int, what: str) -> bool:
        heard.append((done, total, what))
        return len(heard) < 3

    with pytest.raises(Stopped):
        list(unfolding(rig, job, members=8, progress=three_times))
    assert len(heard) < 20


def test_counts_out_of_range_are_refused() -> None:
    rig, job = thin("first-build")
    with pytest.raises(InputRefused, match="members"):
        next(unfolding(rig, job, members=0))


@pytest.mark.parametrize("name", ["dry-start", "first-build", "second-build"])
def test_a_first_look_closes_its_account(name: str) -> None:
    bench = demo(name)
    seen = glance(bench.rig, bench.job)
    by_role = {
        role: sum(line.energy_j for line in seen.ledger.accounts if line.role is role) for role in Role
    }
    given = by_role[Role.IN]
    assert by_role[Role.OUT] + by_role[Role.STORED] == pytest.approx(given, rel=1e-6)
    assert abs(seen.ledger.balance_error) < 1e-6
    assert {line.stage for line in seen.ledger.accounts} >= {
        "socket",
        "supply",
        "store",
        "leads",
        "spark",
        "metal",
    }
    assert seen.cautions


def test_a_first_look_has_the_supply_s_share_and_the_auxiliaries() -> None:
    bench = demo("first-build")
    seen = glance(bench.rig, bench.job)
    watts = {
        (line.stage, line.account): line.energy_j / seen.ledger.duration_s
        for line in seen.ledger.accounts
        if line.role is Role.OUT
    }
    assert watts["supply", "idling"] == pytest.approx(bench.rig.supply.idle_power, rel=1e-9)
    assert watts["auxiliaries", "pump"] == pytest.approx(bench.rig.auxiliaries.pump_power, rel=1e-9)


def test_a_rig_that_cannot_strike_is_refused_at_first_look() -> None:
    bench = demo("first-build")
    supply = bench.rig.supply.model_copy(update={"voltage": 20.0})
    weak = replace(bench, rig=bench.rig.model_copy(update={"supply": supply}))
    with pytest.raises(InputRefused, match="peak open-gap voltage"):
        glance(weak.rig, weak.job)
