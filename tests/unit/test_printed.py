"""A printed number sets its own tolerance."""

import numpy as np
import pytest

from tests.printed import printed


@pytest.mark.parametrize("value", [0.675, 0.677, 0.68, 0.685])
def test_what_rounds_to_the_digits_is_equal(value: float) -> None:
    assert value == printed("0.68")
    assert printed("0.68") == value


@pytest.mark.parametrize("value", [0.0, -0.68, 0.6749, 0.6851, float("nan"), float("inf"), 68.0])
def test_what_does_not_is_not(value: float) -> None:
    assert value != printed("0.68")


def test_each_digit_counts() -> None:
    assert printed("1.20e3") == 1204.0
    assert printed("1.20e3") != 1206.0
    assert printed("1.2e3") == 1206.0
    assert printed("-41") == -41.4
    assert printed("12") == 12
    assert np.float64(10.274) == printed("10.27")
    assert printed("3.0e-12") == 3.04e-12


@pytest.mark.parametrize("text", ["0", "0.00", "nan", "inf", "a few", ""])
def test_a_text_without_digits_to_hold_to_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="a printed number must"):
        printed(text)


def test_zero_is_equal_to_no_printed_number() -> None:
    for text in ("1", "1e-30", "0.001", "5e9"):
        assert printed(text) != 0.0


def test_only_numbers_are_compared() -> None:
    assert printed("1") != "1"
    assert printed("1") != True  # noqa: E712 - a truth value is no measurement
    assert "0.68" in repr(printed("0.68"))
