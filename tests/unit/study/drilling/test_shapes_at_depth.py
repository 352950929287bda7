"""Shapes where they were asked for, and outlines with few points."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gapwright.base.errors import InputRefused
from gapwright.study.drilling.shapes_at_depth import checked_depths, thinned, usual_depths
from tests.unit.study.benches import FIRST, demo
from tests.unit.study.kept import AT, THIN, kept


def test_a_shape_is_kept_at_each_depth_asked_for_and_at_the_end():
    shapes = kept().recorded.shapes.shapes
    assert [each.asked_depth_m for each in shapes] == [*AT, None]
    for each, asked in zip(shapes, AT, strict=False):
        assert asked <= each.front_m < asked + 5e-6
    times = [each.time_s for each in shapes]
    assert times == sorted(times)
    assert shapes[-1].front_m == pytest.approx(THIN, rel=1e-9)
    assert shapes[-1].time_s == pytest.approx(kept().fine.course.time, rel=1e-12)


def test_hole_and_electrode_do_not_overlap_at_the_front():
    for each in kept().recorded.shapes.shapes[:-1]:
        assert max(each.electrode.depth_m) < max(each.hole.depth_m)


def test_usual_depths_lie_between_face_and_end():
    job = demo(FIRST).job
    depths = usual_depths(job, 3)
    assert depths == pytest.approx([0.375e-3, 0.75e-3, 1.125e-3], rel=1e-12)
    assert checked_depths(depths[::-1], job) == depths


@pytest.mark.parametrize(
    ("depths", "words"),
    [
        ([], "must be 1 to 100 in number, got 0"),
        ([1e-3] * 101, "must be 1 to 100 in number, got 101"),
        ([0.0], "must be above 0 m and at most the wanted depth 1.5 mm, got 0 m"),
        ([2e-3], "must be above 0 m and at most the wanted depth 1.5 mm, got 2 mm"),
        ([float("nan")], "must be above 0 m"),
    ],
)
def test_depths_that_no_drilling_passes_are_refused(depths, words):
    with pytest.raises(InputRefused, match=words):
        checked_depths(depths, demo(FIRST).job)


coordinates = st.lists(st.floats(min_value=0.0, max_value=1.0), min_size=3, max_size=60)


@given(values=coordinates, off=st.floats(min_value=1e-3, max_value=0.3))
def test_no_point_of_a_thinned_outline_is_farther_off_than_allowed(values, off):
    r = np.linspace(0.0, 1.0, len(values))
    z = np.array(values)
    few_r, few_z = thinned((r, z), off=off)
    assert (few_r[0], few_r[-1]) == (0.0, 1.0)
    assert len(few_r) <= len(r)
    # Along r the distance to a straight side is at most the height difference there.
    pieces = np.column_stack([few_r[:-1], few_z[:-1], few_r[1:], few_z[1:]])
    for x, y in zip(r, z, strict=True):
        along = np.clip(
            (
                (x - pieces[:, 0]) * (pieces[:, 2] - pieces[:, 0])
                + (y - pieces[:, 1]) * (pieces[:, 3] - pieces[:, 1])
            )
            / ((pieces[:, 2] - pieces[:, 0]) ** 2 + (pieces[:, 3] - pieces[:, 1]) ** 2),
            0.0,
            1.0,
        )
        away = np.hypot(
            x - pieces[:, 0] - along * (pieces[:, 2] - pieces[:, 0]),
            y - pieces[:, 1] - along * (pieces[:, 3] - pieces[:, 1]),
        )
        assert away.min() <= off * (1.0 + 1e-9)


def test_a_straight_side_keeps_its_ends_alone():
    r = np.linspace(0.0, 1.0, 50)
    assert thinned((r, 2.0 * r), off=1e-6)[0].tolist() == [0.0, 1.0]
