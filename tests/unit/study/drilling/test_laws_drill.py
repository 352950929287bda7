"""Whole drillings of a thin plate under every control law."""

from functools import cache

import pytest

from gapwright.study.drilling.drilling import Course, Luck, course
from gapwright.study.drilling.one_member import tip_of
from gapwright.study.grounds import _drilling_state as state
from tests.unit.study.benches import FIRST
from tests.unit.study.drilled import charge, made, setting_of

THIN = 0.1e-3
BATCH = 8
LAWS: dict[str, dict[str, float]] = {
    "as the rig is": {},
    "delay ratio, low": {"senses": state.BY_DELAY, "set_share": 0.4},
    "delay ratio, high": {"senses": state.BY_DELAY, "set_share": 0.7},
    "hysteresis on the store": {
        "law": state.HYSTERESIS,
        "senses": state.BY_STORE,
        "feed_speed": 40e-6 * BATCH,
    },
    "hysteresis on the mean": {"law": state.HYSTERESIS, "feed_speed": 40e-6 * BATCH},
    "with lifts": {"lift_every": 2.0, "lift_height": 0.5e-3, "lift_speed": 2e-3 * BATCH},
}


@cache
def drilled_by(name: str) -> Course:
    s = setting_of(FIRST, THIN, BATCH)
    done = course(
        s._replace(control=s.control._replace(**LAWS[name])),
        charge(FIRST),
        tip=tip_of(made(FIRST)),
        luck=Luck(seed=1, member=0),
    )
    assert done is not None
    return done


def mean_share(done: Course) -> float:
    return float(done.numbers[state.VOLT_TOTAL]) / done.time / 70.0


@pytest.mark.parametrize("name", list(LAWS))
def test_every_law_gets_through(name: str) -> None:
    done = drilled_by(name)
    assert done.ended == "through"
    assert float(done.numbers[state.SHORT_TIME]) * BATCH < 0.2 * done.time


def test_a_higher_delay_ratio_holds_a_wider_gap() -> None:
    low, high = drilled_by("delay ratio, low"), drilled_by("delay ratio, high")
    assert mean_share(low) < mean_share(high)
    assert low.sparks / low.time > high.sparks / high.time


def test_lifts_cost_time_and_are_counted() -> None:
    plain, lifted = drilled_by("as the rig is"), drilled_by("with lifts")
    assert plain.lifts == 0
    assert lifted.lifts >= lifted.time / 6.0
    assert lifted.time > plain.time
