"""Units as notes on types."""

import re
import typing

import pytest

from gapwright.base import units
from gapwright.base.units import Unit

ALIASES = {
    name: member for name, member in vars(units).items() if typing.get_origin(member) is typing.Annotated
}
ONE = r"[a-zA-ZΩ°]+[²³⁴]?"
MANY = rf"{ONE}(?:·?{ONE})*"
SYMBOL = re.compile(rf"(?:(?:{MANY}|1)(?:/(?:{ONE}|\({MANY}\)))?)?")


def test_there_are_units() -> None:
    assert len(ALIASES) > 30
    assert {"Metres", "Volts", "Joules", "Number"} <= set(ALIASES)


@pytest.mark.parametrize("name", sorted(ALIASES))
def test_an_alias_is_a_float_with_one_unit(name: str) -> None:
    alias = ALIASES[name]
    assert alias.__origin__ is float
    (note,) = alias.__metadata__
    assert isinstance(note, Unit)
    assert SYMBOL.fullmatch(note.symbol), note.symbol


def test_no_two_aliases_share_a_unit_by_accident() -> None:
    by_symbol: dict[str, list[str]] = {}
    for name, alias in ALIASES.items():
        by_symbol.setdefault(alias.__metadata__[0].symbol, []).append(name)
    shared = {symbol: names for symbol, names in by_symbol.items() if len(names) > 1}
    assert not shared, f"one name for one unit: {shared}"
