"""Holes in a row with one electrode, from made-up holes and from a drilled row."""

from dataclasses import dataclass, field
from math import inf
from typing import Any

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.study.forecast.drillings import Work, drillings
from gapwright.study.forecast.forecast import said
from gapwright.study.forecast.hole_row import (
    dress_after,
    hole_row,
    point_length,
    standing_length,
    touched_off,
)
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
    assert found.total_time_s.median == pytest.approx(1200.0, rel=1e-12)
    assert standing_length(MADE) == pytest.approx(FREE, rel=1e-12)
    assert found.holes_per_electrode.median == 11.0
    assert found.electrodes.median == 2.0
    assert found.holes[1].wear_length_m.median == pytest.approx(2e-3, rel=1e-12)


def test_an_end_that_has_taken_its_form_is_not_dressed() -> None:
    found = hole_row(MADE, [(hole(), hole())] * 3)
    assert found.dress_after is None
    assert "do not dress it" in found.words[-1]


def test_an_end_that_still_changes_is_followed_further() -> None:
    found = hole_row(MADE, [(hole(point=0.2e-3), hole(point=0.9e-3))] * 3)
    assert "still grows" in found.words[-1]


def test_an_end_whose_exits_become_narrow_is_cut_before() -> None:
    rows = [(hole(), hole(), hole(exits=0.3e-3))] * 3
    assert dress_after(MADE.job, rows) == 2
    found = hole_row(MADE, rows)
    assert found.dressing_length_m == pytest.approx(1e-3, rel=1e-12)
    # Twelve holes wear 2 mm each, and half a millimetre each goes with the cuts.
    assert found.total_electrode_m.median == pytest.approx(30e-3, rel=1e-12)
    assert "after 2 holes" in found.words[-1]


def test_dressing_does_not_help_what_a_new_end_cannot_do() -> None:
    assert dress_after(MADE.job, [(hole(exits=0.3e-3), hole(exits=0.3e-3))] * 3) is None


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


def test_a_job_s_limit_gives_no_more_electrode_than_there_is() -> None:
    short = demo(FIRST, rig={"setup.electrode.free_length": 2.0e-3})
    assert usable_length(short) == pytest.approx(0.5e-3, rel=1e-9)
    assert usable_length(MADE) == pytest.approx(10e-3, rel=1e-9)
    unlimited = demo(FIRST, job={"limits.electrode_length": None})
    assert usable_length(unlimited) == pytest.approx(FREE, rel=1e-9)


def test_an_electrode_that_cannot_reach_the_depth_is_refused() -> None:
    with pytest.raises(InputRefused, match=r"free_length must be above the hole's depth \(1.5"):
        demo(FIRST, rig={"setup.electrode.free_length": 1.4e-3})
