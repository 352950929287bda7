"""Shapes of hole and electrode, and the kernels that wear them."""

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.hole._kernel import METAL, OPEN, open_exit, respace, ring_area, untangle
from gapwright.hole._kernel_carve import carve, due
from gapwright.hole._kernel_gap import refresh_gaps
from gapwright.hole.shape import flat_face, hole_volume, new_electrode, radius_at, with_edge


def padded(points: np.ndarray, room: int) -> np.ndarray:
    out = np.zeros(room)
    out[: len(points)] = points
    return out


def test_rings_of_a_flat_face_add_up_to_its_disc() -> None:
    radii, depths = flat_face(0.25e-3, spacing=10e-6)
    total = sum(ring_area(radii, depths, len(radii), i) for i in range(len(radii)))
    assert total == pytest.approx(np.pi * radii[-1] ** 2, rel=1e-12)


def test_a_carved_crater_takes_its_volume() -> None:
    radii, depths = flat_face(0.25e-3, spacing=2e-6)
    state, cap = np.zeros(len(radii), dtype=np.int8), np.zeros(len(radii))
    *_, taken = carve(radii, depths, state, len(radii), 100, 1e-15, 40e-6, cap)
    assert hole_volume(radii, depths) == pytest.approx(1e-15, rel=1e-11)
    assert taken == pytest.approx(1e-15, rel=1e-12)


def test_craters_add_up_on_the_flat_and_stay_below_the_face() -> None:
    radii, depths = flat_face(0.25e-3, spacing=4e-6)
    state, cap = np.zeros(len(radii), dtype=np.int8), np.zeros(len(radii))
    for k in range(200):
        carve(radii, depths, state, len(radii), 3 + (37 * k) % 55, 1e-15, 40e-6, cap)
    assert hole_volume(radii, depths) == pytest.approx(200e-15, rel=1e-10)
    assert (depths >= 0.0).all()


@pytest.mark.parametrize("centre", [0, 1, 40, 62, 63, 64, 90])
def test_a_crater_is_exact_on_the_axis_at_a_corner_and_on_a_wall(centre: int) -> None:
    front, wall = np.linspace(0.0, 0.25e-3, 64), np.linspace(1e-3, 0.6e-3, 64)[1:]
    radii = np.concatenate([front, np.full_like(wall, 0.25e-3)])
    depths = np.concatenate([np.full_like(front, 1e-3), wall])
    state, cap = np.zeros(len(radii), dtype=np.int8), np.zeros(len(radii))
    before = hole_volume(radii, depths)
    *_, taken = carve(radii, depths, state, len(radii), centre, 4e-15, 40e-6, cap)
    assert taken == pytest.approx(4e-15, rel=1e-12)
    assert hole_volume(radii, depths) - before == pytest.approx(
        4e-15, rel=1e-4
    )  # a small difference of large ones


def test_nothing_is_carved_from_what_is_open() -> None:
    radii, depths = flat_face(0.25e-3, spacing=4e-6)
    state, cap = np.full(len(radii), OPEN, dtype=np.int8), np.zeros(len(radii))
    *_, taken = carve(radii, depths, state, len(radii), 20, 1e-15, 40e-6, cap)
    assert taken == 0.0
    assert not depths.any()


def test_a_crater_makes_good_what_is_owed_within_half_its_volume() -> None:
    assert due(2e-15, 0.3e-15) == pytest.approx(2.3e-15, rel=1e-12)
    assert due(2e-15, 5e-15) == pytest.approx(3e-15, rel=1e-12)
    assert due(2e-15, -5e-15) == pytest.approx(1e-15, rel=1e-12)


