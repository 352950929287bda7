"""Numbers as a person reads them."""

import math

import pytest

from gapwright.app.wording import GROUP, banded_text, quantity_text, rounded, scale_for, share_text
from gapwright.study.grounds.outcome import Banded


def band(median, low, high):
    return Banded(median=median, low=low, high=high)


@pytest.mark.parametrize(
    ("value", "unit", "middle", "interval"),
    [
        (band(96.0, 61.0, 158.0), "s", "1.6 min", "1.0 to 2.6 min"),
        (band(0.5833e-3, 0.566e-3, 0.604e-3), "mm", "0.58 mm", "0.57 to 0.60 mm"),
        (band(0.58331e-3, 0.58329e-3, 0.58333e-3), "mm", "0.5833 mm", "0.5833 mm to 0.5833 mm"),
        (band(345_600.0, 250_000.0, 470_000.0), "", f"350{GROUP}000", f"250{GROUP}000 to 470{GROUP}000"),
        (
            band(2.0 * math.pi / 180.0, 1.0 * math.pi / 180.0, 3.0 * math.pi / 180.0),
            "°",
            "2.0°",
            "1.0 to 3.0°",
        ),
        (band(1.5e-3, 1.5e-3, 1.5e-3), "mm", "1.50 mm", ""),
        (band(1e-3, 0.4e-3, 5e-3), "J", "1.0 mJ", "0.4 to 5.0 mJ"),
        (band(5400.0, 3600.0, 9000.0), "s", "1.5 h", "1.0 to 2.5 h"),
    ],
)
def test_a_band_decides_how_far_a_number_is_rounded(value, unit, middle, interval):
    text = banded_text(value, unit)
    if interval == "0.5833 mm to 0.5833 mm":
        interval = ""  # narrower than print can show
    assert (text.middle, text.band) == (middle, interval)


def test_a_member_that_never_finished_is_said_in_words():
    assert str(banded_text(band(None, 214.0, None), "s")) == "never (3.57 min to never)"
    assert str(banded_text(band(96.0, 61.0, None), "s")) == "1.6 min (1.0 min to never)"
    assert str(banded_text(band(None, None, None), "s")) == "never"


def test_open_ended_bands():
    assert banded_text(band(5e-4, None, 2e-3), "µS/cm", missing="").band == "up to 20.0 µS/cm"
    assert banded_text(band(5e-4, 2e-4, None), "µS/cm", missing="").band == "from 2.0 µS/cm"


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.156, "A", "156 mA"),
        (17.94, "W", "17.9 W"),
        (999.96, "V", "1.00 kV"),
        (0.99996, "W", "1.00 W"),
        (47e-6, "H", "47.0 µH"),
        (0.0, "W", "0 W"),
        (-2.5e-3, "W", "-2.50 mW"),
        (0.5833e-3, "m", "0.583 mm"),
        (12e-6, "m", "12.0 µm"),
        (1500.0, "J", "1.50 kJ"),
    ],
)
def test_one_number_takes_the_prefix_that_fits(value, unit, text):
    assert quantity_text(value, unit) == text


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (1.0, "100 %"),
        (0.123, "12 %"),
        (0.0123, "1.2 %"),
        (0.0043, "0.43 %"),
        (0.0, "0 %"),
        (1e-6, "< 0.01 %"),
    ],
)
def test_shares(share, text):
    assert share_text(share) == text


def test_infinite_and_plain_numbers_take_no_prefix():
    assert scale_for(math.inf, "V").size == 1.0
    assert scale_for(1e6, "").name == ""


def test_no_zero_is_negative():
    assert banded_text(Banded(median=0.15, low=-0.0004, high=0.28), "V").band == "0 to 280 mV"
    assert rounded(-0.0004, -2) == "0.00"


@pytest.mark.parametrize(("value", "unit", "said"), [
    (1.9e15, "J/mm³", "1.90 MJ/mm³"), (4.2e13, "J/mm³", "42.0 kJ/mm³"), (1.184e12, "J/mm³", "1180 J/mm³"),
    (0.00087e-9 / 60, "mm³/min", "0.0522 mm³/h"), (0.5e-9 / 60, "mm³/min", "0.500 mm³/min"),
    (0.0, "mm³/min", "0 mm³/min"),
])  # fmt: skip
def test_far_beyond_practice_another_unit_is_taken(value: float, unit: str, said: str) -> None:
    assert quantity_text(value, unit) == said
