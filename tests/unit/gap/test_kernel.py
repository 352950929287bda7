"""The compiled cores of the gap against plain slow twins."""

import math

import pytest
from scipy.integrate import solve_ivp

from gapwright.gap._kernel import (
    CONTACT,
    NORMAL,
    OPEN,
    PARTIAL,
    SHORT,
    STATIONARY_ARC,
    TRANSIENT_ARC,
    air_breakdown,
    breakdown_share,
    bridging_chance,
    class_code,
    debris_after,
    ignition_weight,
    is_immediate,
    memory_factor,
    voltage_power,
)
from gapwright.gap.breakdown import ATMOSPHERE, PLATEAU, air_constants, paschen_voltage
from gapwright.gap.classes import CLASS_NAMES, DischargeClass
from gapwright.gap.delay import Hazard

HAZARD = Hazard().constants


def test_weight_is_the_written_law():
    twin = (1.0 / (8e-6 * 6e6)) ** 5 * (1.0 + 0.05 / 0.02) * (0.3e-6 / 1e-6) / 20e-6
    assert ignition_weight(8e-6, 0.3e-6, 0.05, HAZARD) == pytest.approx(twin, rel=1e-12)


def test_a_gap_below_the_smallest_counts_as_the_smallest():
    at = ignition_weight(2e-6, 1e-6, 0.0, HAZARD)
    assert ignition_weight(-5e-6, 1e-6, 0.0, HAZARD) == at
    assert is_immediate(101.0, 1e-9, HAZARD)
    assert not is_immediate(99.0, 1e-9, HAZARD)


def test_memory_fades_with_time_and_distance():
    assert memory_factor(0.0, 0.0, HAZARD) == pytest.approx(51.0, rel=1e-12)
    twin = 1.0 + 50.0 * math.exp(-2.0) * math.exp(-((30e-6 / 60e-6) ** 2))
    assert memory_factor(2.4e-6, 30e-6, HAZARD) == pytest.approx(twin, rel=1e-12)


def test_voltage_counts_only_above_the_dead_voltage():
    assert voltage_power(35.0, 35.0, 5.0) == 0.0
    assert voltage_power(36.0, 35.0, 5.0) == pytest.approx(36.0**5, rel=1e-12)


def test_debris_follows_its_balance():
    feed, volume, tau, duration = 3e-13, 2e-12, 30e-3, 20e-3
    twin = solve_ivp(
        lambda _, c: feed / duration / volume - c / tau, (0.0, duration), [0.1], rtol=1e-10, atol=0.0
    )
    found = debris_after(0.1, duration, feed, volume, tau, 1.0)
    assert found == pytest.approx(twin.y[0, -1], rel=1e-8)
    assert debris_after(0.1, duration, feed, volume, tau, 0.12) == 0.12


def test_bridging_chance():
    assert bridging_chance(0.1, 10e-6, 3e-6, 0.02) == pytest.approx(0.02 * 0.1 * 0.3, rel=1e-12)
    assert bridging_chance(0.3, 1e-9, 3e-6, 0.3) == 1.0


def test_breakdown_share():
    assert breakdown_share(47.5, 70.0, 25.0) == pytest.approx(0.5, rel=1e-12)


@pytest.mark.parametrize(
    ("share", "arcs", "code"),
    [
        (1.0, 0, NORMAL),
        (0.6, 8, NORMAL),
        (0.59, 0, PARTIAL),
        (0.15, 0, PARTIAL),
        (0.14, 4, TRANSIENT_ARC),
        (-0.3, 5, STATIONARY_ARC),
    ],
)
def test_class_code(share, arcs, code):
    assert class_code(share, 0.6, 0.15, arcs) == code


def test_codes_name_the_classes_in_order():
    codes = (OPEN, NORMAL, PARTIAL, TRANSIENT_ARC, STATIONARY_ARC, SHORT, CONTACT)
    assert codes == tuple(range(7))
    assert [CLASS_NAMES[code] for code in codes] == list(DischargeClass)
    assert CLASS_NAMES[STATIONARY_ARC] == "stationary arc"


@pytest.mark.parametrize("gap", [0.1e-6, 1e-6, 2.2e-6, 5e-6, 7.4e-6, 7.6e-6, 15e-6, 0.2e-3, 3e-3])
def test_air_breaks_down_by_whichever_law_holds(gap: float) -> None:
    field = 150e6
    gas = PLATEAU if ATMOSPHERE * gap < 0.7599 else max(PLATEAU, paschen_voltage(gap))
    assert air_breakdown(gap, field, air_constants()) == pytest.approx(min(field * gap, gas), rel=1e-12)
