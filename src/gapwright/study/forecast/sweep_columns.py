"""Which figures of a sweep are shown first, what they are called, and their units."""

from collections.abc import Sequence

from gapwright.study.forecast.sweep import Point

CHOSEN = (
    "spark_rate_hz",
    "spark_energy_j",
    "spark_peak_current_a",
    "spark_duration_s",
    "spark_left_voltage_v",
    "arc_share",
    "least_margin",
    "through_share",
    "time_s",
    "entry_diameter_m",
    "wear_length_m",
    "ra_m",
)
"""Figures that are shown, in this order, where a sweep has them."""

UNITS = {
    "_m3_per_s": "m³/s",
    "_j_per_m3": "J/m³",
    "_hz": "Hz",
    "_rad": "rad",
    "_j": "J",
    "_a": "A",
    "_v": "V",
    "_s": "s",
    "_c": "C",
    "_m": "m",
}
"""Unit that the end of a name stands for."""


def columns_of(points: Sequence[Point]) -> list[str]:
    """Figures to show of these points."""
    there = {name for point in points for name in point.figures}
    return [name for name in CHOSEN if name in there]


def _ending(name: str) -> str:
    return next((end for end in UNITS if name.endswith(end)), "")


def column_unit(name: str) -> str:
    """SI unit of a figure, from its name; empty for a pure number.

    Examples
    --------
    >>> column_unit("spark_peak_current_a"), column_unit("least_margin")
    ('A', '')
    """
    return UNITS.get(_ending(name), "")


SHORT = {
    "spark_rate_hz": "rate",
    "spark_energy_j": "energy",
    "spark_peak_current_a": "peak",
    "spark_duration_s": "lasts",
    "spark_left_voltage_v": "left",
    "arc_share": "arc share",
    "least_margin": "margin",
    "through_share": "through",
    "time_s": "time",
    "entry_diameter_m": "entry",
    "wear_length_m": "wear",
    "ra_m": "Ra",
}
"""Names of columns in a narrow table."""


def column_title(name: str) -> str:
    """Name of a figure in words.

    Examples
    --------
    >>> column_title("spark_peak_current_a")
    'spark peak current'
    """
    return name.removesuffix(_ending(name)).replace("_", " ")
