import base64

import numpy as np
import pytest

from gapwright.app.drawing import (
    FLATNESS,
    Array,
    array,
    depth_drawing,
    flow_drawing,
    section_drawing,
    spark_drawing,
    thinned,
)
from gapwright.study.drilling.drilling import Frame
from tests import made_up


def numbers(of: Array) -> np.ndarray:
    return np.frombuffer(base64.b64decode(of.f32), dtype="<f4").reshape(of.shape)


def test_an_array_comes_back_as_it_went() -> None:
    values = np.array([0.0, 1.5, -3e-6, np.nan])
    back = numbers(array(values))
    assert np.array_equal(back, values.astype(np.float32), equal_nan=True)
    assert array(values).shape == (4,)


def test_what_comes_into_a_stage_leaves_it() -> None:
    drawn = flow_drawing(made_up.ledger(), basis="made up")
    for stage in drawn.stages[:-1]:
        gone = stage.lost_w + stage.kept_w + stage.went_on_w
        assert gone == pytest.approx(stage.came_in_w, rel=1e-9)
    for before, after in zip(drawn.stages, drawn.stages[1:], strict=False):
        assert before.went_on_w == pytest.approx(after.came_in_w, rel=1e-9)
    assert drawn.socket_w == pytest.approx(made_up.SOCKET_WATTS, rel=1e-9)
    assert drawn.stages[0].share == pytest.approx(17.9 / made_up.SOCKET_WATTS, rel=1e-9)
    assert sum(line.power_w for line in drawn.beside) == pytest.approx(38.0, rel=1e-9)


def test_a_stage_says_what_it_takes() -> None:
    drawn = flow_drawing(made_up.ledger(), basis="made up")
    says = {stage.stage: stage.says for stage in drawn.stages}
    assert says["socket"] == "17.9 W arrive and go on."
    assert says["charger"].endswith("4.62 W stay here as charging resistor.")
    assert "mainly leads" in says["leads"]


def test_a_thinned_outline_keeps_its_shape() -> None:
    angle = np.linspace(0.0, np.pi / 2, 400)
    radius = np.concatenate([np.linspace(0.0, 1e-3, 300), 1e-3 + 1e-4 * np.sin(angle)])
    depth = np.concatenate([np.zeros(300), 1e-4 * (1.0 - np.cos(angle))])
    drawn = thinned(radius, depth)
    kept_r, kept_z = numbers(drawn.radius_m), numbers(drawn.depth_m)
    assert len(kept_r) < 250
    assert (kept_r[0], kept_r[-1]) == (np.float32(radius[0]), np.float32(radius[-1]))
    assert np.all(np.abs(np.interp(radius, kept_r, kept_z) - depth) < 20 * FLATNESS)


def test_a_section_has_a_frame_for_each_shape() -> None:
    pictures = made_up.pictures()
    work = (pictures.hole_radius_m, pictures.hole_depth_m)
    tool = (pictures.electrode_radius_m, pictures.electrode_depth_m)
    frames = tuple(Frame(time=float(n), depth=1e-4 * n, work=work, tool=tool) for n in range(3))
    drawn = section_drawing(pictures, frames)
    assert [frame.time_s for frame in drawn.frames] == [0.0, 1.0, 2.0]
    assert drawn.thickness_m == pictures.thickness_m


def test_curves_have_one_length() -> None:
    depth, sparks = depth_drawing(made_up.pictures()), spark_drawing(made_up.pictures())
    assert len({each.shape for each in (depth.time_s, depth.low_m, depth.median_m, depth.high_m)}) == 1
    assert len({each.shape for each in (sparks.time_s, sparks.store_v, sparks.gap_v, sparks.gap_a)}) == 1
