"""Wire sizes against the printed gauge table."""

from itertools import pairwise

import pytest

from gapwright.facts.conductors import cable_areas, gauge_diameter, resistance_per_metre, wire_diameters
from tests.printed import printed

ROWS = [
    (24, "0.5106", "84.21"),
    (20, "0.8118", "33.31"),
    (16, "1.291", "13.17"),
    (10, "2.588", "3.277"),
]


@pytest.mark.source("astm-b258", "gauges 24, 20, 16 and 10: diameter in mm")
@pytest.mark.parametrize(("gauge", "diameter"), [row[:2] for row in ROWS])
def test_gauge_diameter(gauge, diameter):
    assert gauge_diameter(gauge) * 1e3 == printed(diameter)


@pytest.mark.source("iec-60028", "copper of 1.7241e-8 Ω·m, gauges 24, 20, 16 and 10: mΩ/m")
@pytest.mark.parametrize(("gauge", "resistance"), [(row[0], row[2]) for row in ROWS])
def test_gauge_resistance(gauge, resistance):
    assert resistance_per_metre(gauge_diameter(gauge)) * 1e3 == printed(resistance)


@pytest.mark.source("astm-b258", "definition: No. 36 = 0.005 in, No. 0000 = 0.46 in")
@pytest.mark.parametrize(("gauge", "inches"), [(36, "0.005"), (-3, "0.46")])
def test_gauge_ends(gauge, inches):
    assert gauge_diameter(gauge) / 25.4e-3 == printed(inches)


@pytest.mark.source("iec-60317", "nominal diameters follow the R20 series within its rounding")
def test_wire_diameters_are_tenths_of_a_decade():
    sizes = wire_diameters()
    steps = [thick / thin for thin, thick in pairwise(sizes)]
    assert all(1.10 < step < 1.15 for step in steps)
    assert sizes[20] / sizes[0] == printed("10")


@pytest.mark.source("iec-60228", "nominal cross-sections 0.5 to 25 mm²")
def test_cable_areas():
    listed = ["0.5", "0.75", "1", "1.5", "2.5", "4", "6", "10", "16", "25"]
    assert [area * 1e6 for area in cable_areas()] == [printed(text) for text in listed]
