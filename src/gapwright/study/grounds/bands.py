"""Bands over members: median, 5th and 95th percentile, and how well their ends are known."""

from collections.abc import Sequence
from math import ceil, floor, isfinite, sqrt

import numpy as np

from gapwright.study.grounds.outcome import Banded

LOW, HIGH = 0.05, 0.95


def banded(values: Sequence[float]) -> Banded:
    """Band of values in which an unfinished member counts as infinite; NaN are left out.

    Percentiles are members' own values, never a mean of two, so that an
    infinite one stays infinite.

    Examples
    --------
    >>> banded([1.0, 2.0, 3.0, float("inf")])
    Banded(median=2.0, low=1.0, high=None)
    """
    known = np.sort([v for v in values if not np.isnan(v)])
    if len(known) == 0:
        return Banded(median=None, low=None, high=None)
    low, median, high = np.quantile(known, [LOW, 0.5, HIGH], method="inverted_cdf")
    return Banded(median=_finite(median), low=_finite(low), high=_finite(high))


def same(value: float) -> Banded:
    """Band of a number that does not spread."""
    return Banded(median=value, low=value, high=value)


def _finite(value: float) -> float | None:
    return float(value) if isfinite(value) else None


def middle_error(values: Sequence[float]) -> tuple[float, float] | None:
    """Between what values the median lies, at one standard deviation of its rank; NaN are left out.

    None if that reaches an unfinished member or beyond the members.

    Examples
    --------
    >>> middle_error([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0])
    (3.0, 6.0)
    """
    known = np.sort([v for v in values if not np.isnan(v)])
    middle, spread = 0.5 * (len(known) - 1), 0.5 * sqrt(len(known))
    first, last = floor(middle - spread), ceil(middle + spread)
    if first < 0 or last >= len(known) or not isfinite(known[last]):
        return None
    return float(known[first]), float(known[last])


def beyond_ends(count: int) -> float:
    """Share of all members that lie beyond an end of the band which is the outermost of `count` of them.

    The mean share of a population beyond the greatest of n drawn from it is 1 / (n + 1).

    Examples
    --------
    >>> print(f"{beyond_ends(8):.2f}")
    0.11
    """
    return 1.0 / (count + 1)


def end_error(values: Sequence[float]) -> tuple[float, float] | None:
    """Between what values the upper end of the band lies, at one standard deviation of its rank.

    The rank of a quantile p among n members has the deviation sqrt(n p (1 - p)).
    None if that reaches an unfinished member or beyond the members.
    """
    known = np.sort([v for v in values if not np.isnan(v)])
    n = len(known)
    if n == 0:
        return None
    middle, spread = HIGH * n, sqrt(n * HIGH * (1.0 - HIGH))
    first, last = int(middle - spread) - 1, int(middle + spread)
    if first < 0 or last >= n or not isfinite(known[last]):
        return None
    return float(known[first]), float(known[last])
