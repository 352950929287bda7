"""Quantities as people write and read them: ``"47 uH"`` in, ``47 µH`` out.

Inside gapwright every number is an SI float. Text becomes a float here when a
file or option is read, and a float becomes text here when it is shown.
"""

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from gapwright.base.errors import InputRefused
from gapwright.base.symbols import (
    CELSIUS,
    NOUNS,
    PREFIX_WORDS,
    PREFIXES,
    Dimension,
    noun_of,
    respellings,
    tidy_symbol,
    unit_scale,
)

LONGEST_TEXT = 60
"""Characters that a written quantity may have."""

_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_WRITTEN = re.compile(rf"({_NUMBER})[ \u00a0\u2009\u202f]*(.*)")
_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]")
_NOT_FINITE = re.compile(r"[+-]?(?:nan|inf(?:inity)?)\b", re.IGNORECASE)
_ZERO_CELSIUS = Fraction("273.15")

_SHOWN_IN = {"S/m": ("µS/cm", 1e-4), "m³/s": ("mL/min", 1e-6 / 60)}
_UNSCALED = frozenset({"", "K", "°C", "%", "K/W", "rpm", "1/s"})
_NOT_ABOVE_ONE = frozenset({"s", "m", "rad", "m/s", "m/s²"})
_POWERS = {"m²": 2, "m³": 3}
_PREFIX_OF = {power: prefix for prefix, power in PREFIXES.items()} | {0: ""}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A written quantity: its value in SI units and its dimension."""

    value: float
    dimension: Dimension

    @property
    def unit(self) -> str:
        """SI unit of the value, where it has a name here; empty for a pure number."""
        return noun_of(self.dimension)[1]


class Unread(ValueError):
    """Why a text is not the quantity that was wanted; lacks the name of what was asked."""


def shown(text: str) -> str:
    """Text in quotes on one line: control characters escaped, long text cut short."""
    cut = text if len(text) <= LONGEST_TEXT else text[:LONGEST_TEXT] + "…"
    inner = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in cut)
    return f'"{inner}"'


def with_article(noun: str) -> str:
    """Put "a" or "an" before a noun."""
    return f"an {noun}" if noun[:1] in "aeio" else f"a {noun}"


def _wanted(unit: str) -> str:
    noun = NOUNS.get(unit, "quantity")
    return with_article(noun) + (f" in {unit}" if unit else "")


def _number_and_unit(text: str, unit: str) -> tuple[str, str]:
    if len(text) > LONGEST_TEXT:
        raise Unread(f"must be written in at most {LONGEST_TEXT} characters, got {len(text)}")
    if _NOT_FINITE.match(text.strip()):
        raise Unread(f"must be a finite number, got {shown(text)}; give {_wanted(unit)}")
    if _COMMA.match(text.strip()):
        advice = (
            f"; write {shown(text.replace(',', '.'))}" if text.count(",") == 1 and "." not in text else ""
        )
        raise Unread(f"must have a decimal point, not a comma, got {shown(text)}{advice}")
    match = _WRITTEN.fullmatch(text.strip())
    if match is None:
        raise Unread(f"must be {_wanted(unit)}, written as number and unit, got {shown(text)}")
    return match.group(1), match.group(2)


def _strict_reading(symbol: str) -> str:
    """Say what a symbol such as ``mh`` would be if it were taken at its word."""
    prefix, hour = symbol[:-1].replace("u", "µ"), symbol[-1:]
    return f" would be {PREFIX_WORDS[prefix]}-hours" if hour == "h" and prefix in PREFIX_WORDS else ""


def _unknown_unit(text: str, number: str, symbol: str, unit: str) -> Unread:
    scale = unit_scale(unit)
    better = respellings(symbol, scale.dimension) if scale else ()
    if tidy_symbol(symbol).replace("u", "µ") in PREFIXES and unit:
        better = (tidy_symbol(symbol) + unit,)
    remark = _strict_reading(tidy_symbol(symbol)) or " is not a unit known here"
    advice = f"; write {' or '.join(shown(f'{number} {b}') for b in better)}" if better else ""
    case = " (capital and small letters differ)" if better else ""
    return Unread(f"must be {_wanted(unit)}, got {shown(text)}, but {shown(symbol)}{remark}{case}{advice}")


def _wrong_dimension(text: str, unit: str, dimension: Dimension) -> Unread:
    number, symbol = _number_and_unit(text, unit)
    noun, si = noun_of(dimension)
    got = with_article(noun) + (f" in {si}" if si else "") if noun else "something else"
    scale = unit_scale(unit)
    better = respellings(symbol, scale.dimension) if scale else ()
    advice = f"; did you mean {' or '.join(shown(f'{number} {b}') for b in better)}?" if better else ""
    return Unread(f"must be {_wanted(unit)}, got {shown(text)}, which is {got}{advice}")


def _finite(value: Fraction, text: str) -> float:
    try:
        return float(value)
    except OverflowError:
        raise Unread(f"must be a finite number, got {shown(text)}") from None


def read_quantity(text: str, unit: str) -> float:
    """Value of a written quantity in the SI unit `unit`.

    Raises
    ------
    Unread
        If the text is not such a quantity; says the rule, what was got and what to write.
    """
    number, symbol = _number_and_unit(text, unit)
    wanted = unit_scale(unit)
    if wanted is None:
        raise Unread(f"is asked in {shown(unit)}, which is not a unit known here")
    if not symbol and unit:
        raise Unread(
            f"= {shown(text)} has no unit; it would mean {number} {unit}; write {shown(f'{number} {unit}')}"
        )
    if symbol in CELSIUS and unit == "K":
        return _finite(Fraction(number) + _ZERO_CELSIUS, text)
    scale = unit_scale(symbol)
    if scale is None:
        raise _unknown_unit(text, number, symbol, unit)
    if scale.dimension != wanted.dimension:
        raise _wrong_dimension(text, unit, scale.dimension)
    return _finite(Fraction(number) * scale.factor / wanted.factor, text)


def any_quantity(text: str) -> Reading:
    """Value and dimension of a written quantity whose unit is not known beforehand.

    Raises
    ------
    Unread
        If the text is not a quantity.
    """
    number, symbol = _number_and_unit(text, "")
    scale = unit_scale(symbol)
    if scale is None:
        raise Unread(f"must be a quantity, got {shown(text)}, but {shown(symbol)} is not a unit known here")
    return Reading(value=_finite(Fraction(number) * scale.factor, text), dimension=scale.dimension)


def quantity(text: str, unit: str, *, name: str = "the value") -> float:
    """Value of a written quantity in the SI unit `unit`; `name` begins the refusal.

    Raises
    ------
    InputRefused
        If the text is not a quantity of that dimension.

    Examples
    --------
    >>> quantity("47 uH", "H")
    4.7e-05
    >>> quantity("47 V", "H", name="coil.inductance")
    Traceback (most recent call last):
    ...
    gapwright.base.errors.InputRefused: coil.inductance must be an inductance in H, got "47 V",
    which is a voltage in V
    """
    try:
        return read_quantity(text, unit)
    except Unread as fault:
        raise InputRefused(f"{name} {fault}") from None


def _rounded(value: float, digits: int) -> str:
    """Digits of a value without exponent, trailing zeros dropped."""
    text = f"{value:.{digits}g}"
    if "e" in text:
        text = f"{float(text):.{max(digits - 1 - math.floor(math.log10(abs(value))), 0)}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    return text


def _prefix_power(size: float, unit: str, digits: int) -> int:
    """Power of ten of the prefix that brings the size to between 1 and 1000, from 0.1 up for m²."""
    exponent = _POWERS.get(unit, 1)
    order = math.floor(math.log10(float(f"{size:.{digits - 1}e}")))
    power = 3 * exponent * ((order + exponent - 1) // (3 * exponent))
    return min(power, 0) if unit in _NOT_ABOVE_ONE or unit in _POWERS else power


def printed_quantity(value: float, unit: str, *, digits: int = 3) -> str:
    """Value with its unit for a reader, with a prefix where one helps.

    Examples
    --------
    >>> printed_quantity(47e-6, "H")
    '47 µH'
    >>> printed_quantity(5e-4, "S/m")
    '5 µS/cm'
    """
    symbol, factor = _SHOWN_IN.get(unit, (unit, 1.0))
    amount = value / factor
    if not math.isfinite(amount) or amount == 0 or unit in _UNSCALED or unit in _SHOWN_IN:
        return f"{amount:.{digits}g} {symbol}".rstrip()
    amount, unit = (value * 1000, "g") if unit == "kg" else (value, unit)
    power = _prefix_power(abs(amount), unit, digits)
    prefix = _PREFIX_OF.get(power // _POWERS.get(unit, 1))
    if prefix is None:
        return f"{amount:.{digits}g} {unit}"
    return f"{_rounded(amount / 10.0**power, digits)} {prefix}{unit}"
