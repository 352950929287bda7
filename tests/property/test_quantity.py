"""Quantities survive being printed and read again; nothing else gets out than a value or a refusal."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gapwright.base.errors import InputRefused
from gapwright.base.quantity import printed_quantity, quantity
from gapwright.base.symbols import NOUNS, PREFIXES, unit_scale, worded_scale

worded_scale("microhenry")  # loads the table of odd units, which takes longer than one example may

UNITS = sorted(NOUNS)
PREFIXED = ["V", "A", "Ω", "H", "F", "s", "m", "W", "J", "Hz", "S", "Pa"]
values = st.floats(min_value=1e-25, max_value=1e25) | st.floats(min_value=-1e25, max_value=-1e-25)


@given(value=values, unit=st.sampled_from(UNITS))
def test_a_printed_quantity_reads_as_the_same_value(value: float, unit: str) -> None:
    assert quantity(printed_quantity(value, unit, digits=17), unit) == pytest.approx(value, rel=1e-14)


@given(value=values, unit=st.sampled_from(UNITS), digits=st.integers(min_value=1, max_value=12))
def test_fewer_digits_cost_no_more_than_they_say(value: float, unit: str, digits: int) -> None:
    read = quantity(printed_quantity(value, unit, digits=digits), unit)
    assert abs(read - value) <= abs(value) * 0.51 * 10.0 ** (1 - digits)


@given(
    value=st.floats(min_value=0.001, max_value=999),
    unit=st.sampled_from(PREFIXED),
    prefix=st.sampled_from(sorted(PREFIXES)),
)
def test_a_prefix_moves_the_point(value: float, unit: str, prefix: str) -> None:
    plain = quantity(f"{value!r} {unit}", unit)
    assert quantity(f"{value!r} {prefix}{unit}", unit) == pytest.approx(
        plain * 10.0 ** PREFIXES[prefix], rel=1e-15
    )


@given(value=st.floats(min_value=0.001, max_value=999), unit=st.sampled_from(PREFIXED))
def test_the_three_micros_are_one(value: float, unit: str) -> None:
    read = {
        quantity(f"{value!r}{space}{micro}{unit}", unit)
        for micro in "uµ\u03bc"
        for space in ("", " ", "\u00a0")
    }
    assert len(read) == 1


@given(
    number=st.integers(min_value=1, max_value=999),
    wanted=st.sampled_from(PREFIXED),
    got=st.sampled_from(PREFIXED),
)
def test_another_dimension_is_never_taken(number: int, wanted: str, got: str) -> None:
    if wanted == got:
        assert quantity(f"{number} {got}", wanted) == number
    else:
        with pytest.raises(InputRefused, match="which is"):
            quantity(f"{number} {got}", wanted)


MARKS = ["-", "+", ".", ",", "e", "E5", " ", "/", "*", "^2", "(", ")", "\x00", "\n"]
WORDS = ["47", "1", "u", "µ", "m", "H", "ohm", "\u2126", "°C", "%", "nan", "inf", "inch", "joule"]
pieces = st.sampled_from(MARKS + WORDS)


@given(
    text=st.text(max_size=70) | st.lists(pieces, max_size=8).map("".join),
    unit=st.sampled_from([*UNITS, "W/(m·K)", "m³/J"]),
)
def test_any_text_is_a_finite_value_or_refused_in_one_line(text: str, unit: str) -> None:
    said = ""
    value = 0.0
    try:
        value = quantity(text, unit, name="x")
    except InputRefused as refused:
        said = str(refused)
    assert math.isfinite(value)
    assert not said or (said.startswith("x ") and said.isprintable())


@given(text=st.text(alphabet="mkµuVAHFsS/*^()12 ·²", max_size=20))
def test_any_text_is_a_unit_or_none(text: str) -> None:
    scale = unit_scale(text)
    assert scale is None or scale.factor > 0
