"""Rig values against print."""

import pytest

from gapwright.rig.components import Capacitor, series_resistance
from tests.printed import printed


@pytest.mark.source("circuit-theory", "loss factor: series resistance over reactance; 100 µF, 0.10 at 120 Hz")
def test_series_resistance_of_a_common_electrolytic() -> None:
    capacitor = Capacitor(
        capacitance=100e-6, type="electrolytic", voltage_rating=100.0, reverse_rating=0.0, ripple_rating=0.5,
        tan_delta=0.10, tan_delta_frequency=120.0,
    )  # fmt: skip
    assert series_resistance(capacitor) == printed("1.33")
