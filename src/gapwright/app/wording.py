"""How a number is written for a person: unit, rounding and band.

A value is rounded to the place that its band leaves meaningful; a band wider
than the value is written with two significant digits of the value.
"""

import math
from dataclasses import dataclass
from math import inf

from gapwright.study.grounds.outcome import Banded

GROUP = "\u202f"
"""Narrow space between groups of three digits."""

PREFIXES = (
    (1e9, "G"),
    (1e6, "M"),
    (1e3, "k"),
    (1.0, ""),
    (1e-3, "m"),
    (1e-6, "µ"),
    (1e-9, "n"),
    (1e-12, "p"),
)

TIMES = ((86400.0 * 2, 86400.0, "days"), (5400.0, 3600.0, "h"), (90.0, 60.0, "min"), (1.0, 1.0, "s"))

UNITS_OF_PRACTICE = {
    "mm": 1e-3,
    "µm": 1e-6,
    "mm/min": 1e-3 / 60.0,
    "mm³/min": 1e-9 / 60.0,
    "J/mm³": 1e9,
    "°": math.pi / 180.0,
    "µS/cm": 1e-4,
    "%": 0.01,
}
"""Units in which a bench speaks, and what one of them is in SI units."""

BEYOND_PRACTICE = {
    "J/mm³": ((1e15, inf, "MJ/mm³", 1e15), (1e13, 1e15, "kJ/mm³", 1e12)),
    "mm³/min": ((0.0, 0.01e-9 / 60.0, "mm³/h", 1e-9 / 3600.0),),
}
"""From where up to where (in SI units) another unit than that of practice is used: its name and size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A unit for print: its name and its size in SI units."""

    name: str
    size: float


def scale_for(value: float, unit: str) -> Scale:
    """Scale in which `value` (in SI `unit`) reads as a number between 1 and 1000."""
    amount = abs(value)
    if unit in UNITS_OF_PRACTICE:
        beyond = (one for one in BEYOND_PRACTICE.get(unit, ()) if amount and one[0] <= amount < one[1])
        name, size = next((one[2:] for one in beyond), (unit, UNITS_OF_PRACTICE[unit]))
        return Scale(name=name, size=size)
    if unit == "s" and amount >= 1.0:
        return next(Scale(name=name, size=size) for least, size, name in TIMES if amount >= least)
    if unit == "" or amount == 0.0 or not math.isfinite(amount):
        return Scale(name=unit, size=1.0)
    if unit == "m" and amount >= 1e-4:
        return Scale(name="mm", size=1e-3) if amount < 1.0 else Scale(name="m", size=1.0)
    for size, prefix in PREFIXES:
        if amount >= 0.9995 * size:
            return Scale(name=prefix + unit, size=size)
    return Scale(name="p" + unit, size=1e-12)


def rounded(value: float, place: int) -> str:
    """Digits of `value` rounded at the power of ten `place`: -2 keeps two decimals."""
    number = round(value, -place) + 0.0  # never a negative zero
    text = f"{number:.{max(-place, 0)}f}"
    return f"{number:,.0f}".replace(",", GROUP) if place >= 0 and abs(number) >= 1e4 else text


def suffix(name: str) -> str:
    """A unit as it follows a number: a space before it, except for degrees of angle."""
    return f" {name}" if name and name != "°" else name


def leading_place(value: float) -> int:
    """Power of ten of the first digit of `value`; 0 for zero."""
    return math.floor(math.log10(abs(value))) if value else 0


def place_for(values: Banded, size: float) -> int:
    """Power of ten at which numbers of a band are rounded, in units of `size`."""
    known = [v / size for v in (values.low, values.median, values.high) if v is not None]
    if not known:
        return 0
    middle = known[len(known) // 2] if values.median is None else values.median / size
    spread = (max(known) - min(known)) / 2.0
    by_digits = leading_place(middle) - 1
    if spread <= abs(middle) * 1e-6:
        return by_digits - 1
    return max(min(leading_place(spread), by_digits), by_digits - 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class BandText:
    """A banded number in print: the middle with its unit, and the band with its unit."""

    middle: str
    band: str

    def __str__(self) -> str:
        """Middle and band in one phrase."""
        return f"{self.middle} ({self.band})" if self.band else self.middle


def banded_text(value: Banded, unit: str, *, missing: str = "never") -> BandText:
    """A number with its band, as a person reads it.

    `unit` is an SI unit, which takes the prefix that fits the median, or a unit of
    practice. `missing` is written where the value is None.
    """
    anchor = value.median if value.median is not None else value.low
    if anchor is None:
        return BandText(middle=missing, band="")
    scale = scale_for(anchor, unit)
    place = place_for(value, scale.size)

    def text(number: float | None) -> str:
        return missing if number is None else rounded(number / scale.size, place)

    name = suffix(scale.name)
    low, high = text(value.low), text(value.high)
    middle = text(value.median) + (name if value.median is not None else "")
    if low == high:
        return BandText(middle=middle, band="")
    if value.low is None:
        return BandText(middle=middle, band=f"up to {high}{name}")
    if value.high is None:
        return BandText(middle=middle, band=f"{low}{name} to {high}" if missing else f"from {low}{name}")
    return BandText(middle=middle, band=f"{low} to {high}{name}")


def quantity_text(value: float, unit: str, *, digits: int = 3) -> str:
    """One number with its unit and prefix, with `digits` significant digits."""
    scale = scale_for(value, unit)
    number = float(f"{value / scale.size:.{digits}g}")
    text = rounded(number, min(leading_place(number) - digits + 1, 0)) if number else "0"
    return text + suffix(scale.name)


def share_text(share: float) -> str:
    """A share as percent, with as many digits as tell it from its neighbours."""
    percent = 100.0 * share
    amount = abs(percent)
    if amount == 0.0:
        return "0 %"
    if amount < 0.01:
        return "< 0.01 %" if percent > 0 else "> -0.01 %"
    places = 0 if amount >= 9.95 else 1 if amount >= 0.95 else 2
    return f"{percent:.{places}f} %"


def counted(number: float, one: str, many: str) -> str:
    """A number of things in words: '1 spark', '3 sparks'."""
    return f"{number:.12g} {one if number == 1 else many}"
