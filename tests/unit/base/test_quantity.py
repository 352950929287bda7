"""Quantities as people write them, and as they are printed."""

import pytest

from gapwright.base.errors import InputRefused
from gapwright.base.quantity import LONGEST_TEXT, any_quantity, printed_quantity, quantity, shown
from gapwright.base.symbols import SYMBOLS, unit_scale


@pytest.mark.parametrize(
    "text",
    [
        "47 uH",
        "47uH",
        "47 µH",
        "47 \u03bcH",
        "47\u00a0µH",
        "0.047 mH",
        "4.7e1 uH",
        "47000 nH",
        "4.7e1 microhenry",
    ],
)
def test_every_spelling_of_one_inductance_gives_the_same_float(text: str) -> None:
    assert quantity(text, "H") == 47e-6


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("24 V", "V", 24.0),
        ("100 nF", "F", 1e-7),
        ("10 Mohm", "Ω", 1e7),
        ("10 mohm", "Ω", 1e-2),
        ("10 MΩ", "Ω", 1e7),
        ("10 M\u2126", "Ω", 1e7),
        ("5 uS/cm", "S/m", 5e-4),
        ("0.3 MPa", "Pa", 3e5),
        ("3 bar", "Pa", 3e5),
        ("2 mm/s", "m/s", 2e-3),
        ("50 mm/s²", "m/s²", 0.05),
        ("50 mm/s2", "m/s²", 0.05),
        ("50 mm/s^2", "m/s²", 0.05),
        ("50 mm/s**2", "m/s²", 0.05),
        ("0.5 mm2", "m²", 5e-7),
        ("600 rpm", "Hz", 10.0),
        ("600 1/min", "Hz", 10.0),
        ("6 L/min", "m³/s", 1e-4),
        ("3 mL/min", "m³/s", 5e-8),
        ("1.2 K/W", "K/W", 1.2),
        ("400 W/(m·K)", "W/(m·K)", 400.0),
        ("20 °C", "K", 293.15),
        ("300 K", "K", 300.0),
        ("60 %", "", 0.6),
        ("0.6", "", 0.6),
        ("2 min", "s", 120.0),
        ("1 Wh", "J", 3600.0),
        ("+.5 mm", "m", 5e-4),
        ("4e-12 m³/J", "m³/J", 4e-12),
        ("5 furlong", "m", pytest.approx(1005.84, rel=1e-5)),
    ],
)
def test_quantities_become_si_floats(text: str, unit: str, value: float) -> None:
    assert quantity(text, unit) == value


def test_a_right_angle_is_half_pi() -> None:
    assert quantity("90 °", "rad") == pytest.approx(1.5707963267948966, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "unit", "message"),
    [
        (
            "47 mh",
            "H",
            'x must be an inductance in H, got "47 mh", but "mh" would be milli-hours '
            '(capital and small letters differ); write "47 mH" or "47 MH"',
        ),
        (
            "47 UH",
            "H",
            'x must be an inductance in H, got "47 UH", but "UH" is not a unit known here '
            '(capital and small letters differ); write "47 uH"',
        ),
        ("47", "H", 'x = "47" has no unit; it would mean 47 H; write "47 H"'),
        ("4,7 uH", "H", 'x must have a decimal point, not a comma, got "4,7 uH"; write "4.7 uH"'),
        ("1,000.5 V", "V", 'x must have a decimal point, not a comma, got "1,000.5 V"'),
        ("nan V", "V", 'x must be a finite number, got "nan V"; give a voltage in V'),
        ("-inf", "V", 'x must be a finite number, got "-inf"; give a voltage in V'),
        ("1e999 V", "V", 'x must be a finite number, got "1e999 V"'),
        ("47 V", "H", 'x must be an inductance in H, got "47 V", which is a voltage in V'),
        ("1 h", "H", 'x must be an inductance in H, got "1 h", which is a time in s; did you mean "1 H"?'),
        (
            "5 us/cm",
            "S/m",
            'x must be a conductivity in S/m, got "5 us/cm", which is something else; '
            'did you mean "5 uS/cm"?',
        ),
        (
            "10 k",
            "Ω",
            'x must be a resistance in Ω, got "10 k", but "k" is not a unit known here '
            '(capital and small letters differ); write "10 kΩ"',
        ),
        (
            "47 wibble",
            "H",
            'x must be an inductance in H, got "47 wibble", but "wibble" is not a unit known here',
        ),
        ("", "V", 'x must be a voltage in V, written as number and unit, got ""'),
        ("V", "V", 'x must be a voltage in V, written as number and unit, got "V"'),
        ("20 °C", "V", 'x must be a voltage in V, got "20 °C", but "°C" is not a unit known here'),
        ("1 V\n", "A", 'x must be a current in A, got "1 V\\n", which is a voltage in V'),
        ("1 m/s*s", "m", 'x must be a length in m, got "1 m/s*s", but "m/s*s" is not a unit known here'),
        ("5 F*V", "rad", 'x must be an angle in rad, got "5 F*V", which is a charge in C'),
        ("5 V", "wibble", 'x is asked in "wibble", which is not a unit known here'),
        ("5 V", "Wb", 'x is asked in "Wb", which is not a unit known here'),
    ],
)
def test_what_is_not_such_a_quantity_is_refused_in_words(text: str, unit: str, message: str) -> None:
    with pytest.raises(InputRefused) as refusal:
        quantity(text, unit, name="x")
    assert str(refusal.value) == message


