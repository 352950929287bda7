"""What is kept near the front and tip agrees with a look at the whole of both surfaces."""

import numpy as np
import pytest

from gapwright.hole._kernel import ring_areas
from gapwright.hole._kernel_gap import look_again, refresh_gaps
from gapwright.study.drilling._kernel_spark import gap_shape, refresh_hazard
from gapwright.study.drilling.drilling import Luck, course
from gapwright.study.drilling.one_member import tip_of
from gapwright.study.grounds import _drilling_state as state
from tests.unit.study.benches import FIRST
from tests.unit.study.drilled import charge, made, setting_of

DEEP = 1.3e-3


def test_a_deep_hole_is_known_as_well_as_if_it_were_looked_at_whole() -> None:
    """More than half of a hole 1.3 mm deep lies beyond the window."""
    s = setting_of(FIRST, 1.5e-3, 8)._replace(through=0.0, target=DEEP)
    done = course(s, charge(FIRST), tip=tip_of(made(FIRST)), luck=Luck(seed=6, member=0))
    assert done is not None
    assert done.ended == "at depth"
    (work_r, work_z), (tool_r, tool_z) = done.work, done.tool
    n = len(work_r)
    marks, near = np.zeros(n, dtype=np.int8), np.zeros(n, dtype=np.int64)
    gap, area, hazard = np.ones(n), np.zeros(n), np.zeros(n)
    refresh_gaps(
        work_r, work_z, marks, tool_r, tool_z, np.array([n, len(tool_r)]), float(done.numbers[state.DEPTH]),
        True, near, gap,
    )  # fmt: skip
    ring_areas(work_r, work_z, n, 0, n, area)
    num = np.zeros(state.NUMBERS)
    refresh_hazard(s, 0, n, marks, area, gap, hazard, num)
    assert done.numbers[state.HAZARD] == pytest.approx(num[state.HAZARD], rel=0.02)
    assert done.numbers[state.SHAPE] == pytest.approx(gap_shape(s, 0, n, marks, area, gap), rel=0.02)
    assert done.numbers[state.FAR_HAZARD] > 0.0
    assert done.numbers[state.FRONT] == pytest.approx(work_z.max(), rel=1e-3)
    assert done.numbers[state.TIP] == pytest.approx(tool_z.min(), rel=0.05)


def test_a_search_on_the_wrong_side_of_a_bore_is_made_good() -> None:
    tool_r = np.array([0.1e-3, 0.1e-3, 0.25e-3, 0.25e-3])
    tool_h = np.array([1e-3, 0.0, 0.0, 1e-3])
    work_r, work_z = np.array([0.08e-3]), np.array([-0.5e-3])  # a core beside the bore's wall
    near, gap, marks = np.array([2]), np.array([0.17e-3]), np.zeros(1, dtype=np.int8)
    look_again(work_r, work_z, marks, 0, 1, tool_r, tool_h, 4, 0, 4, 0.0, near, gap)
    assert near[0] == 0
    assert gap[0] == pytest.approx(20e-6, rel=1e-9)
