"""Preferred values of resistors, capacitors and coils."""

from functools import cache
from math import floor, log, log10

from gapwright.base.checks import require_positive
from gapwright.facts._reading import data, missing


def series_names() -> tuple[str, ...]:
    """Names of the series, coarsest first."""
    return tuple(data("series"))


@cache
def preferred_values(series: str) -> tuple[float, ...]:
    """Values of one decade, from 1 to below 10, as the standard lists them.

    Raises
    ------
    FactMissing
        If there is no such series.

    Examples
    --------
    >>> preferred_values("E6")
    (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)
    """
    table = data("series")
    if series not in table:
        raise missing("the series", series, table, table="series")
    return tuple(float(value) for value in table[series]["value"])


def _around(value: float, series: str) -> list[float]:
    """Preferred values of the decade of `value` and of its neighbours, exact as decimals, ascending."""
    decade = floor(log10(value))
    steps = preferred_values(series)
    return [float(f"{step}e{power}") for power in range(decade - 1, decade + 2) for step in steps]


def nearest_preferred(value: float, series: str = "E12") -> float:
    """Preferred value with the smallest ratio to `value`, up or down.

    Ratios decide, not differences: 90.9 µH lies nearer to 82 µH by difference,
    but a step of 1.109 from it against 1.100 from 100 µH.

    Raises
    ------
    InputRefused
        If `value` is not above 0.
    FactMissing
        If there is no such series.

    Examples
    --------
    >>> nearest_preferred(90.9e-6, "E12")
    0.0001
    """
    require_positive("value", value, "")
    return min(_around(value, series), key=lambda candidate: abs(log(candidate / value)))


def neighbours(value: float, series: str = "E12") -> tuple[float, float]:
    """Preferred values next below and next above `value`; twice the value itself if it is one.

    Raises
    ------
    InputRefused
        If `value` is not above 0.
    FactMissing
        If there is no such series.

    Examples
    --------
    >>> neighbours(50e-6, "E12")
    (4.7e-05, 5.6e-05)
    """
    require_positive("value", value, "")
    around = _around(value, series)
    below = max(candidate for candidate in around if candidate <= value)
    above = min(candidate for candidate in around if candidate >= value)
    return below, above
