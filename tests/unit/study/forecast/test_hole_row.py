"""Holes in a row with one electrode, from made-up holes and from a drilled row."""

from dataclasses import dataclass, field
from math import inf
from typing import Any

import numpy as np
import pytest

from gapwright.app.hole_row import RowAnswer, row_sight
from gapwright.base.errors import InputRefused
from gapwright.base.progress import Stopped
from gapwright.study.forecast.drillings import Work, drilled_row, drillings
from gapwright.study.forecast.forecast import said
from gapwright.study.forecast.hole_row import hole_row, narrow_from, standing_length
from gapwright.study.forecast.row_words import surety_in_words
from gapwright.study.forecast.worn_end import dressed, point_length, touched_off
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.member_setting import usable_length
from tests.unit.study.benches import FIRST, demo

MADE = demo(FIRST)
FREE = 23.5e-3


@dataclass
class MadeCourse:
    """As much of a drilling as a row looks at."""

    tool: tuple[np.ndarray, np.ndarray]
    gets_through: bool = True
    numbers: np.ndarray = field(default_factory=lambda: np.full(state.NUMBERS, 4e-3))


@dataclass
class MadeHole:
    """As much of a member as a row looks at."""

    course: MadeCourse
    figure: dict[str, float]


def worn(point: float, wear: float) -> tuple[np.ndarray, np.ndarray]:
    """A cone of a point's length on a rod that has lost a length."""
    return np.array([0.0, 0.25e-3, 0.25e-3]), np.array([wear, wear + point, 5e-3])


def hole(*, wear: float = 2e-3, exits: float = 0.58e-3, point: float = 1e-3, done: bool = True) -> Any:
    found = {"time": 100.0, "wear_length": wear, "exit": exits, "entry": 0.6e-3}
    if not done:
        found |= {"time": inf, "wear_length": inf}
    return MadeHole(course=MadeCourse(tool=worn(point, wear), gets_through=done), figure=found)


def test_touching_off_takes_up_the_wear_and_keeps_the_length() -> None:
    radii, heights = touched_off(worn(1e-3, 2e-3))
    assert heights.tolist() == pytest.approx([0.0, 1e-3, 5e-3], rel=1e-12)
    assert radii.tolist() == worn(1e-3, 2e-3)[0].tolist()


def test_the_point_is_as_long_as_the_cone() -> None:
    assert point_length(worn(0.7e-3, 2e-3)) == pytest.approx(0.7e-3, rel=1e-12)


def test_a_square_end_has_no_point() -> None:
    assert point_length((np.array([0.0, 0.1, 0.25, 0.25]), np.array([0.0, 0.0, 0.0, 5.0]))) == 0.0


def test_holes_beyond_the_row_are_like_its_last() -> None:
    found = hole_row(MADE, [(hole(wear=1e-3), hole(wear=2e-3))] * 3)
    assert MADE.job.hole.count == 12
    assert found.total_electrode_m.median == pytest.approx(23e-3, rel=1e-12)
    assert found.drilling_time_s.median == pytest.approx(1200.0, rel=1e-12)
    # Twelve times 60 s of touching off, eleven of 30 s of moving on, and one new electrode in 5 min.
    assert found.total_time_s.median == pytest.approx(1200.0 + 720.0 + 330.0 + 300.0, rel=1e-12)
    assert standing_length(MADE) == pytest.approx(FREE, rel=1e-12)
    assert found.holes_per_electrode.median == 11.0
    assert found.electrodes.median == 2.0
    assert found.holes[1].wear_length_m.median == pytest.approx(2e-3, rel=1e-12)


def test_an_end_that_has_taken_its_form_is_not_dressed() -> None:
    found = hole_row(MADE, [(hole(), hole())] * 3)
    assert found.dress_after is None
    assert "do not dress it" in found.words[2]


def test_an_end_that_still_changes_is_followed_further() -> None:
    found = hole_row(MADE, [(hole(point=0.2e-3), hole(point=0.9e-3))] * 3)
    assert "still changes" in found.words[2]


def test_an_end_whose_exits_become_narrow_is_cut_before() -> None:
    rows = [(hole(), hole(), hole(exits=0.3e-3))] * 3
    assert narrow_from(MADE.job, rows) == 2
    found = hole_row(MADE, rows)
    assert found.dressing_length_m == pytest.approx(1e-3, rel=1e-12)
    assert found.dress_after == 2
    assert not found.dress_planned
    # Twelve holes wear 2 mm each. The first electrode makes nine (four cuts of 1 mm), the second three (one).
    assert found.dressings.median == 5.0
    assert found.total_electrode_m.median == pytest.approx(29e-3, rel=1e-12)
    assert "after 2 holes" in found.words[2]


