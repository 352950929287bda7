"""Inductance, skin depth and melting of wires against worked and printed values."""

import math

import pytest

from gapwright.circuit.formulas.fusing import (
    CIRCULAR_MIL,
    fast_fusing_current,
    fusing_action,
    skin_depth,
    skin_frequency,
    slow_fusing_current,
    slow_fusing_diameter,
)
from gapwright.circuit.formulas.wire import (
    line_inductance,
    loop_inductance,
    pair_inductance,
    straight_inductance,
)
from gapwright.facts.conductors import copper, gauge_diameter
from tests.printed import printed

COPPER = 1.7241e-8
INCH = 25.4e-3


def disc(diameter: float) -> float:
    """Cross-section of a round wire."""
    return math.pi / 4.0 * diameter**2


@pytest.mark.source("grover", "100 mm of 1 mm wire: 104.83 nH at low frequency, 99.83 nH on the skin")
def test_straight_wire():
    assert 1e9 * straight_inductance(0.1, diameter=1e-3) == printed("104.83")
    assert 1e9 * straight_inductance(0.1, diameter=1e-3, internal=0.0) == printed("99.83")


@pytest.mark.source("computed", "100 mm of 1 mm wire with the terms of its ends: 104.93 nH")
def test_ends_of_a_straight_wire_are_small():
    assert straight_inductance(0.1, diameter=1e-3) == pytest.approx(104.93e-9, rel=1.1e-3)


@pytest.mark.source(
    "rosa-1908", "form of the pair; 1 m at 10 mm, r 0.5 mm; 0.5 m at 2 mm, r 0.75 mm, computed"
)
@pytest.mark.parametrize(
    ("length", "spacing", "radius", "nanohenries"),
    [(1.0, 10e-3, 0.5e-3, "1294.29"), (0.5, 2e-3, 0.75e-3, "245.37")],
)
def test_pair(length, spacing, radius, nanohenries):
    assert 1e9 * pair_inductance(length, spacing=spacing, radius=radius) == printed(nanohenries)


@pytest.mark.source(
    "computed", "two wires less their mutual inductance, not expanded in the spacing: 1294.30 nH"
)
def test_pair_from_two_straight_wires():
    length, spacing, radius = 1.0, 10e-3, 0.5e-3
    # Mutual inductance of two equal parallel filaments, in full.
    far = length / spacing
    mutual = 2e-7 * length * (math.asinh(far) - math.sqrt(1.0 + far**-2) + 1.0 / far)
    both = 2.0 * (straight_inductance(length, diameter=2.0 * radius) - mutual)
    assert 1e9 * both == printed("1294.30")
    assert pair_inductance(length, spacing=spacing, radius=radius) == pytest.approx(both, rel=1e-4)


@pytest.mark.source("from-memory", "high frequency, 10 mm apart, r 0.5 mm: 1197.3 nH/m, computed")
def test_line():
    assert 1e9 * line_inductance(10e-3, radius=0.5e-3) == printed("1197.3")


@pytest.mark.source(
    "rosa-1908", "form of the loop; R 50 mm, a 0.5 mm: 310.05 nH, on the skin 294.34, computed"
)
def test_loop():
    assert 1e9 * loop_inductance(50e-3, wire_radius=0.5e-3) == printed("310.05")
    assert 1e9 * loop_inductance(50e-3, wire_radius=0.5e-3, internal=0.0) == printed("294.34")


@pytest.mark.source("computed", "copper at 40 kHz, 100 kHz and 1 MHz: 0.33042, 0.20898, 0.066085 mm")
@pytest.mark.parametrize(
    ("frequency", "millimetres"), [(40e3, "0.33042"), (100e3, "0.20898"), (1e6, "0.066085")]
)
def test_skin_depth(frequency, millimetres):
    assert copper("resistivity").value == printed("1.7241e-8")
    assert 1e3 * skin_depth(frequency, resistivity=COPPER) == pytest.approx(float(millimetres), rel=1e-4)


@pytest.mark.source("computed", "radius of gauge 24 is the skin depth of copper at 67.0 kHz")
def test_skin_frequency():
    found = skin_frequency(0.5 * gauge_diameter(24), resistivity=COPPER)
    assert 1e-3 * found == printed("67.0")
    # A printed wire table of another copper has 68 kHz.
    assert found == pytest.approx(68e3, rel=0.02)


@pytest.mark.source("preece", "copper: 10 A melts 0.0098 in and 100 A 0.0457 in")
@pytest.mark.parametrize(("current", "inches"), [(10.0, "0.0098"), (100.0, "0.0457")])
def test_slow_fusing_diameter(current, inches):
    assert slow_fusing_diameter(current) / INCH == printed(inches)


@pytest.mark.source("preece", "constant 10244 for inches is 80.0 for millimetres; gauge 24 melts at 29.19 A")
def test_slow_fusing_current():
    assert slow_fusing_current(1e-3) == printed("80.0")
    assert slow_fusing_current(INCH) == printed("10244")
    assert slow_fusing_current(gauge_diameter(24)) == printed("29.19")


@pytest.mark.source("onderdonk", "gauge 24 from 25 °C: 59.11 A in 1 s, 591.1 A in 10 ms, 3494 A²s")
def test_fast_fusing_of_a_gauge():
    area = disc(gauge_diameter(24))
    assert fast_fusing_current(area, duration=1.0) == printed("59.11")
    assert fast_fusing_current(area, duration=10e-3) == printed("591.1")
    assert fusing_action(area) == printed("3494")


@pytest.mark.source("onderdonk", "2581 circular mils in 5 s from 25 °C: 168.86 A")
def test_fast_fusing_with_the_right_sign():
    # A worked example in print has 234 - T where 234 + T belongs and finds 178 A.
    assert fast_fusing_current(2581.0 * CIRCULAR_MIL, duration=5.0) == printed("168.86")