def test_the_gap_under_a_flat_electrode_is_the_height_of_its_tip() -> None:
    work_r, work_z = flat_face(0.25e-3, spacing=10e-6)
    tool_r, tool_h = new_electrode(0.25e-3, bore=0.0, length=1e-3, spacing=10e-6)
    sizes = np.array([len(work_r), len(tool_r)])
    near, gap = np.zeros(len(work_r), dtype=np.int64), np.zeros(len(work_r))
    state = np.zeros(len(work_r), dtype=np.int8)
    smallest = refresh_gaps(work_r, work_z, state, tool_r, tool_h, sizes, -20e-6, True, near, gap)
    assert smallest == pytest.approx(20e-6, rel=1e-12)
    outside = work_r > 0.25e-3
    expected = np.hypot(work_r[outside] - 0.25e-3, 20e-6)
    assert gap[outside] == pytest.approx(expected, rel=1e-9)


def test_a_point_inside_the_electrode_has_a_negative_gap() -> None:
    work_r, work_z = flat_face(0.25e-3, spacing=10e-6)
    tool_r, tool_h = new_electrode(0.25e-3, bore=0.0, length=1e-3, spacing=10e-6)
    sizes = np.array([len(work_r), len(tool_r)])
    near, gap = np.zeros(len(work_r), dtype=np.int64), np.zeros(len(work_r))
    state = np.zeros(len(work_r), dtype=np.int8)
    refresh_gaps(work_r, work_z, state, tool_r, tool_h, sizes, 5e-6, True, near, gap)
    assert gap[5] == pytest.approx(-5e-6, rel=1e-12)
    assert gap[-1] > 0.0


def test_searching_downhill_finds_what_a_whole_search_finds() -> None:
    work_r, work_z = flat_face(0.25e-3, spacing=10e-6)
    tool_r, tool_h = new_electrode(0.25e-3, bore=0.1e-3, length=1e-3, spacing=10e-6)
    sizes = np.array([len(work_r), len(tool_r)])
    state = np.zeros(len(work_r), dtype=np.int8)
    near, gap = np.zeros(len(work_r), dtype=np.int64), np.zeros(len(work_r))
    whole, plain = np.zeros(len(work_r), dtype=np.int64), np.zeros(len(work_r))
    refresh_gaps(work_r, work_z, state, tool_r, tool_h, sizes, -60e-6, True, near, gap)
    for depth in np.arange(-60e-6, -5e-6, 1e-6):
        refresh_gaps(work_r, work_z, state, tool_r, tool_h, sizes, depth, False, near, gap)
        refresh_gaps(work_r, work_z, state, tool_r, tool_h, sizes, depth, True, whole, plain)
        assert gap == pytest.approx(plain, rel=1e-12)


def test_respacing_keeps_the_volume_and_the_spacing() -> None:
    radii = padded(np.array([0.0, 1e-4, 1.01e-4, 1.5e-4, 3e-4]), 64)
    depths = padded(np.array([1e-4, 1e-4, 1e-4, 5e-5, 0.0]), 64)
    before = hole_volume(radii[:5], depths[:5])
    marks = np.zeros(64, dtype=np.int8)
    count, changed = respace(radii, depths, marks, 5, 20e-6, 64)
    assert changed
    steps = np.hypot(np.diff(radii[:count]), np.diff(depths[:count]))
    assert steps.max() <= 1.8 * 20e-6
    assert hole_volume(radii[:count], depths[:count]) == pytest.approx(before, rel=1e-2)


def test_a_loop_at_an_edge_is_cut_off_at_the_crossing() -> None:
    radii = np.array([0.0, 2.0, 4.0, 3.0, 3.0, 3.0])
    heights = np.array([0.0, 0.0, 0.0, 1.0, -1.0, 5.0])
    marks = np.zeros(6, dtype=np.int8)
    count, changed = untangle(radii, heights, marks, 6, 8)
    assert changed
    assert count < 6
    assert radii[:count].max() == pytest.approx(3.0, rel=1e-12)


def test_what_reaches_the_far_face_is_open_and_what_it_encloses_is_loose() -> None:
    radii = np.array([0.0, 1e-4, 2e-4, 3e-4])
    depths = np.array([0.5e-3, 1.01e-3, 0.9e-3, 0.0])
    state = np.full(4, METAL, dtype=np.int8)
    before = hole_volume(radii, depths)
    opened, beyond = open_exit(radii, depths, state, 4, 1e-3, 10e-6)
    assert opened == pytest.approx(2e-4 - 1e-4 / 9.0, rel=1e-12)
    assert beyond == pytest.approx(before - hole_volume(radii, depths), rel=1e-9)
    assert state.tolist() == [2, 1, 0, 0]
    assert depths.max() == pytest.approx(1e-3, rel=1e-12)


