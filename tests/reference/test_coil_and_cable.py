"""Coils, cables and the skin effect against printed tables and worked values."""

from math import pi, sqrt

import pytest
from scipy.constants import mu_0

from gapwright.base.errors import OutOfRange
from gapwright.circuit.formulas.cable import (
    coaxial_inductance,
    round_wire_resistance,
    skin_factor,
    twisted_inductance,
)
from gapwright.circuit.formulas.coil_design import (
    core_flux,
    core_gap,
    sheet_inductance,
    sheet_turns,
    winding_turns,
)
from gapwright.circuit.formulas.wire import line_inductance
from tests.printed import printed

INCH = 25.4e-3
COPPER = 1.7241e-8

SKIN_TABLE = [
    (0.5, "1.0003"),
    (1.0, "1.0052"),
    (1.5, "1.0258"),
    (2.0, "1.0782"),
    (2.5, "1.1754"),
    (3.0, "1.3181"),
    (4.0, "1.6779"),
    (5.0, "2.0427"),
    (10.0, "3.7986"),
]
"""Argument a·sqrt(2)/δ, and the resistance over that to direct current."""


@pytest.mark.source("rosa-grover-1912", "table of R/R0 against x, to four decimals from memory")
@pytest.mark.parametrize(("argument", "ratio"), SKIN_TABLE)
def test_skin_effect_of_a_round_wire(argument, ratio):
    # A wire of 1 m at 1 Hz whose skin depth makes the argument what the table has.
    resistivity = pi * mu_0 * 2.0 / argument**2
    assert skin_factor(1.0, frequency=1.0, resistivity=resistivity) == printed(ratio)


@pytest.mark.source("computed", "thick wires: R/R0 tends to a/2δ + 1/4")
def test_skin_effect_of_a_thick_wire():
    depth = sqrt(COPPER / (pi * mu_0 * 10e6))
    factor = skin_factor(2e-3, frequency=10e6, resistivity=COPPER)
    assert factor == pytest.approx(2e-3 / (2.0 * depth) + 0.25, rel=1e-3)
    whole = round_wire_resistance(0.5, radius=2e-3, frequency=10e6, resistivity=COPPER)
    assert whole == pytest.approx(COPPER * 0.5 / (pi * 4e-6) * factor, rel=1e-12)
    assert skin_factor(1e-3, frequency=0.0, resistivity=COPPER) == 1.0


@pytest.mark.source("computed", "line of 50 Ω and 5 ns/m: inductance and capacitance by metre give both")
def test_a_cable_of_50_ohms():
    # Z = sqrt(L/C) and v = 1/sqrt(LC), so L = Z/v; with polyethylene v = c/1.5 and b/a = 3.49.
    ratio = 3.4904
    per_metre = coaxial_inductance(1.0, radius=1e-3, shield_radius=ratio * 1e-3, internal=0.0)
    assert per_metre == pytest.approx(mu_0 / (2.0 * pi) * 1.25, rel=1e-4)
    assert 1e9 * per_metre == printed("250")
    with pytest.raises(OutOfRange, match="outside|must be above"):
        coaxial_inductance(1.0, radius=1e-3, shield_radius=1e-3)


@pytest.mark.source("computed", "a slack twist is the line of two round wires")
def test_a_slack_twist_is_a_straight_pair():
    straight = 0.2 * line_inductance(2.4e-3, radius=0.69e-3)
    assert twisted_inductance(0.2, spacing=2.4e-3, radius=0.69e-3, lay=1e3) == pytest.approx(
        straight, rel=1e-9
    )
    tight = twisted_inductance(0.2, spacing=2.4e-3, radius=0.69e-3, lay=pi * 2.4e-3)
    assert tight == pytest.approx(sqrt(2.0) * straight, rel=1e-12)
    with pytest.raises(OutOfRange, match="a twist of 45°"):
        twisted_inductance(0.2, spacing=2.4e-3, radius=0.69e-3, lay=5e-3)
    with pytest.raises(OutOfRange, match="from axis to axis"):
        twisted_inductance(0.2, spacing=1.3e-3, radius=0.69e-3, lay=50e-3)


@pytest.mark.source(
    "computed", "A_L 250 nH, 47 µH, 97 mm²: 13.71 turns; 14 turns, 49.0 µH, 110.55 mT, 0.48758 mm"
)
def test_a_coil_on_a_core():
    assert winding_turns(47e-6, core_factor=250e-9) == printed("13.71")
    inductance = 14.0**2 * 250e-9
    assert 1e6 * inductance == printed("49.0")
    flux = core_flux(3.06383, inductance=inductance, turns=14, area=97e-6)
    assert flux == printed("0.11055")
    assert 1e3 * core_gap(inductance, turns=14, area=97e-6) == printed("0.48758")


@pytest.mark.source(
    "wheeler-1928", "r = 1 in, l = 1 in, N = 20: 21.0526 µH; r = 10 mm, l = 30 mm, N = 30: 9.0854 µH"
)
def test_a_coil_without_a_core():
    assert 1e6 * sheet_inductance(INCH, length=INCH, turns=20) == printed("21.0526")
    assert 1e6 * sheet_inductance(10e-3, length=30e-3, turns=30) == printed("9.0854")


@pytest.mark.source("computed", "current sheet with Nagaoka's factor: 21.0782 µH and 9.1182 µH")
@pytest.mark.parametrize(
    ("radius", "length", "turns", "exact"), [(INCH, INCH, 20, 21.0782e-6), (10e-3, 30e-3, 30, 9.1182e-6)]
)
def test_the_handbook_form_is_good_to_a_percent(radius, length, turns, exact):
    assert sheet_inductance(radius, length=length, turns=turns) == pytest.approx(exact, rel=1e-2)


@pytest.mark.source("wheeler-1928", "solved for the turns")
def test_turns_of_a_coil_without_a_core_are_found_back():
    turns = sheet_turns(22e-6, radius=12e-3, pitch=1.2e-3)
    again = sheet_inductance(12e-3, length=1.2e-3 * turns, turns=turns)
    assert again == pytest.approx(22e-6, rel=1e-12)
    with pytest.raises(OutOfRange, match="take a smaller radius"):
        sheet_turns(0.1e-6, radius=50e-3, pitch=1e-3)
    with pytest.raises(OutOfRange, match="for a flatter winding"):
        sheet_inductance(50e-3, length=1e-3, turns=1)
