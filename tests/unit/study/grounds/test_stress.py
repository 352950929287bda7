"""What a drilling asks for is refused where it is no number."""

import math

import pytest

from gapwright.base.errors import InputRefused
from tests.unit.study.benches import FIRST, SECOND, calm, demo


@pytest.mark.parametrize(
    "name", ["store_volts", "spark_energy_j", "duration_s", "coil_peak_a", "reverse_volts"]
)
def test_not_a_number_is_refused_by_name(name):
    with pytest.raises(InputRefused, match=f"{name} must be a finite number"):
        calm(demo(SECOND), **{name: math.nan})


@pytest.mark.parametrize("name", ["stored_energy_j", "leak_current_a", "action_a2s"])
def test_below_zero_is_refused_by_name(name):
    with pytest.raises(InputRefused, match=f"{name} must be at least 0"):
        calm(demo(FIRST), **{name: -1e-9})


def test_a_reverse_voltage_is_below_zero():
    with pytest.raises(InputRefused, match="-reverse_volts must be at least 0 V, got -3 V"):
        calm(demo(FIRST), reverse_volts=3.0)
    assert calm(demo(FIRST), reverse_volts=-3.0).reverse_volts == -3.0


def test_leads_have_inductance():
    with pytest.raises(InputRefused, match="lead_inductance_h must be above 0 H"):
        calm(demo(FIRST), lead_inductance_h=0.0)


def test_no_coil_is_none():
    assert calm(demo(FIRST)).coil_peak_a is None