def test_a_bare_prefix_has_no_meaning_where_a_pure_number_is_wanted() -> None:
    with pytest.raises(InputRefused, match='must be a pure number, got "10 k"'):
        quantity("10 k", "")


def test_long_text_is_refused_before_it_is_read() -> None:
    with pytest.raises(InputRefused, match="must be written in at most 60 characters, got 10002"):
        quantity("1" * 10_000 + " V", "V")


@pytest.mark.parametrize(
    "word", ["celsius", "fahrenheit", "decibel", "turn", "mole", "candela", "year" * 5, "statampere"]
)
def test_words_that_do_not_scale_plainly_are_no_units(word: str) -> None:
    with pytest.raises(InputRefused, match="is not a unit known here"):
        quantity(f"1 {word}", "V")


def test_words_are_read_in_small_letters_only() -> None:
    with pytest.raises(InputRefused, match="is not a unit known here"):
        quantity("1 Microhenry", "H")


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (47e-6, "H", "47 µH"),
        (0.0, "H", "0 H"),
        (-3e-5, "m", "-30 µm"),
        (1.5, "m", "1.5 m"),
        (1500.0, "m", "1500 m"),
        (999.6, "V", "1 kV"),
        (3600.0, "s", "3600 s"),
        (180.0, "Ω", "180 Ω"),
        (12345.0, "Ω", "12.3 kΩ"),
        (3e5, "Pa", "300 kPa"),
        (5e-4, "S/m", "5 µS/cm"),
        (5e-8, "m³/s", "3 mL/min"),
        (1.5e-6, "m²", "1.5 mm²"),
        (5e-7, "m²", "0.5 mm²"),
        (2.5e-10, "m³", "0.25 mm³"),
        (0.0012, "kg", "1.2 g"),
        (293.15, "K", "293 K"),
        (0.6, "", "0.6"),
        (1e-20, "H", "1e-20 H"),
        (float("nan"), "V", "nan V"),
        (float("inf"), "V", "inf V"),
        (3600.0, "Hz", "3.6 kHz"),
        (12.5, "1/s", "12.5 1/s"),
        (1.234e9, "m", "1230000000 m"),
    ],
)
def test_values_are_printed_as_a_person_would_say_them(value: float, unit: str, text: str) -> None:
    assert printed_quantity(value, unit) == text


def test_more_digits_on_request() -> None:
    assert printed_quantity(1234.5678, "V", digits=6) == "1.23457 kV"


def test_a_quantity_of_any_kind_tells_its_unit() -> None:
    reading = any_quantity("25 kV")
    assert (reading.value, reading.unit) == (25_000.0, "V")
    assert any_quantity("0.2").unit == ""
    with pytest.raises(ValueError, match='must be a quantity, got "2 wibble"'):
        any_quantity("2 wibble")


def test_text_is_shown_on_one_line_and_cut_short() -> None:
    assert shown("a\nb\x00\u2028") == '"a\\nb\\x00\\u2028"'
    assert shown("x" * 100) == '"' + "x" * LONGEST_TEXT + '…"'


def test_minutes_and_inches_are_not_prefixed_units() -> None:
    assert float(SYMBOLS["min"].factor) == 60.0
    assert unit_scale("mh") is None


@pytest.mark.parametrize("unit", ["", "V/", "/s", "m^", "m^0", "m//s", "m s", "1 1", "°C/s"])
def test_units_that_cannot_be_read_two_ways_or_none(unit: str) -> None:
    assert (unit_scale(unit) is None) == (unit != "")
