"""What holes in a row cost, against drilling them one by one."""

from math import inf

import numpy as np
import pytest

from gapwright.study.forecast.row_account import Dressing, account, holes_on_one, left_after, total


@pytest.mark.parametrize(("wears", "after", "cut", "count"), [
    ([2.0, 3.0, 1.0], 3, 0.7, 50), ([1.0], 1, 0.0, 7), ([4.0, 4.0], 2, 5.0, 13), ([0.3, 0.1], 2, 0.05, 400),
])  # fmt: skip
def test_the_account_agrees_with_drilling_hole_by_hole(
    wears: list[float], after: int, cut: float, count: int
) -> None:
    standing = 10.0
    left, place, electrodes, cuts, used = standing, 0, 1, 0, 0.0
    for _ in range(count):
        wear, due = wears[place % after], place > 0 and place % after == 0
        if wear + (cut if due else 0.0) > left + 1e-9:
            electrodes, left, place, due = electrodes + 1, standing, 0, False
            wear = wears[0]
        left -= wear + (cut if due else 0.0)
        used += wear + (cut if due else 0.0)
        cuts, place = cuts + due, place + 1
    plan = Dressing(after=after, cut=cut, planned=True)
    found = account(wears, dressing=plan, standing=standing, count=count)
    assert (found.electrodes, found.dressings, found.changes) == (electrodes, cuts, electrodes - 1)
    assert found.per_electrode == holes_on_one(wears, cut=cut, standing=standing)


def test_wear_in_all_is_each_hole_s_own_sum() -> None:
    plan = Dressing(after=2, cut=0.0, planned=True)
    # 5, 3, then 4 (the third hole again), 3, 4, 3, 4.
    assert total([5.0, 3.0, 4.0], plan, 7) == 26.0
    assert total([5.0, 3.0, 4.0], None, 5) == 20.0
    assert total([5.0, 3.0, 4.0], Dressing(after=1, cut=0.0, planned=False), 4) == 20.0


def test_an_electrode_that_does_not_last_is_set_anew_before_the_hole() -> None:
    left = left_after([4.0, 4.0, 4.0, inf], dressing=None, standing=10.0)
    assert left[:3] == [6.0, 2.0, 6.0]
    assert np.isnan(left[3])


def test_an_electrode_that_does_not_wear_is_counted_for_no_number_of_holes() -> None:
    found = account([0.0], dressing=None, standing=10.0, count=5)
    assert np.isnan(found.per_electrode)
    assert (found.electrodes, found.changes, found.length) == (1.0, 0.0, 0.0)
