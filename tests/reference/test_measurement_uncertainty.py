"""Propagation of uncertainty against the Guide's example of a thermometer calibrated by a straight line."""

import numpy as np
import pytest

from gapwright.study.captures.measured_quantity import Measured, correlated_pair
from tests.printed import printed

TEMPERATURES = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511]
CORRECTIONS = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160]


@pytest.mark.source("jcgm-100", "example H.3, equations H.14 and H.15: correction at 30 °C")
def test_a_correlated_prediction() -> None:
    first, slope = correlated_pair((-0.1712, 0.0029), (0.00218, 0.00067), correlation=-0.930, source="line")
    at_30 = first + slope.times(10.0)
    assert at_30.value == printed("-0.1494")
    assert at_30.uncertainty == printed("0.0041")


@pytest.mark.source("jcgm-100", "example H.3, table H.6 and the line fitted to it")
def test_the_line_of_the_example() -> None:
    x, y = np.array(TEMPERATURES) - 20.0, np.array(CORRECTIONS)
    (slope, first), cover = np.polyfit(x, y, 1, cov=True)
    assert first == printed("-0.1712")
    assert slope == printed("0.00218")
    parts = correlated_pair(
        (first, cover[1, 1] ** 0.5),
        (slope, cover[0, 0] ** 0.5),
        correlation=cover[0, 1] / (cover[0, 0] * cover[1, 1]) ** 0.5,
        source="line",
    )
    assert (parts[0] + parts[1].times(10.0)).uncertainty == printed("0.0041")


@pytest.mark.source("jcgm-100", "5.1.6 and 5.2.2: products, and inputs that are wholly correlated")
def test_shared_sources_add_before_they_are_squared() -> None:
    gain = (("gain", 0.02),)
    one, other = Measured(1.0, gain), Measured(1.0, gain)
    assert (one + other).uncertainty == pytest.approx(0.04)
    assert (one - other).uncertainty == 0.0
    assert (one * other).uncertainty == pytest.approx(0.04)
    apart = Measured(1.0, (("other gain", 0.02),))
    assert (one * apart).uncertainty == pytest.approx(0.02 * 2**0.5)
