"""A sheet that gives way."""

import pytest

from gapwright.base.errors import InputRefused
from gapwright.hole.sheet import clamped_deflection
from tests.printed import printed


@pytest.mark.source(
    "beam-theory", "F l³/(3 E I) with I = w t³/12, worked by hand: 0.1 N, 10 mm, 0.15 mm, 200 GPa"
)
def test_a_cantilever_by_hand():
    inertia = 10e-3 * 0.15e-3**3 / 12.0
    by_hand = 0.1 * 10e-3**3 / (3.0 * 200e9 * inertia)
    found = clamped_deflection(0.1, overhang=10e-3, thickness=0.15e-3, modulus=200e9)
    assert found == pytest.approx(by_hand, rel=1e-12)
    assert 1e6 * found == printed("59.3")
    half = clamped_deflection(0.1, overhang=10e-3, thickness=0.15e-3, modulus=200e9, width=20e-3)
    assert half == pytest.approx(0.5 * found, rel=1e-12)


@pytest.mark.source("beam-theory", "no sheet without thickness")
def test_a_sheet_without_thickness_is_refused():
    with pytest.raises(InputRefused, match="thickness must be above 0 m"):
        clamped_deflection(0.1, overhang=10e-3, thickness=0.0, modulus=200e9)
