"""Preferred values against the lists of the standard."""

import pytest

from gapwright.facts.series import nearest_preferred, preferred_values
from tests.printed import printed

E24 = "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91"
E12 = "10 12 15 18 22 27 33 39 47 56 68 82"
E6 = "10 15 22 33 47 68"
E3 = "10 22 47"
E48 = (
    "100 105 110 115 121 127 133 140 147 154 162 169 178 187 196 205 215 226 237 249 261 274 287 301 "
    "316 332 348 365 383 402 422 442 464 487 511 536 562 590 619 649 681 715 750 787 825 866 909 953"
)
E96 = (
    "100 102 105 107 110 113 115 118 121 124 127 130 133 137 140 143 147 150 154 158 162 165 169 174 "
    "178 182 187 191 196 200 205 210 215 221 226 232 237 243 249 255 261 267 274 280 287 294 301 309 "
    "316 324 332 340 348 357 365 374 383 392 402 412 422 432 442 453 464 475 487 499 511 523 536 549 "
    "562 576 590 604 619 634 649 665 681 698 715 732 750 768 787 806 825 845 866 887 909 931 953 976"
)
NOT_ROUNDINGS = {27, 30, 33, 36, 39, 43, 47, 82}


@pytest.mark.source("iec-60063", "series E3, E6, E12 and E24")
@pytest.mark.parametrize(("series", "listed"), [("E3", E3), ("E6", E6), ("E12", E12), ("E24", E24)])
def test_two_digit_series(series, listed):
    assert list(preferred_values(series)) == [int(text) / 10 for text in listed.split()]


@pytest.mark.source("iec-60063", "series E48 and E96")
@pytest.mark.parametrize(("series", "listed"), [("E48", E48), ("E96", E96)])
def test_three_digit_series(series, listed):
    assert list(preferred_values(series)) == [int(text) / 100 for text in listed.split()]


@pytest.mark.source("iec-60063", "series E24: 27, 30, 33, 36, 39, 43, 47 and 82 are no roundings")
def test_eight_values_are_not_roundings():
    rounded = [round(10 * 10 ** (step / 24)) for step in range(24)]
    listed = [round(10 * value) for value in preferred_values("E24")]
    differ = {there for here, there in zip(rounded, listed, strict=True) if here != there}
    assert differ == NOT_ROUNDINGS


@pytest.mark.source("iec-60063", "nearest values of 90.9 µH and of 13.71 kΩ")
@pytest.mark.parametrize(
    ("value", "series", "nearest"),
    [(90.9e-6, "E12", 100e-6), (13.71e3, "E24", 13e3), (13.71e3, "E96", 13.7e3)],
)
def test_nearest(value, series, nearest):
    assert nearest_preferred(value, series) == nearest


@pytest.mark.source("iec-60063", "E24, one step, as printed")
def test_steps_are_a_tenth():
    assert preferred_values("E24")[1] == printed("1.1")
