import base64

import numpy as np
import pytest

from gapwright.app.drawing import Array
from gapwright.app.drilling_drawing import CLASS_MEANS, class_shares, drilling_drawing
from gapwright.study.drilling.playback import CLASSES
from gapwright.study.grounds.outcome import ClassShare
from tests import made_up
from tests.made_up_records import recorded


def numbers(of: Array) -> np.ndarray:
    return np.frombuffer(base64.b64decode(of.f32), dtype="<f4").reshape(of.shape)


def test_a_drilling_is_drawn_as_it_was_kept() -> None:
    kept = recorded()
    drawn = drilling_drawing(kept, made_up.forecast(), made_up.pictures())
    assert [frame.time_s for frame in drawn.frames] == [frame.time_s for frame in kept.playback.frames]
    last, was = drawn.frames[-1], kept.playback.frames[-1]
    assert numbers(last.sparks.radius_m) == pytest.approx(np.asarray(was.sparks.radius_m), rel=1e-6)
    assert last.sparks.kind == was.sparks.kind
    assert numbers(last.hole.depth_m).max() == pytest.approx(max(was.hole.depth_m), rel=1e-6)
    counts = numbers(drawn.history.class_count)
    assert counts.sum() == kept.history.class_count.sum()
    assert drawn.gets_through
    assert drawn.ignition.endswith(".")


def test_shares_of_classes_are_of_all_discharges() -> None:
    found = class_shares(
        {
            "open": ClassShare(count=0, time_share=0.3),
            "normal": ClassShare(count=60, time_share=0.5),
            "short": ClassShare(count=20, time_share=0.2),
        }
    )
    assert [each.share for each in found] == [0.0, 0.75, 0.25]
    assert found[0].says == "30 % of the time"
    assert "60 discharges" in found[1].says


def test_nothing_is_shared_where_nothing_discharged() -> None:
    found = class_shares({"normal": ClassShare(count=0, time_share=0.0)})
    assert found[0].share == 0.0


def test_every_class_is_explained() -> None:
    assert set(CLASS_MEANS) == set(CLASSES)
