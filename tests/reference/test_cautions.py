"""Numbers of safety and sound practice that the cautions must give."""

import pytest

from gapwright.rig.setup import Liquid
from gapwright.study.forecast.ignition import ignition_in_words
from gapwright.study.grounds.outcome import Degree
from gapwright.study.grounds.store_duty import largest_bleeder, ripple_current
from tests.printed import printed
from tests.unit.study.benches import DRY, FIRST, demo, raised


@pytest.mark.source("iec-60204-1", "6.2.4: 60 V left after 5 s, 1 s at pins; bleeders computed from it")
@pytest.mark.parametrize(
    ("farads", "volts", "left", "time", "kilohms"),
    [
        (100e-6, 100.0, 60.0, 5.0, "97.9"),
        (100e-6, 100.0, 60.0, 1.0, "19.6"),
        (100e-6, 100.0, 30.0, 5.0, "41.5"),
        (100e-6, 100.0, 30.0, 1.0, "8.31"),
        (1e-3, 80.0, 60.0, 1.0, "3.48"),
        (100e-6, 200.0, 60.0, 1.0, "8.31"),
    ],
)
def test_bleeders(farads, volts, left, time, kilohms):
    assert largest_bleeder(volts, left=left, time=time, capacitance=farads) / 1e3 == printed(kilohms)


@pytest.mark.source("iec-60204-1", "6.2.4: 1 mF at 80 V bled within 1 s takes 1.84 W, computed")
def test_heat_of_a_bleeder():
    made = demo(DRY, {"generator.capacitor.capacitance": 1e-3})
    assert (
        "at most 3.48 kΩ across it, which takes 1.84 W"
        in raised(made, "Nothing empties", store_volts=80.0).text
    )


@pytest.mark.source("iec-60204-1", "6.2.4: parts that hold 60 µC or less are exempt")
def test_sixty_microcoulombs_are_the_edge():
    words = "Nothing empties the store"
    exempt = demo(FIRST, {"generator.bleeder": None, "generator.capacitor.capacitance": 1e-6})
    assert raised(exempt, words, store_volts=60.0) is None
    assert raised(exempt, words, store_volts=60.1) is not None


@pytest.mark.source("nfpa-70e", "capacitors: 100 V and more with more than 1 J")
@pytest.mark.parametrize("farads", [2e-3, 200e-6])
def test_ten_joules_and_one_joule_at_a_hundred_volts_shock(farads):
    energy = 0.5 * farads * 100.0**2
    made = demo(DRY)
    shock = raised(made, "dangerous shock", store_volts=100.0, stored_energy_j=energy)
    assert shock.degree is Degree.DANGER
    assert raised(made, "sprays molten metal", store_volts=100.0, stored_energy_j=energy) is not None


@pytest.mark.source("common-practice", "10 mF at 60 V is 18 J: goggles and no loose tools, no shock")
def test_eighteen_joules_at_sixty_volts_spray():
    spray = raised(demo(DRY), "sprays molten metal", store_volts=60.0, stored_energy_j=0.5 * 10e-3 * 60.0**2)
    assert spray.text.startswith(
        "The store holds 18 J at 60 V: a short across it sprays molten metal and burns."
    )
    assert "goggles" in spray.text
    assert "loose tools" in spray.text
    assert raised(demo(DRY), "dangerous shock", store_volts=60.0, stored_energy_j=18.0) is None


@pytest.mark.source("lab-capacitor-thresholds", "below 100 V and above 100 J: burn; 55.6 mF at 60 V")
def test_a_hundred_joules_burn():
    energy = 0.5 * 55.6e-3 * 60.0**2
    assert (
        raised(demo(DRY), "sprays molten metal", store_volts=60.0, stored_energy_j=energy).degree
        is Degree.DANGER
    )


