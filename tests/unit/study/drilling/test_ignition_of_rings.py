"""The drilling's hazard over rings, beside the law of one cell."""

import numpy as np
import pytest

from gapwright.gap._kernel import HazardConstants, ignition_weight
from gapwright.study.drilling._kernel_spark import gap_shape, refresh_hazard
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.member_setting import setting
from gapwright.study.grounds.uncertain import median_member, uncertain_constants
from tests.unit.study.benches import FIRST, demo
from tests.unit.study.drilled import charge


def the_setting() -> state.Setting:
    made = demo(FIRST)
    member = median_member(uncertain_constants(made.rig, made.job))
    return setting(made, member, charge(FIRST), spark_energy=1e-3, batch=1)


def test_the_sum_over_rings_is_that_of_the_law() -> None:
    s = the_setting()
    area, gap = np.full(5, 2e-8), np.array([5e-6, 10e-6, 15e-6, 40e-6, 1e-3])
    hazard, num = np.zeros(5), np.zeros(state.NUMBERS)
    refresh_hazard(s, 0, 5, np.zeros(5, dtype=np.int8), area, gap, hazard, num)
    law = HazardConstants(
        reference_time=1.0,
        reference_field=1.0,
        reference_area=1.0,
        exponent=s.exponent,
        reference_debris=0.02,
        intrinsic_field=50e6,
        smallest_gap=s.smallest_gap,
        memory_gain=0.0,
        memory_time=1e-6,
        memory_range=1e-6,
    )
    expected = sum(ignition_weight(g, a, 0.0, law) for g, a in zip(gap, area, strict=True))
    assert num[state.HAZARD] == pytest.approx(expected, rel=1e-6)  # the far ring counts nothing


def test_what_is_open_neither_ignites_nor_leaks() -> None:
    s = the_setting()
    area, gap = np.full(2, 2e-8), np.full(2, 10e-6)
    hazard, num = np.zeros(2), np.zeros(state.NUMBERS)
    marks = np.array([0, 1], dtype=np.int8)
    refresh_hazard(s, 0, 2, marks, area, gap, hazard, num)
    assert hazard[1] == 0.0
    assert gap_shape(s, 0, 2, marks, area, gap) == pytest.approx(2e-8 / 10e-6, rel=1e-12)
