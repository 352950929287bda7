"""Sparks of a dry rig: what an arc needs, what melts and blows a touching spot."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from gapwright.gap.breaking import break_energy, safe_voltage_rise
from gapwright.gap.bridge import discharge_action, largest_blown_radius, neck_radius
from gapwright.gap.contact import can_arc, largest_inductance
from gapwright.gap.spot import contact_voltage, melting_current, spot_resistance
from gapwright.gap.standing import StandingArc, standing_arc, standing_arc_length, standing_resistance
from tests.printed import printed


@pytest.mark.source("germer-haworth-1949", "near 50 V no arc on make above about 3 µH")
def test_largest_inductance_fits_the_published_limit():
    L = largest_inductance(50.0, arc_voltage=13.0, least_arc_current=0.4)
    assert pytest.approx(3.0e-6, rel=0.05) == L


@pytest.mark.source("germer-haworth-1949", "scaled to other voltages, computed")
@pytest.mark.parametrize(("voltage", "microhenries"), [(24, "0.9"), (48, "2.8"), (60, "3.8"), (100, "7")])
def test_largest_inductance_at_other_voltages(voltage, microhenries):
    L = largest_inductance(voltage, arc_voltage=13.0, least_arc_current=0.4)
    assert printed(microhenries) == 1e6 * L


@pytest.mark.source("holm", "copper, least arc current 0.43 A: ideal limit of the charging resistor")
@pytest.mark.parametrize(
    ("voltage", "ohms"), [(24.0, "56"), (48.0, "112"), (60.0, "140"), (80.0, "186"), (100.0, "233")]
)
def test_standing_resistance_of_copper(voltage, ohms):
    assert standing_resistance(voltage, least_arc_current=0.43) == printed(ohms)


@pytest.mark.source("common-practice", "below the least current unlikely, to 3 A possible, above likely")
@pytest.mark.parametrize(
    ("current", "grade"),
    [
        (0.0, StandingArc.UNLIKELY),
        (0.4, StandingArc.UNLIKELY),
        (0.43, StandingArc.POSSIBLE),
        (3.0, StandingArc.POSSIBLE),
        (3.1, StandingArc.LIKELY),
    ],
)
def test_grade_of_a_standing_arc(current, grade):
    assert standing_arc(current, least_arc_current=0.43) is grade


@pytest.mark.source("from-memory", "a standing arc takes 5 V/mm: 20 V above burning reach 4 mm")
def test_reach_of_a_standing_arc():
    assert 1e3 * standing_arc_length(40.0, arc_voltage=20.0) == printed("4.0")
    assert standing_arc_length(10.0, arc_voltage=20.0) == 0.0


@pytest.mark.source("holm", "10 V holds no arc on copper, steel, silver, tungsten; graphite none below 20 V")
@pytest.mark.parametrize("least", [13.0, 12.5, 12.0, 15.0])
def test_ten_volts_hold_no_arc(least):
    assert not can_arc(10.0, least_arc_voltage=least)
    assert not can_arc(20.0, least_arc_voltage=20.0)
    assert can_arc(24.0, least_arc_voltage=least)


@pytest.mark.source("kohlrausch", "melting voltage from the melting point")
@pytest.mark.parametrize(
    ("melting_point", "voltage"),
    [
        (1357.77, "0.415"),  # copper
        (3695.0, "1.153"),  # tungsten
        (1811.0, "0.559"),  # iron
        (1234.9, "0.38"),  # silver
        (1337.3, "0.41"),  # gold
        (1728.0, "0.53"),  # nickel
        (2896.0, "0.90"),  # molybdenum
        (692.7, "0.20"),  # zinc
        (933.5, "0.28"),  # aluminium
    ],
)
def test_melting_voltage(melting_point, voltage):
    assert contact_voltage(melting_point) == printed(voltage)


@pytest.mark.source("kohlrausch", "boiling voltage from the boiling point")
@pytest.mark.parametrize(
    ("boiling_point", "voltage"),
    [(2833.0, "0.88"), (2435.0, "0.76"), (3134.0, "0.98"), (1180.0, "0.36"), (5828.0, "1.82")],
)
def test_boiling_voltage(boiling_point, voltage):
    assert contact_voltage(boiling_point) == printed(voltage)


@pytest.mark.source("holm", "melting voltage of copper 0.43 V")
def test_melting_voltage_of_copper_in_the_handbook():
    assert contact_voltage(1357.77) == pytest.approx(0.43, rel=0.05)


@pytest.mark.source("holm", "copper spot of 1 µm radius: 8.5 mΩ cold, melts at about 13 A")
def test_copper_spot_of_a_micrometre():
    assert 1e3 * spot_resistance(1e-6, resistivity=1.7e-8) == printed("8.5")
    current = melting_current(1e-6, resistivity=1.7e-8, melting_point=1357.77)
    assert current == pytest.approx(13.0, rel=0.3)


@pytest.mark.source("circuit-theory", "10 µF at 60 V into 0.1 Ω: 0.18 A²s")
def test_action_of_a_store():
    assert discharge_action(60.0, capacitance=10e-6, loop_resistance=0.1) == printed("0.18")


@pytest.mark.source("onderdonk", "0.18 A²s melts a copper neck of up to 21.8 µm radius")
def test_thickest_neck_that_blows():
    assert largest_blown_radius(0.18, metal=0.80e17) == pytest.approx(21.8e-6, rel=0.05)


@pytest.mark.source("computed", "section of a sphere at a small depth")
def test_neck_of_a_rounded_peak():
    R, overlap = 10e-6, 0.05e-6
    exact = np.sqrt(R**2 - (R - overlap) ** 2)
    assert neck_radius(overlap, asperity_radius=R) == pytest.approx(exact, rel=overlap / R)


@pytest.mark.source("break-erosion", "energy of bridge and short arc grows as the squared current")
def test_break_energy_grows_as_the_squared_current():
    loop = {"inductance": 0.1e-6, "voltage": 48.0, "arc_voltage": 13.0}
    assert break_energy(2.0, **loop) / break_energy(1.0, **loop) == pytest.approx(4.0, rel=1e-12)
    assert 1e6 * break_energy(1.0, **loop) == printed("10")


@pytest.mark.source("computed", "an inductance drives the arc until its current is gone")
def test_break_energy_below_the_arc_voltage():
    L, V, arc, start = 10e-6, 10.0, 13.0, 2.0
    gone = solve_ivp(
        lambda _, y: [(V - arc) / L, arc * y[0]], (0.0, L * start / (arc - V)), [start, 0.0], rtol=1e-10
    )
    found = break_energy(start, inductance=L, voltage=V, arc_voltage=arc)
    assert found == pytest.approx(gone.y[1, -1], rel=1e-6)


@pytest.mark.source("computed", "150 V/µm at 1 mm/s: 150 V for each millisecond")
def test_recharging_that_does_not_strike_again():
    assert safe_voltage_rise(1e-3, field=150e6) == printed("1.50e5")
