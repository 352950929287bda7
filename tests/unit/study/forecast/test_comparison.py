"""Two rigs under the same luck."""

from functools import cache
from math import inf, log, nan
from statistics import variance

import pytest

from gapwright.study.forecast.comparison import (
    COMPARED,
    Comparison,
    comparison,
    difference,
    differences,
    labels,
    sentence,
)
from gapwright.study.forecast.drillings import Work, drillings
from gapwright.study.grounds.uncertain import members, uncertain_constants
from tests.unit.study.benches import DRY, FIRST, altered, demo

MEMBERS = 4
THIN = {"workpiece.thickness": 0.1e-3}


@cache
def with_itself() -> Comparison:
    made = demo(FIRST, job=THIN)
    twin = altered(made.rig, "name", "twin")
    return comparison(made.rig, twin, made.job, Work(seed=3, members=MEMBERS))[0]


def test_a_rig_does_not_differ_from_its_twin_in_any_member() -> None:
    found = with_itself()
    assert found.sentence.startswith("twin and first build do not differ in time")
    assert set(found.differences) == set(COMPARED)
    for each in found.differences.values():
        assert each.better_share is None
        assert (each.difference.low, each.difference.median, each.difference.high) == (0.0, 0.0, 0.0)
    assert found.clock.first == found.clock.second


def test_depths_on_the_clock_only_grow_and_keep_their_order() -> None:
    clock = with_itself().clock
    band = clock.first
    assert len(clock.time_s) == len(band.low_m) == len(band.high_m)
    assert clock.wanted_depth_m == 0.1e-3
    for low, median, high in zip(band.low_m, band.median_m, band.high_m, strict=True):
        assert low <= median <= high
    assert all(b >= a for a, b in zip(band.median_m, band.median_m[1:], strict=False))
    assert band.median_m[-1] == pytest.approx(0.1e-3, rel=1e-9)


def test_more_power_drills_sooner_and_luck_in_common_narrows_the_difference() -> None:
    made = demo(FIRST, job=THIN)
    resistor = made.rig.generator.resistor.model_copy(update={"resistance": 120.0})
    stronger = altered(made.rig, "generator.resistor", resistor)
    work = Work(seed=5, members=8)
    weak, strong = (drillings(rig, made.job, work).coarse for rig in (made.rig, stronger))
    time = differences(weak, strong)["time_s"]
    assert time.better_share is not None
    assert time.better_share > 0.7
    assert time.ratio.median is not None
    assert 120.0 / 180.0 < time.ratio.median < 1.0
    both = [
        (log(a.figure["time"]), log(b.figure["time"]))
        for a, b in zip(weak, strong, strict=True)
        if a.course.gets_through and b.course.gets_through
    ]
    apart = variance([a for a, _ in both]) + variance([b for _, b in both])
    assert variance([b - a for a, b in both]) < 0.2 * apart


def test_rigs_of_different_kinds_share_the_draws_of_what_they_have_in_common() -> None:
    wet, dry = demo(FIRST), demo(DRY)
    one, two = (uncertain_constants(each.rig, each.job) for each in (wet, dry))
    names = frozenset(one) | frozenset(two)
    assert set(one) != set(two)
    pairs = zip(
        members(one, count=8, seed=1, beside=names), members(two, count=8, seed=1, beside=names), strict=True
    )
    for a, b in pairs:
        for name in set(one) & set(two):
            assert a.chance[name] == b.chance[name]


def test_a_rig_alone_and_beside_one_of_its_kind_is_the_same_forecast() -> None:
    made = demo(FIRST, job=THIN)
    alone = drillings(made.rig, made.job, Work(seed=3, members=MEMBERS))
    times = [each.figure["time"] for each in alone.coarse]
    found = with_itself().first.time_s
    assert found.low == min(times)
    assert found.high == max(times)


def test_a_member_that_does_not_finish_counts_as_infinitely_slow() -> None:
    found = difference([10.0, inf, 20.0, inf], [5.0, 8.0, inf, inf], better=-1)
    assert found.pairs == 4
    assert found.difference.low is None
    assert found.difference.high is None
    assert found.better_share == pytest.approx(2.0 / 3.0, rel=1e-12)
    assert found.ratio.median == 0.5


def test_numbers_that_are_not_there_are_left_out_of_the_difference() -> None:
    found = difference([1.0, nan], [2.0, 4.0], better=0)
    assert found.pairs == 1
    assert found.difference.median == 1.0
    assert found.better_share is None


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        ([60.0, 60.0], [30.0, 30.0], "b takes 0.5 times as long as a (0.5 to 0.5 over members"),
        ([30.0, 30.0], [60.0, 60.0], "is the faster in 0 % of them; later by 30 s"),
        ([inf, inf], [30.0, 30.0], "No member finishes on both a and b; b is the faster in 100 %"),
        ([inf, inf], [inf, inf], "b and a do not differ in time in any of 2 members"),
    ],
)
def test_the_comparison_in_words(first: list[float], second: list[float], words: str) -> None:
    assert words in sentence("a", "b", difference(first, second, better=-1))


def test_rigs_of_one_name_are_numbered() -> None:
    assert labels("mill", "lathe") == ("mill", "lathe")
    assert len(set(labels("mill", "mill"))) == 2
