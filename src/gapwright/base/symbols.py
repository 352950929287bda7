"""Unit symbols and what they are worth in SI units.

Symbols are case-sensitive. Micro may be written ``u``, ``µ`` (U+00B5) or ``μ``
(U+03BC), ohm as ``Ω`` (U+03A9 or U+2126), ``ohm`` or ``Ohm``. Symbols may be
joined by ``*`` or ``·``, divided by ``/`` and raised to whole powers:
``uS/cm``, ``mm/s²``, ``W/(m·K)``.
"""

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import islice, product
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint

Dimension = tuple[int, int, int, int, int, int]
"""Powers of kilogram, metre, second, ampere, kelvin and radian."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """What one of a unit is worth in SI units, exactly, and its dimension."""

    factor: Fraction
    dimension: Dimension

    def joined(self, other: "Scale", power: int) -> "Scale":
        """Product of this scale with a power of another."""
        kg, m, s, A, K, rad = (a + power * b for a, b in zip(self.dimension, other.dimension, strict=True))
        return Scale(factor=self.factor * other.factor**power, dimension=(kg, m, s, A, K, rad))


ONE = Scale(factor=Fraction(1), dimension=(0, 0, 0, 0, 0, 0))

PREFIXES: dict[str, int] = {"f": -15, "p": -12, "n": -9, "µ": -6, "m": -3, "k": 3, "M": 6, "G": 9, "T": 12}
"""Power of ten of each prefix."""

PREFIX_WORDS = {"µ": "micro", "m": "milli", "k": "kilo", "M": "mega", "n": "nano", "G": "giga", "p": "pico"}

_PREFIXED: dict[str, tuple[Fraction, Dimension]] = {
    "g": (Fraction(1, 1000), (1, 0, 0, 0, 0, 0)),
    "m": (Fraction(1), (0, 1, 0, 0, 0, 0)),
    "s": (Fraction(1), (0, 0, 1, 0, 0, 0)),
    "A": (Fraction(1), (0, 0, 0, 1, 0, 0)),
    "K": (Fraction(1), (0, 0, 0, 0, 1, 0)),
    "rad": (Fraction(1), (0, 0, 0, 0, 0, 1)),
    "Hz": (Fraction(1), (0, 0, -1, 0, 0, 0)),
    "C": (Fraction(1), (0, 0, 1, 1, 0, 0)),
    "V": (Fraction(1), (1, 2, -3, -1, 0, 0)),
    "Ω": (Fraction(1), (1, 2, -3, -2, 0, 0)),
    "ohm": (Fraction(1), (1, 2, -3, -2, 0, 0)),
    "Ohm": (Fraction(1), (1, 2, -3, -2, 0, 0)),
    "S": (Fraction(1), (-1, -2, 3, 2, 0, 0)),
    "F": (Fraction(1), (-1, -2, 4, 2, 0, 0)),
    "H": (Fraction(1), (1, 2, -2, -2, 0, 0)),
    "J": (Fraction(1), (1, 2, -2, 0, 0, 0)),
    "Wh": (Fraction(3600), (1, 2, -2, 0, 0, 0)),
    "W": (Fraction(1), (1, 2, -3, 0, 0, 0)),
    "N": (Fraction(1), (1, 1, -2, 0, 0, 0)),
    "Pa": (Fraction(1), (1, -1, -2, 0, 0, 0)),
    "bar": (Fraction(100_000), (1, -1, -2, 0, 0, 0)),
    "L": (Fraction(1, 1000), (0, 3, 0, 0, 0, 0)),
    "l": (Fraction(1, 1000), (0, 3, 0, 0, 0, 0)),
}

_WHOLE: dict[str, tuple[Fraction, Dimension]] = {
    "1": (Fraction(1), ONE.dimension),
    "%": (Fraction(1, 100), ONE.dimension),
    "cm": (Fraction(1, 100), (0, 1, 0, 0, 0, 0)),
    "inch": (Fraction(254, 10_000), (0, 1, 0, 0, 0, 0)),
    "min": (Fraction(60), (0, 0, 1, 0, 0, 0)),
    "h": (Fraction(3600), (0, 0, 1, 0, 0, 0)),
    "rpm": (Fraction(1, 60), (0, 0, -1, 0, 0, 0)),
    "psi": (Fraction("6894.757293168361"), (1, -1, -2, 0, 0, 0)),
    "°": (Fraction(math.pi) / 180, (0, 0, 0, 0, 0, 1)),
    "deg": (Fraction(math.pi) / 180, (0, 0, 0, 0, 0, 1)),
    "radian": (Fraction(1), (0, 0, 0, 0, 0, 1)),
    "degree": (Fraction(math.pi) / 180, (0, 0, 0, 0, 0, 1)),
    "percent": (Fraction(1, 100), ONE.dimension),
}

CELSIUS = frozenset({"°C", "degC", "celsius"})
"""Spellings of degrees Celsius, which may only stand alone: they count from another zero."""

NOUNS = {
    "": "pure number",
    "m": "length",
    "m²": "area",
    "m³": "volume",
    "s": "time",
    "Hz": "frequency",
    "V": "voltage",
    "A": "current",
    "Ω": "resistance",
    "S": "conductance",
    "S/m": "conductivity",
    "F": "capacitance",
    "H": "inductance",
    "C": "charge",
    "J": "energy",
    "W": "power",
    "K": "temperature",
    "K/W": "thermal resistance",
    "Pa": "pressure",
    "N": "force",
    "kg": "mass",
    "rad": "angle",
    "m/s": "speed",
    "m/s²": "acceleration",
    "m³/s": "flow",
}
"""What each SI unit measures."""

_ALIKE = str.maketrans({"μ": "µ", "\u2126": "Ω", "·": "*", "²": "^2", "³": "^3"})
_LETTERS = re.compile(r"([A-Za-zµΩ°%]+)")
_FACTOR = re.compile(r"([A-Za-zµΩ°%]+|1)(?:\^?(-?[1-9]))?")
_TRIES = 64


def _symbols() -> Iterator[tuple[str, Scale]]:
    for symbol, (factor, dimension) in (_PREFIXED | _WHOLE).items():
        yield symbol, Scale(factor=factor, dimension=dimension)
    for symbol, (factor, dimension) in _PREFIXED.items():
        for prefix, power in PREFIXES.items():
            scale = Scale(factor=factor * Fraction(10) ** power, dimension=dimension)
            yield prefix + symbol, scale
            if prefix == "µ":
                yield "u" + symbol, scale


SYMBOLS: dict[str, Scale] = dict(reversed(list(_symbols())))
"""Every symbol that is read without help; a whole symbol wins over a prefixed one."""

_SPELLINGS: dict[str, list[str]] = {}
for _symbol in SYMBOLS:
    _SPELLINGS.setdefault(_symbol.casefold(), []).append(_symbol)


def tidy_symbol(text: str) -> str:
    """Spell the two micro signs, the two ohm signs and the powers in one way."""
    return text.translate(_ALIKE).replace("**", "^").strip()


def _factor_scale(text: str) -> Scale | None:
    match = _FACTOR.fullmatch(text.strip())
    if match is None:
        return None
    symbol, power = match.group(1), int(match.group(2) or 1)
    scale = SYMBOLS.get(symbol) or worded_scale(symbol)
    return None if scale is None else ONE.joined(scale, power)


@lru_cache(maxsize=512)
def unit_scale(text: str) -> Scale | None:
    """Worth and dimension of a unit such as ``uS/cm``; None if it cannot be read."""
    top, *bottom = tidy_symbol(text).split("/") if text else ["1"]
    whole = ONE
    for part, sign in [(top, 1), *((below, -1) for below in bottom)]:
        inner = part.strip()
        if sign < 0 and inner.startswith("(") and inner.endswith(")"):
            inner = inner[1:-1]
        elif sign < 0 and "*" in inner:
            return None  # a/b*c can be read in two ways
        for factor in inner.split("*"):
            scale = _factor_scale(factor)
            if scale is None:
                return None
            whole = whole.joined(scale, sign)
    return whole


def respellings(text: str, dimension: Dimension) -> tuple[str, ...]:
    """Spellings of a unit that differ only in case and have the wanted dimension, nearest first."""
    pieces = _LETTERS.split(tidy_symbol(text))
    choices = [_SPELLINGS.get(piece.casefold(), [piece]) for piece in pieces]
    found: dict[str, None] = {}
    for choice in islice(product(*choices), _TRIES):
        spelling = "".join(choice)
        scale = unit_scale(spelling)
        if scale is not None and scale.dimension == dimension and spelling != tidy_symbol(text):
            found[spelling] = None
    return tuple(
        sorted(found, key=lambda spelling: sum(a != b for a, b in zip(spelling, text, strict=False)))
    )


def noun_of(dimension: Dimension) -> tuple[str, str]:
    """Name of what a dimension measures and its SI unit; empty if it has none here."""
    for unit, noun in NOUNS.items():
        scale = unit_scale(unit)
        if scale is not None and scale.dimension == dimension:
            return noun, unit
    return "", ""


_WORD = re.compile(r"[a-z]{4,24}")
_WORD_BASES = {"kilogram": 0, "meter": 1, "second": 2, "ampere": 3, "kelvin": 4}


@lru_cache(maxsize=1)
def _registry() -> "pint.UnitRegistry[float]":
    import pint  # slow to load, and only odd units need it

    return pint.UnitRegistry()


@lru_cache(maxsize=128)
def worded_scale(word: str) -> Scale | None:
    """Worth of a unit written out in small letters, such as ``microhenry``; None if unknown."""
    if not _WORD.fullmatch(word):
        return None
    import pint  # slow to load, and only odd units need it

    try:
        zero, one = (_registry().Quantity(value, word).to_base_units() for value in (0.0, 1.0))
    except (pint.PintError, AttributeError, ValueError, TypeError):
        return None
    bases = {base: float(f"{power}") for base, power in one.unit_items()}
    if zero.magnitude != 0 or not bases or not bases.keys() <= _WORD_BASES.keys():
        return None
    powers = [0] * len(ONE.dimension)
    for base, power in bases.items():
        if not power.is_integer():
            return None
        powers[_WORD_BASES[base]] = int(power)
    kg, m, s, A, K, rad = powers
    return Scale(factor=Fraction(repr(float(one.magnitude))), dimension=(kg, m, s, A, K, rad))
