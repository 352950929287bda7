"""Forecasts of a thin plate: what the answer holds, and that it does not depend on who counts."""

from concurrent.futures import ThreadPoolExecutor
from functools import cache

import pytest

from gapwright.base.errors import InputRefused
from gapwright.base.progress import Stopped
from gapwright.study.forecast.forecast import forecast
from gapwright.study.grounds.outcome import Forecast, Pictures
from tests.unit.study.benches import FIRST, demo

MEMBERS = 4
THIN = {"workpiece.thickness": 0.1e-3}


@cache
def thin(name: str = FIRST) -> tuple[Forecast, Pictures]:
    made = demo(name, job=THIN)
    return forecast(made.rig, made.job, seed=3, members=MEMBERS)


def test_a_forecast_says_whether_it_gets_through_and_how_long() -> None:
    answer, _ = thin()
    assert answer.gets_through
    assert answer.verdict.startswith("Gets through in about")
    assert answer.verdict.endswith(".")
    assert answer.time_s.median is not None
    assert sum(answer.ended.values()) == pytest.approx(1.0, rel=1e-12)
    assert answer.finished_share == answer.ended.get("through", 0.0)
    assert answer.members == MEMBERS
    assert not answer.calibrated


def test_bands_hold_their_median() -> None:
    answer, _ = thin()
    for band in (answer.time_s, answer.sparks.energy_j, answer.hole.entry_diameter_m, answer.finish.ra_m):
        assert band.median is not None
        assert band.low is not None
        assert band.low <= band.median
        assert band.high is None or band.median <= band.high


def test_the_ledger_closes_and_its_shares_are_of_the_socket() -> None:
    account = thin()[0].ledger
    assert abs(account.balance_error) < 1e-9
    assert sum(line.share for line in account.accounts if line.role == "in") == pytest.approx(1.0, rel=1e-12)
    assert {line.stage for line in account.accounts} >= {
        "socket",
        "supply",
        "charger",
        "store",
        "leads",
        "spark",
        "metal",
    }


def test_readings_and_cautions_are_there() -> None:
    answer, _ = thin()
    assert {"supply_current_a", "mean_gap_voltage_v", "charge_cycles_hz"} <= set(answer.expected_readings)
    assert answer.cautions[-1].text.startswith("These remarks replace no law")


def test_time_shares_of_the_classes_add_up() -> None:
    classes = thin()[0].sparks.classes
    assert sum(share.time_share for share in classes.values()) == pytest.approx(1.0, rel=1e-9)
    assert classes["normal"].count > 0


def test_pictures_fit_the_answer() -> None:
    answer, pictures = thin()
    assert len(pictures.spark_time_s) == len(pictures.gap_volts) == len(pictures.gap_amperes)
    assert pictures.depth_m.shape == (3, len(pictures.depth_time_s))
    assert pictures.hole_depth_m.max() == pytest.approx(THIN["workpiece.thickness"], rel=1e-9)
    assert answer.hole.depth_m.median == pytest.approx(THIN["workpiece.thickness"], rel=1e-9)


def test_the_answer_does_not_depend_on_how_members_are_spread() -> None:
    made = demo(FIRST, job=THIN)
    with ThreadPoolExecutor(3) as pool:
        spread, _ = forecast(
            made.rig,
            made.job,
            seed=3,
            members=MEMBERS,
            spread=lambda work, tasks: list(pool.map(work, tasks)),
        )
    assert spread == thin()[0]


def test_a_listener_can_stop_it() -> None:
    made = demo(FIRST, job=THIN)
    with pytest.raises(Stopped):
        forecast(made.rig, made.job, members=2, progress=lambda *_: False)


def test_progress_counts_members() -> None:
    made, told = demo(FIRST, job=THIN), []

    def heard(done: int, total: int, what: str) -> bool:
        told.append((done, total, what))
        return True

    forecast(made.rig, made.job, members=2, progress=heard)
    assert max(done for done, _, _ in told) == 2
    assert any(what.startswith("first look: through in about") for _, _, what in told)


@pytest.mark.parametrize(
    ("rig", "job", "words"),
    [
        ({"setup.electrode.diameter": 0.7e-3}, {}, "must be below the widest hole allowed"),
        ({"supply.voltage": 34.0}, {}, "peak open-gap voltage must be above the spark's burning voltage"),
    ],
)
def test_rig_and_job_that_cannot_work_are_refused(
    rig: dict[str, object], job: dict[str, object], words: str
) -> None:
    with pytest.raises(InputRefused, match=words):
        demo(FIRST, rig, job)


@pytest.mark.parametrize(("seed", "members"), [(-1, 4), (2**64, 4), (0, 0), (0, 5000)])
def test_numbers_out_of_range_are_refused(seed: int, members: int) -> None:
    made = demo(FIRST, job=THIN)
    with pytest.raises(InputRefused, match=r"must be"):
        forecast(made.rig, made.job, seed=seed, members=members)