def test_a_straight_wall_opens_as_wide_as_it_stands() -> None:
    """The outermost open point lies inside the wall by as much as the points lie apart."""
    radii = np.array([0.0, 1.7e-4, 2e-4, 2e-4])
    depths = np.array([1.02e-3, 1.001e-3, 0.95e-3, 0.0])
    opened, _ = open_exit(radii, depths, np.full(4, METAL, dtype=np.int8), 4, 1e-3, 10e-6)
    assert opened == pytest.approx(2e-4, rel=1e-12)
    drawn, down = with_edge(radii, depths, 1e-3)
    assert drawn.tolist() == [0.0, 2e-4, 2e-4, 2e-4]
    assert down is depths
    assert radii[1] == 1.7e-4


@pytest.mark.parametrize("spacing", [30e-6, 15e-6, 7e-6])
def test_a_round_bottom_opens_where_it_meets_the_face(spacing: float) -> None:
    """A sphere of 0.3 mm that comes 40 µm below the face opens it by half a chord, however the points lie."""
    ball, below = 0.3e-3, 40e-6
    wide = np.sqrt(ball**2 - (ball - below) ** 2)
    radii = np.append(np.arange(0.0, ball, spacing), ball)
    depths = np.append(1e-3 + below - ball + np.sqrt(ball**2 - radii[:-1] ** 2), 0.0)
    opened, _ = open_exit(radii, depths, np.full(len(radii), METAL, dtype=np.int8), len(radii), 1e-3, 1e-6)
    assert abs(opened - wide) < 0.3 * spacing


def test_a_wall_that_leaves_the_face_opens_no_farther_than_what_is_open() -> None:
    radii, depths = np.array([0.0, 1e-4, 2e-4, 3e-4, 3e-4]), np.array([1.1e-3, 1.1e-3, 0.7e-3, 0.9e-3, 0.0])
    opened, _ = open_exit(radii, depths, np.full(5, METAL, dtype=np.int8), 5, 1e-3, 10e-6)
    assert opened == pytest.approx(1e-4, rel=1e-12)


def test_a_hole_that_ends_inside_is_drawn_as_it_is() -> None:
    radii, depths = np.array([0.0, 1e-4, 1e-4]), np.array([0.5e-3, 0.5e-3, 0.0])
    assert with_edge(radii, depths, 1e-3) == (radii, depths)


def test_radius_at_takes_the_outermost_crossing() -> None:
    radii = np.array([0.0, 0.5e-4, 1e-4, 2e-4, 3e-4])
    depths = np.array([0.0, 0.0, 1e-3, 1e-3, 0.0])
    assert radius_at(radii, depths, 0.5e-3) == pytest.approx(2.5e-4, rel=1e-12)
    assert radius_at(radii, depths, 2e-3) == 0.0


def test_a_tube_without_a_wall_is_refused() -> None:
    with pytest.raises(InputRefused, match="bore must be between 0 m and the swept radius"):
        new_electrode(0.2e-3, bore=0.2e-3, length=1e-3, spacing=10e-6)


def test_a_thin_rim_at_the_exit_breaks_away() -> None:
    radii = np.array([0.0, 1e-4, 2e-4, 2.1e-4, 2.2e-4])
    depths = np.array([1.01e-3, 1.01e-3, 0.995e-3, 0.98e-3, 0.0])
    state = np.full(5, METAL, dtype=np.int8)
    opened, _ = open_exit(radii, depths, state, 5, 1e-3, 10e-6)
    assert state.tolist() == [OPEN, OPEN, OPEN, METAL, METAL]
    assert opened == pytest.approx(2.1e-4 - 1e-5 * 0.02 / 0.98, rel=1e-12)
