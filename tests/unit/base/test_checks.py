"""Checks refuse with name, rule and what was got; and pass what is allowed."""

import math

import pytest

from gapwright.base.checks import (
    close_names,
    require_between,
    require_finite,
    require_not_negative,
    require_positive,
)
from gapwright.base.errors import InputRefused


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_not_a_finite_number_is_refused_by_each(value: float) -> None:
    for check in (require_finite, require_positive, require_not_negative):
        with pytest.raises(InputRefused, match="^depth must be a finite number of m, got "):
            check("depth", value, "m")
    with pytest.raises(InputRefused, match="^depth must be a finite number of m, got "):
        require_between("depth", value, 0.0, 1.0, "m")


def test_a_number_without_unit_is_named_so() -> None:
    with pytest.raises(InputRefused, match="^share must be a finite number of units, got nan$"):
        require_finite("share", math.nan, "")


@pytest.mark.parametrize(
    ("value", "unit", "message"),
    [
        (0.0, "s", "pulse_width must be above 0 s, got 0 s"),
        (-2e-6, "s", "pulse_width must be above 0 s, got -2e-06 s"),
        (-0.5, "", "pulse_width must be above 0, got -0.5"),
    ],
)
def test_positive(value: float, unit: str, message: str) -> None:
    with pytest.raises(InputRefused) as refused:
        require_positive("pulse_width", value, unit)
    assert str(refused.value) == message


def test_not_negative() -> None:
    require_not_negative("lag", 0.0, "s")
    with pytest.raises(InputRefused) as refused:
        require_not_negative("lag", -1.0, "s")
    assert str(refused.value) == "lag must be at least 0 s, got -1 s"


@pytest.mark.parametrize("value", [0.1, 0.5, 0.9])
def test_between_holds_its_ends(value: float) -> None:
    require_between("set_point", value, 0.1, 0.9, "")


@pytest.mark.parametrize("value", [0.0999, 0.9001])
def test_outside_is_refused(value: float) -> None:
    with pytest.raises(InputRefused) as refused:
        require_between("set_point", value, 0.1, 0.9, "")
    assert str(refused.value) == f"set_point must be between 0.1 and 0.9, got {value:g}"


def test_outside_names_the_unit() -> None:
    with pytest.raises(InputRefused, match="must be between 1 and 2 mm, got 3 mm"):
        require_between("bore", 3.0, 1.0, 2.0, "mm")


def test_what_is_allowed_passes_in_silence() -> None:
    require_finite("x", -1.0, "m")
    require_positive("x", 5e-324, "m")


@pytest.mark.parametrize(
    ("name", "end"),
    [
        ("thicknes", "; did you mean 'thickness'?"),
        ("copper", "; did you mean 'copper' or 'coppper'?"),
        ("zzz", ""),
        ("", ""),
    ],
)
def test_near_names_are_listed_never_chosen(name: str, end: str) -> None:
    assert close_names(name, ["thickness", "copper", "coppper", "voltage"]) == end
