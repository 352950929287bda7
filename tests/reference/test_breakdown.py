"""Breakdown of air gaps against print, and the strike gap below 300 V."""

import math

import pytest

from gapwright.base.errors import OutOfRange
from gapwright.gap.breakdown import (
    AIR,
    ATMOSPHERE,
    MEASURED_MINIMUM,
    MEASURED_MINIMUM_GAP,
    PaschenConstants,
    air_breakdown_voltage,
    paschen_minimum_pressure_gap,
    paschen_minimum_voltage,
    paschen_voltage,
    strike_gap,
)
from tests.printed import printed

TORR_CM = 133.322368 * 0.01


@pytest.mark.source("paschen-constants", "A = 15 /(cm Torr), B = 365 V/(cm Torr); voltages computed")
@pytest.mark.parametrize(
    ("gap", "voltage"),
    [
        (7.5e-6, "337"),
        (10e-6, "307"),
        (15e-6, "318"),
        (20e-6, "347"),
        (50e-6, "552"),
        (100e-6, "865"),
        (1e-3, "5035"),
    ],
)
def test_paschen_voltage_of_air(gap, voltage):
    # A and B are printed with two and three digits, so the last printed volt may be off by one.
    assert paschen_voltage(gap) == pytest.approx(float(voltage), rel=2e-3)


@pytest.mark.source("paschen-form", "minimum of the formula, computed: 305.3 V at 11.0 µm")
def test_paschen_minimum():
    assert paschen_minimum_voltage() == printed("305.3")
    assert 1e6 * paschen_minimum_pressure_gap() / ATMOSPHERE == printed("11.0")
    assert paschen_minimum_pressure_gap() / TORR_CM == pytest.approx(0.836, rel=1e-3)


@pytest.mark.source("paschen-form", "V_min = B (pd)_min whatever the constants")
def test_minimum_voltage_is_strength_times_product():
    assert paschen_minimum_voltage() / paschen_minimum_pressure_gap() == pytest.approx(273.75, rel=1e-14)
    # No pair of 327 V and 0.567 Torr cm can come from A = 15, B = 365: it would need B = 577.
    assert printed("577") == 327.0 / 0.567


@pytest.mark.source("paschen-form", "a yield of 0.0072 gives 327 V, then at 0.896 Torr cm")
def test_yield_that_meets_the_measured_voltage():
    air = PaschenConstants(ionisation=11.25, strength=273.75, secondary_yield=0.0072, lowest=0.7599)
    assert paschen_minimum_voltage(air) == pytest.approx(327.0, rel=1e-3)
    assert paschen_minimum_pressure_gap(air) / TORR_CM == pytest.approx(0.896, rel=1e-3)


@pytest.mark.source("paschen-minimum", "air, one atmosphere: 327 V at 7.5 µm")
def test_measured_minimum_and_what_the_law_gives_around_it():
    assert printed("327") == MEASURED_MINIMUM
    assert printed("7.5") == 1e6 * MEASURED_MINIMUM_GAP
    for micrometres in (5, 6, 7.5, 10, 12, 15):
        assert 300.0 <= air_breakdown_voltage(micrometres * 1e-6, field=350e6) <= 350.0


@pytest.mark.source("peschot-2014", "below 1 µm a nearly constant field of 350 V/µm")
def test_polished_faces_half_a_micrometre_apart():
    assert air_breakdown_voltage(0.5e-6, field=350e6) == printed("175")


@pytest.mark.source("slade-taylor-2002", "65 to 110 V/µm below 4 µm on machined faces: 30 to 60 V at 0.5 µm")
def test_machined_faces_half_a_micrometre_apart():
    assert 30.0 <= air_breakdown_voltage(0.5e-6, field=65e6) <= 60.0
    assert 30.0 <= air_breakdown_voltage(0.5e-6, field=110e6) <= 60.0


@pytest.mark.source("paschen-form", "no solution below 4.05 µm; 657 V at 5 µm is wrong")
@pytest.mark.parametrize("gap", [1e-6, 4e-6, 5e-6, 7.4e-6])
def test_formula_is_refused_on_its_left_branch(gap):
    nothing_below = math.log(101.0) / AIR.ionisation
    assert 1e6 * nothing_below / ATMOSPHERE == printed("4.05")
    with pytest.raises(OutOfRange, match="field emission"):
        paschen_voltage(gap)
    assert air_breakdown_voltage(gap, field=350e6) < 500.0


@pytest.mark.source("atalla-1953", "make arcs strike along lines of constant field; gaps computed")
@pytest.mark.parametrize(
    ("voltage", "field", "gap"),
    [
        (48.0, 150e6, "0.32"),
        (60.0, 350e6, "0.171"),
        (48.0, 350e6, "0.14"),
        (48.0, 75e6, "0.64"),
        (24.0, 75e6, "0.32"),
    ],
)
def test_strike_gap(voltage, field, gap):
    assert 1e6 * strike_gap(voltage, field=field) == printed(gap)
