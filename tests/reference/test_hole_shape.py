"""Geometry of holes against closed forms."""

import numpy as np
import pytest

from gapwright.hole.shape import hole_volume, radius_at
from tests.printed import printed


@pytest.mark.source("computed", "volume of a cone, a third of its cylinder (Euclid, Elements XII.10)")
def test_a_conical_hole_is_a_third_of_its_cylinder() -> None:
    cone = hole_volume(np.array([0.0, 0.3e-3]), np.array([1e-3, 0.0]))
    cylinder = hole_volume(np.array([0.0, 0.3e-3, 0.3e-3]), np.array([1e-3, 1e-3, 0.0]))
    assert cone == pytest.approx(cylinder / 3.0, rel=1e-12)


@pytest.mark.source("computed", "a 0.6 mm hole 1.5 mm deep: pi/4 d² t")
def test_volume_of_a_drilled_hole() -> None:
    assert 1e9 * hole_volume(np.array([0.0, 0.3e-3, 0.3e-3]), np.array([1.5e-3, 1.5e-3, 0.0])) == printed(
        "0.4241"
    )


@pytest.mark.source("computed", "similar triangles")
def test_radius_half_way_up_a_cone() -> None:
    assert 1e3 * radius_at(np.array([0.0, 0.3e-3]), np.array([1e-3, 0.0]), 0.5e-3) == printed("0.150")
