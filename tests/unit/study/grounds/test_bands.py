"""Bands over members."""

from math import inf, nan

import numpy as np
import pytest

from gapwright.study.grounds.bands import banded, beyond_ends, end_error, middle_error, same
from gapwright.study.grounds.outcome import Banded


def test_percentiles_are_members_own_values() -> None:
    values = [float(k) for k in range(1, 101)]
    assert banded(values) == Banded(median=50.0, low=5.0, high=95.0)


def test_an_unfinished_member_counts_as_infinite() -> None:
    assert banded([1.0, inf, inf]) == Banded(median=None, low=1.0, high=None)


def test_what_is_not_known_is_left_out() -> None:
    assert banded([nan, 2.0]) == same(2.0)
    assert banded([nan]) == Banded(median=None, low=None, high=None)


def test_the_end_of_a_band_lies_between_two_ranks() -> None:
    low, high = end_error([float(k) for k in range(1, 1001)]) or (nan, nan)
    assert low < 950.0 < high
    assert high - low == pytest.approx(2 * (1000 * 0.95 * 0.05) ** 0.5, rel=0.2)


def test_the_end_is_unknown_from_few_or_unfinished_members() -> None:
    assert end_error([1.0, 2.0]) is None
    assert end_error([1.0] * 50 + [inf] * 10) is None


def test_the_middle_of_few_lies_between_the_ranks_beside_it() -> None:
    """The rank of a median among n has the deviation sqrt(n) / 2."""
    assert middle_error([float(k) for k in range(1, 17)]) == (6.0, 11.0)
    assert middle_error([1.0, 2.0, 3.0, 4.0, nan]) == (1.0, 4.0)
    assert middle_error([1.0, 2.0, 3.0, inf]) is None
    assert middle_error([1.0, nan]) is None
    assert middle_error([]) is None


def test_the_share_beyond_the_outermost_of_few() -> None:
    """Against drawing: the mean share of an even population beyond the greatest of eight."""
    drawn = np.random.default_rng(1).random((20_000, 8)).max(axis=1)
    assert 1.0 - drawn.mean() == pytest.approx(beyond_ends(8), rel=0.02)
