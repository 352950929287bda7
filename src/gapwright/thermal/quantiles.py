"""From a chance between 0 and 1 to the value of an uncertain constant.

Members of a forecast carry evenly spread chances; these turn them into
constants one by one, without rejecting any, so that even stays even.
"""

import math

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Number
from gapwright.thermal._kernel import Z95, normal_quantile, normal_share, split_quantile


def require_chance(chance: Number) -> None:
    """Refuse a chance that is not strictly between 0 and 1.

    Parameters
    ----------
    chance
        Number that must lie between 0 and 1.

    Raises
    ------
    InputRefused
        If it is not.
    """
    if not 0.0 < chance < 1.0:
        raise InputRefused(f"chance must be strictly between 0 and 1, got {chance:g}")


def require_band(median: float, low: float, high: float) -> None:
    """Refuse a band whose ends do not embrace its median, or that reaches 0.

    Raises
    ------
    InputRefused
        If it does not satisfy 0 < low <= median <= high.
    """
    require_positive("low", low, "")
    require_positive("high", high, "")
    if not low <= median <= high:
        raise InputRefused(f"a band must satisfy low <= median <= high, got {low:g}, {median:g}, {high:g}")


def banded_quantile(
    chance: Number,
    *,
    median: Number,
    low: Number,
    high: Number,
    floor: Number = 0.0,
    ceiling: Number = math.inf,
) -> Number:
    r"""Value of a log-normal constant at a chance, each side with its own spread.

    Parameters
    ----------
    chance
        Share of members below the value, strictly between 0 and 1.
    median
        Median before cutting, in any unit.
    low
        5th percentile before cutting, above 0 and at most the median.
    high
        95th percentile before cutting, at least the median.
    floor
        Value below which the distribution is cut off, at least 0.
    ceiling
        Value above which it is cut off, above the floor.

    Returns
    -------
    value
        The value, in the unit of the median.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: x = m \left(\frac{h}{m}\right)^{z/z_{95}} \;(z > 0), \quad
              x = m \left(\frac{l}{m}\right)^{-z/z_{95}} \;(z \le 0)

    with z the standard normal quantile of the chance among what is not cut off.
    Holds for positive constants. Leaves out: dependence between constants.

    References
    ----------
    definition

    Examples
    --------
    >>> print(f"{banded_quantile(0.95, median=0.2, low=0.05, high=0.6):.2f}")
    0.60
    """
    require_chance(chance)
    require_band(median, low, high)
    if not 0.0 <= floor < ceiling:
        raise InputRefused(f"floor must be at least 0 and below the ceiling, got {floor:g} and {ceiling:g}")
    below = _share_below(floor, median, low, high)
    above = _share_below(ceiling, median, low, high)
    if not above > below:
        raise InputRefused(
            f"floor {floor:g} and ceiling {ceiling:g} leave nothing of the band from {low:g} to {high:g}"
        )
    return split_quantile(below + chance * (above - below), median, low, high)


def _share_below(value: float, median: float, low: float, high: float) -> float:
    """Share of an uncut split log-normal that lies below a value."""
    if value <= 0.0:
        return 0.0
    if math.isinf(value):
        return 1.0
    end = high if value > median else low
    if end == median:
        return 0.5 if value == median else float(value > median)
    return normal_share(Z95 * math.log(value / median) / abs(math.log(end / median)))


def standard_normal_quantile(chance: Number) -> Number:
    r"""Standard normal quantile.

    Parameters
    ----------
    chance
        Share of a standard normal population below the value, strictly between 0 and 1.

    Returns
    -------
    quantile
        The value.

    Raises
    ------
    InputRefused
        If the chance is not strictly between 0 and 1.

    Notes
    -----
    .. math:: \Phi(z) = p

    Holds to 15 digits, for chances from 1e-300. Leaves out: nothing known.

    References
    ----------
    computed, by Wichura (1988), algorithm AS 241, Applied Statistics 37

    Examples
    --------
    >>> print(f"{standard_normal_quantile(0.95):.4f}")
    1.6449
    """
    require_chance(chance)
    return normal_quantile(chance)