@pytest.mark.source("circuit-theory", "1.144 A²s, 75 times a second: 9.26 A r.m.s.")
def test_ripple_of_the_golden_circuit():
    assert ripple_current(1.144, rate=75.0) == printed("9.26")
    found = raised(demo(DRY), "ripple current", action_a2s=1.144, spark_rate_hz=75.0)
    assert "reaches 9.26 A, above the capacitor's ripple rating of 250 mA" in found.text


@pytest.mark.source("faraday-codata", "0.0368 mm³ of iron a coulomb: 79 mA for 10 min dissolve up to 1.7 mm³")
def test_conductive_water_dissolves():
    salty = demo(FIRST, {"setup.liquid": Liquid(name="deionised-water", conductivity=0.01)})
    found = raised(salty, "bell-mouthed", leak_current_a=79e-3, duration_s=600.0)
    dissolved = found.text.split("dissolves up to ")[1].split(" mm³")[0]
    assert float(dissolved) == printed("1.7")
    assert float(dissolved) / (79e-3 * 600.0) == pytest.approx(0.0368, rel=5e-3)


@pytest.mark.source("faraday-codata", "0.124 mL of hydrogen a coulomb at 20 °C: 10 mA make 4.5 mL an hour")
def test_hydrogen_from_water():
    wet = demo(FIRST, {"setup.liquid": Liquid(name="deionised-water", conductivity=5e-4, temperature=293.15)})
    found = raised(wet, "of hydrogen", leak_current_a=10e-3)
    made = float(found.text.split("makes up to ")[1].split(" mL")[0])
    assert made / 36.0 == pytest.approx(0.124, rel=0.01)


@pytest.mark.source("common-practice", "60 V between copper and steel, 0.43 A: 140 Ω grades the standing arc")
@pytest.mark.parametrize(("ohms", "grade"), [(141.0, "unlikely"), (138.0, "possible"), (19.0, "likely")])
def test_standing_arc_is_graded_at_140_ohms(ohms, grade):
    made = demo(
        DRY, {"supply.voltage": 60.0, "supply.current_limit": 10.0, "generator.resistor.resistance": ohms}
    )
    assert made.hold_current == printed("0.43")
    assert raised(made, "A standing arc").text.startswith(f"A standing arc is {grade}")
    if grade != "unlikely":
        assert "charge through more than 140 Ω" in raised(made, "A standing arc").text


@pytest.mark.source("common-practice", "10 nH at 200 A/µs: 2.0 V, enough to reset a controller")
def test_a_centimetre_of_shared_wire():
    found = raised(demo(FIRST), "may reset it", store_volts=70.0, lead_inductance_h=45.0 / 200e6)
    assert "rises by 200 A/µs" in found.text
    assert "puts 2 V on" in found.text


@pytest.mark.source("common-practice", "0.15 mm of wall: 1.5 mJ at most")
def test_largest_spark_for_a_tube():
    found = raised(demo(FIRST), "too wide for", spark_energy_j=5e-3)
    assert float(found.text.split("at most ")[1].split(" mJ")[0]) == printed("1.5")


@pytest.mark.source("common-practice", "0.5 mm rod: 3.6 mJ at most")
def test_largest_spark_for_a_rod():
    made = demo(DRY, {"setup.electrode.diameter": 0.5e-3})
    found = raised(made, "too wide for", spark_energy_j=5e-3)
    assert float(found.text.split("at most ")[1].split(" mJ")[0]) == pytest.approx(3.6, rel=0.02)


@pytest.mark.source("paschen-constants", "air with a yield of 0.01: 20 µm break down at 347 V")
def test_air_gap_of_347_volts():
    assert "347 V jumps up to about 20 µm" in ignition_in_words(demo(DRY, {"supply.voltage": 347.0}), None)


@pytest.mark.source("atalla-1953", "48 V at 150 V/µm strike at 0.32 µm")
def test_contacts_strike_at_a_third_of_a_micrometre():
    assert "48 V jumps only about 320 nm" in ignition_in_words(demo(DRY), None)
