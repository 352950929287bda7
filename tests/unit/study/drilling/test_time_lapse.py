"""How many sparks one may stand for: calm loops bear eight, restless ones few, and then tell what is true."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.study.drilling.one_member import COARSE, COARSE_DRY, Task, run_member, typical_spark_energy
from gapwright.study.drilling.time_lapse import LEAST, pace
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.uncertain import Member, median_member, uncertain_constants
from tests.unit.study.benches import DRY, FIRST, demo

SEEDS = (1, 2, 3, 4)
SAMPLING = np.log(1.66) / np.sqrt(64)
"""Sampling error of the time over 64 members, which lie 66 % apart (`proof/coarse_members.md`)."""


def middle(made: Bench) -> Member:
    return median_member(uncertain_constants(made.rig, made.job))


def chosen(changes: dict[str, object], name: str = FIRST) -> int:
    made = demo(name, changes)
    return pace(made).sparks_for_one(middle(made))


def test_a_calm_loop_bears_the_whole_time_lapse() -> None:
    assert chosen({}) == COARSE
    assert chosen({"controller.gain": 0.2e-3, "axis.lag": 20e-3}) == COARSE


def test_a_restless_loop_bears_less() -> None:
    assert chosen({"controller.gain": 2.5e-3}) == 4
    assert chosen({"controller.gain": 5e-3}) == LEAST
    assert chosen({"axis.lag": 50e-3}) == LEAST


def test_a_hopeless_loop_swings_in_any_time_lapse() -> None:
    assert chosen({"controller.gain": 100e-3}) == COARSE


def test_each_member_has_its_own_loop() -> None:
    made = demo(FIRST)
    usual = middle(made)
    steep = replace(usual, value={**usual.value, "ignition-exponent": 8.0, "effective-field-water": 15e6})
    assert pace(made).sparks_for_one(steep) < pace(made).sparks_for_one(usual)


def test_steps_wider_than_the_gap_bear_less() -> None:
    """The usual member of the first build works at about 11 µm."""
    assert chosen({"axis.resolution": 5e-6}) == COARSE
    assert chosen({"axis.resolution": 20e-6}) == LEAST


def test_two_speeds_may_not_run_through_the_gap_within_the_longer_tick() -> None:
    slow: dict[str, object] = {
        "controller.law": "hysteresis",
        "controller.feed_speed": 20e-6,
        "controller.back_speed": 100e-6,
    }
    assert chosen(slow) == COARSE
    assert chosen({**slow, "controller.back_speed": 2e-3}) == LEAST


def test_another_sense_is_taken_at_its_steepest() -> None:
    other: dict[str, object] = {"controller.senses": "ignition-delay-ratio"}
    assert chosen({**other, "controller.gain": 0.2e-3}) == COARSE
    assert chosen({**other, "controller.gain": 5e-3}) == LEAST


def test_contact_is_not_hastened() -> None:
    assert chosen({}, DRY) == COARSE_DRY


def times(made: Bench, batch: int) -> np.ndarray:
    """Times of a few drillings of the median member."""
    charge, found = charge_map_of(made), []
    for seed in SEEDS:
        result = run_member(
            Task(
                made=made,
                charge=charge,
                member=middle(made),
                seed=seed,
                batch=batch,
                shown=False,
                spark_energy=typical_spark_energy(charge, made),
            )
        )
        assert result is not None
        found.append(result.figure["time"])
    return np.array(found)


@pytest.mark.parametrize("changes", [{"axis.lag": 20e-3}, {"axis.lag": 100e-3}, {"controller.gain": 10e-3}])
def test_a_lagged_loop_in_time_lapse_drills_as_it_does_spark_by_spark(changes: dict[str, object]) -> None:
    """Calm, swinging by its lag and by its gain: within their luck and the sampling error of the band."""
    made = demo(FIRST, changes, {"workpiece.thickness": 0.1e-3})
    true, lapsed = times(made, 1), times(made, pace(made).sparks_for_one(middle(made)))
    luck = np.sqrt((true.var(ddof=1) + lapsed.var(ddof=1)) / len(SEEDS))
    assert abs(lapsed.mean() - true.mean()) <= SAMPLING * true.mean() + 2.0 * luck