def test_dressing_does_not_help_what_a_new_end_cannot_do() -> None:
    found = hole_row(MADE, [(hole(exits=0.3e-3), hole(exits=0.3e-3))] * 3)
    assert found.dress_after is None


def test_a_row_that_ends_early_is_endless_and_says_so() -> None:
    found = hole_row(MADE, [(hole(), hole(done=False))] * 3)
    assert found.total_time_s.median is None
    assert found.electrodes.median is None
    assert found.holes[1].finished_share == 0.0
    assert "cannot be counted on" in found.words[0]


def test_an_electrode_too_short_for_a_hole_is_told() -> None:
    found = hole_row(MADE, [(hole(wear=30e-3), hole(wear=30e-3))] * 3)
    assert found.electrodes.median is None
    assert "do not last for one hole" in found.words[1]


PLANNED = demo(FIRST, job={"between_holes.dress_after": 2, "between_holes.dress_length": 0.5e-3})


def test_a_cut_makes_the_end_square_and_leaves_the_rest() -> None:
    radii, heights = dressed(worn(1e-3, 2e-3), 1e-3)
    assert heights[radii < 0.25e-3].tolist() == [0.0]
    assert point_length((radii, heights)) == 0.0
    # A cut through the middle of the cone leaves a frustum as high as what was not cut.
    cone = (np.linspace(0.0, 0.25e-3, 101), np.linspace(0.0, 1e-3, 101))
    rod = (np.append(cone[0], 0.25e-3), np.append(cone[1], 5e-3))
    radii, heights = dressed(rod, 0.5e-3)
    assert radii[heights == 0.0].max() == pytest.approx(0.125e-3, rel=1e-9)
    assert point_length((radii, heights)) == pytest.approx(0.47e-3, rel=1e-9)
    assert heights.max() == pytest.approx(5e-3, rel=1e-12)


def test_a_cut_longer_than_what_is_followed_leaves_a_new_rod() -> None:
    radii, heights = dressed(worn(1e-3, 2e-3), 50e-3)
    assert point_length((radii, heights)) == 0.0
    assert heights.max() == pytest.approx(5e-3, rel=1e-12)


def test_a_cut_leaves_the_bore_of_a_tube() -> None:
    radii = np.array([0.1e-3, 0.1e-3, 0.2e-3, 0.25e-3, 0.25e-3])
    heights = np.array([5e-3, 1e-3, 0.2e-3, 0.6e-3, 5e-3])
    found, up = dressed((radii, heights), 0.3e-3)
    assert found[up == 0.0].min() == 0.2e-3
    assert found.min() == 0.1e-3


def test_a_planned_dressing_is_counted_in_length_and_time() -> None:
    found = hole_row(PLANNED, [(hole(), hole(), hole())] * 3)
    assert (found.dress_after, found.dress_planned) == (2, True)
    assert [each.dressed for each in found.holes] == [False, True, False]
    # Half a millimetre after every second hole: 23.5 mm take ten holes and four cuts, then two more holes.
    assert found.holes_per_electrode.median == 10.0
    assert found.electrodes.median == 2.0
    assert found.dressings.median == 4.0
    assert found.total_electrode_m.median == pytest.approx(26e-3, rel=1e-12)
    assert found.dressing_time_s.median == pytest.approx(4 * 180.0, rel=1e-12)
    spent = 1200.0 + 720.0 + 330.0 + 720.0 + 300.0
    assert found.total_time_s.median == pytest.approx(spent, rel=1e-12)
    left = [each.electrode_left_m.median for each in found.holes]
    assert left == pytest.approx([21.5e-3, 19.5e-3, 17e-3], rel=1e-9)
    assert "after every 2 holes, 4 times in all" in found.words[2]


def test_a_cut_that_the_job_leaves_open_takes_what_is_thinner() -> None:
    made = demo(FIRST, job={"between_holes.dress_after": 1})
    found = hole_row(made, [(hole(point=0.8e-3), hole(point=0.8e-3))] * 3)
    assert found.dressing_length_m == pytest.approx(0.8e-3, rel=1e-12)


def test_a_planned_dressing_that_comes_too_late_is_told() -> None:
    late = demo(FIRST, job={"between_holes.dress_after": 3})
    found = hole_row(late, [(hole(), hole(exits=0.3e-3), hole(exits=0.3e-3))] * 3)
    assert "dress after 1 hole." in found.words[2]
    assert "No hole that was followed comes after a dressing" in found.words[2]


def test_cutting_more_than_stands_free_is_refused() -> None:
    with pytest.raises(InputRefused, match=r"between_holes.dress_length must be below .* got 30"):
        demo(FIRST, job={"between_holes.dress_after": 2, "between_holes.dress_length": 30e-3})


