"""Cautions about the store: each rule raised, and not raised."""

import pytest

from gapwright.study.grounds.outcome import Degree
from tests.unit.study.benches import DRY, FIRST, demo, raised

SPRAY, SHOCK, TOUCH = "sprays molten metal", "dangerous shock", "bare parts may have"
BLEED, VENT = "once the supply is off", "vents hot liquid"


@pytest.mark.parametrize(
    ("energy", "degree"), [(0.99, None), (1.0, Degree.CARE), (99.0, Degree.CARE), (100.0, Degree.DANGER)]
)
def test_metal_spray_begins_at_one_joule_and_burns_at_a_hundred(energy, degree):
    found = raised(demo(DRY), SPRAY, stored_energy_j=energy, store_volts=20.0)
    assert (found and found.degree) == degree


@pytest.mark.parametrize(
    ("volts", "energy", "dangerous"),
    [(100.0, 1.0, True), (99.0, 1.0, False), (100.0, 0.99, False), (100.0, 10.0, True)],
)
def test_shock_needs_voltage_and_energy(volts, energy, dangerous):
    found = raised(demo(DRY), SHOCK, store_volts=volts, stored_energy_j=energy)
    assert (found is not None) is dangerous
    if found:
        assert found.degree is Degree.DANGER
        assert found.limit == "from 100 V and 1 J together"


@pytest.mark.parametrize(
    ("name", "volts", "degree"),
    [
        (DRY, 60.0, None),
        (DRY, 61.0, Degree.CARE),
        (DRY, 121.0, Degree.DANGER),
        (FIRST, 30.0, None),
        (FIRST, 31.0, Degree.CARE),
        (FIRST, 61.0, Degree.DANGER),
    ],
)
def test_touch_voltage_dry_and_wet(name, volts, degree):
    found = raised(demo(name), TOUCH, store_volts=volts)
    assert (found and found.degree) == degree


def test_touching_one_pole_is_enough_where_the_other_is_earthed():
    earthed = raised(demo(FIRST, {"supply.earthing": "earthed"}), TOUCH)
    isolated = raised(demo(FIRST), TOUCH)
    assert "touching the other alone is enough" in earthed.text
    assert "touching the other" not in isolated.text


def test_hands_stay_out_of_the_liquid_where_there_is_one():
    assert "out of the liquid" in raised(demo(FIRST), TOUCH).text
    assert "liquid" not in raised(demo(DRY), TOUCH, store_volts=70.0).text


def charged(bleeder, *, name=DRY, farads=100e-6, volts=100.0):
    made = demo(name, {"generator.bleeder": bleeder, "generator.capacitor.capacitance": farads})
    return raised(made, BLEED, store_volts=volts, stored_energy_j=0.5 * farads * volts**2)


def test_a_store_without_bleeder_is_told_what_to_fit():
    found = charged(None)
    assert found.text.startswith("Nothing empties the store once the supply is off: up to 100 V stays")
    assert "at most 19.6 kΩ across it, which takes 511 mW, to reach 60 V within 1 s" in found.text
    assert found.limit == "at most 60 V left after 1 s where the store can be reached, after 5 s in any case"
    assert found.degree is Degree.CARE


def test_a_wet_rig_is_bled_to_thirty_volts():
    found = charged(None, name=FIRST)
    assert "at most 8.31 kΩ across it" in found.text
    assert "30 V within 1 s" in found.text


@pytest.mark.parametrize(
    ("bleeder", "degree"),
    [(19.5e3, None), (19.7e3, Degree.NOTE), (97.8e3, Degree.NOTE), (98.0e3, Degree.CARE)],
)
def test_a_bleeder_within_one_second_within_five_and_too_slow(bleeder, degree):
    found = charged(bleeder)
    assert (found and found.degree) == degree


@pytest.mark.parametrize(("bleeder", "degree"), [(30e3, Degree.CARE), (100e3, Degree.DANGER)])
def test_a_slow_bleeder_is_graver_on_a_store_that_shocks(bleeder, degree):
    assert charged(bleeder, farads=210e-6).degree is degree


def test_the_time_of_the_bleeder_is_told():
    assert "The bleeder of 50 kΩ takes 2.55 s to bring the store from 100 V to 60 V" in charged(50e3).text


@pytest.mark.parametrize(("farads", "told"), [(0.59e-6, False), (0.61e-6, True)])
def test_sixty_microcoulombs_are_exempt(farads, told):
    assert (charged(None, farads=farads) is not None) is told


def test_a_store_below_the_residual_voltage_needs_no_bleeder():
    assert charged(None, farads=22e-6, volts=59.0) is None
    assert charged(None, farads=22e-6, volts=61.0) is not None


@pytest.mark.parametrize(("kind", "told"), [("electrolytic", True), ("film", False), ("ceramic", False)])
def test_only_electrolytics_vent(kind, told):
    found = raised(demo(DRY, {"generator.capacitor.type": kind}), VENT)
    assert (found is not None) is told
    if found:
        assert "goggles" in found.text
