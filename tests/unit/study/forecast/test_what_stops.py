"""What parts the members that stop from the others: steps wider than the gap, and a constant."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from gapwright.base.quantity import printed_quantity
from gapwright.study.drilling.gap_margin import clean_gap, operating_point
from gapwright.study.forecast.what_stops import what_stops
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.uncertain import Member, members, uncertain_constants
from tests.unit.study.benches import DRY, FIRST, demo

STEP = 10e-6
FIELD = "effective-field-water"


@dataclass
class MadeCourse:
    """As much of a drilling as is looked at."""

    ended: str

    @property
    def gets_through(self) -> bool:
        return self.ended == "through"


@dataclass
class MadeResult:
    """As much of a member as is looked at."""

    member: Member
    course: MadeCourse


def results(made: Bench, stops: Any, ended: str = "time limit") -> list[Any]:
    drawn = members(uncertain_constants(made.rig, made.job), count=32, seed=3)
    return [
        MadeResult(member=each, course=MadeCourse(ended=ended if stops(each) else "through"))
        for each in drawn
    ]


def gap_of(made: Bench) -> Any:
    point = operating_point(made)
    assert point is not None
    return lambda member: clean_gap(made, point.hazard, member)


@pytest.mark.parametrize("ended", ["time limit", "starved", "only shorts"])
def test_members_whose_gap_is_narrower_than_a_step_are_told_as_such(ended: str) -> None:
    made = demo(FIRST)
    gap = gap_of(made)
    found = results(made, lambda member: gap(member) < 0.7 * STEP, ended)
    narrow = sorted(gap(each.member) for each in found if not each.course.gets_through)
    beside = sum(gap(each.member) < STEP for each in found if each.course.gets_through)
    steps, parted = what_stops(made, found)
    count = len(narrow)
    assert f"In {count} of the {count} members that do not get there" in steps
    assert f"as in {beside} of the {32 - count} that do" in steps
    assert f"({1e6 * np.median(narrow):.1f} µm in the middle one of them, steps of 10 µm)" in steps
    assert f"of {1e6 * narrow[0]:.1f} µm or less, or a higher open voltage" in steps
    assert "the field at which a working gap in water strikes" in parted


def test_one_member_is_not_several() -> None:
    made = demo(FIRST)
    gap = gap_of(made)
    narrowest = min(results(made, lambda _: False), key=lambda each: gap(each.member)).member.number
    (one,) = what_stops(made, results(made, lambda member: member.number == narrowest))
    assert one.startswith("In the one member that does not get there the set point asks")
    (alone,) = what_stops(
        made, [each for each in results(made, lambda _: True) if each.member.number == narrowest]
    )
    assert "that do:" not in alone


def test_steps_are_not_blamed_for_another_end_or_where_all_gaps_are_wide() -> None:
    made = demo(FIRST)
    gap = gap_of(made)
    worn = what_stops(made, results(made, lambda member: gap(member) < 0.7 * STEP, "electrode used up"))
    wide = what_stops(made, results(made, lambda member: gap(member) > 1.2 * STEP))
    assert not any("one step of the axis" in text for text in (*worn, *wide))


def test_the_constant_that_parts_them_is_named_with_both_middles() -> None:
    made = demo(DRY)
    found = results(made, lambda member: member.value["contact-field"] > 2.5e8)
    values = {
        stops: np.median(
            [r.member.value["contact-field"] for r in found if r.course.gets_through is not stops]
        )
        for stops in (True, False)
    }
    (parted,) = what_stops(made, found)
    stopped, others = (printed_quantity(float(values[stops]), "V/m", digits=2) for stops in (True, False))
    assert f": {stopped} in the middle one of them, {others} of the others" in parted


def test_what_luck_might_part_as_firmly_is_not_named() -> None:
    made = demo(DRY)
    assert what_stops(made, results(made, lambda member: member.number == 7)) == []
    picked = [set(np.random.default_rng(seed).choice(32, 8, replace=False)) for seed in range(60)]
    named = [
        what_stops(made, results(made, lambda member, those=those: member.number in those))
        for those in picked
    ]
    assert sum(map(bool, named)) <= 2


def test_nothing_is_said_where_all_get_there() -> None:
    made = demo(FIRST)
    assert what_stops(made, results(made, lambda _: False)) == []