def test_a_dressed_row_drills_as_if_the_end_were_new() -> None:
    asked = Work(members=1, in_a_row=2)
    plain = drilled_row(MADE.rig, MADE.job, asked)
    made = demo(FIRST, job={"between_holes.dress_after": 1})
    cut = drilled_row(made.rig, made.job, asked)
    first, second = cut.holes
    assert first.time_s == plain.holes[0].time_s
    assert second.time_s != plain.holes[1].time_s
    # What is left of the first electrode once its end has been cut and the second hole drilled.
    assert cut.dressing_length_m is not None
    assert second.wear_length_m.median is not None
    left = FREE - (first.wear_length_m.median or 0.0) - cut.dressing_length_m - second.wear_length_m.median
    assert second.electrode_left_m.median == pytest.approx(left, rel=1e-6)


def test_a_row_of_one_is_none() -> None:
    with pytest.raises(InputRefused, match="holes in a row must be between 2 and 20, got 0"):
        drilled_row(MADE.rig, MADE.job, Work(members=1))


def test_a_drilled_row_begins_each_hole_with_the_end_of_the_one_before() -> None:
    asked = Work(members=1, in_a_row=2)
    done = drillings(MADE.rig, MADE.job, asked)
    row = done.row
    assert row is not None
    assert [each.hole for each in row.holes] == [1, 2]
    first, second = row.holes
    assert first.wear_length_m.median is not None
    assert second.wear_length_m.median is not None
    assert first.time_s.median != second.time_s.median
    # An end that has its form already wears about as much again.
    assert second.wear_length_m.median == pytest.approx(first.wear_length_m.median, rel=0.5)
    assert said(done, seed=0).row == row
    assert drilled_row(MADE.rig, MADE.job, asked) == row


def test_a_job_s_limit_gives_no_more_electrode_than_there_is() -> None:
    short = demo(FIRST, rig={"setup.electrode.free_length": 2.0e-3})
    assert usable_length(short) == pytest.approx(0.5e-3, rel=1e-9)
    assert usable_length(MADE) == pytest.approx(10e-3, rel=1e-9)
    unlimited = demo(FIRST, job={"limits.electrode_length": None})
    assert usable_length(unlimited) == pytest.approx(FREE, rel=1e-9)


def test_an_electrode_that_cannot_reach_the_depth_is_refused() -> None:
    with pytest.raises(InputRefused, match=r"free_length must be above the hole's depth \(1.5"):
        demo(FIRST, rig={"setup.electrode.free_length": 1.4e-3})


def test_a_row_ends_with_the_hole_that_does_not_get_through() -> None:
    hurried = demo(FIRST, job={"limits.time": 5.0})
    row = drilled_row(hurried.rig, hurried.job, Work(members=1, in_a_row=3))
    assert [each.hole for each in row.holes] == [1]
    assert row.holes[0].finished_share == 0.0
    assert row.total_time_s.median is None


@pytest.mark.parametrize("after", [0, 3])
def test_a_row_that_is_asked_to_stop_stops(after: int) -> None:
    told: list[str] = []

    def heard(done: int, total: int, what: str) -> bool:
        told.append(what)
        return sum("holes in a row" in each for each in told) <= after

    with pytest.raises(Stopped):
        drilled_row(MADE.rig, MADE.job, Work(members=1, in_a_row=3, progress=heard))


@pytest.mark.parametrize(("row", "said"), [
    ([hole(), hole(exits=0.3e-3)], "after every hole, as advised"),
    ([hole(), hole()], "neither planned nor advised"),
])  # fmt: skip
def test_the_costs_say_whose_dressing_it_is(row: list[Any], said: str) -> None:
    answer = RowAnswer(
        rig="rig", job="job", seed=0, wanted_diameter_m=0.58e-3, wanted_tolerance_m=0.04e-3,
        row=hole_row(MADE, [tuple(row)] * 3),
    )  # fmt: skip
    totals = {each.name: each for each in row_sight(answer).totals}
    assert totals["dressing"].remark == said
    assert totals["electrodes"].middle in ("2", "3")


def test_a_row_says_how_coarse_its_bands_are() -> None:
    times = [60.0 * k for k in range(10, 18)]
    few = surety_in_words(times)
    assert few == (
        "Bands over 8 members reach from the least to the greatest of them: about 11 % of all that may be "
        "lie beyond each end; the middle of the time for all holes lies between 12 min and 15 min, at one "
        "standard deviation."
    )
    assert surety_in_words([60.0]) == "One member drilled the row, so that nothing has a band."
    assert surety_in_words([60.0] * 20).startswith("Bands over 20 members, the 5th and 95th percentile; ")
    assert "is not known from so few" in surety_in_words([*times[:4], inf, inf, inf, inf])
