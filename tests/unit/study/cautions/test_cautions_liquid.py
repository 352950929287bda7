"""Cautions about what fills the gap: each rule raised, and not raised."""

from dataclasses import replace

import pytest

from gapwright.rig.setup import FreeFlushing, Liquid, Rod
from gapwright.study.grounds.outcome import Degree
from tests.unit.study.benches import DRY, FIRST, demo, oily, raised

COVER, WARM, FLASH = "sets it alight", "Stop and let it cool", "may flash from"
MIST, FUMES, GAS = "come out as mist", "Sparks make fumes", "of hydrogen an hour"
DISSOLVES, BREAKER = "comes out bell-mouthed", "residual-current device"


def salty(conductivity=0.01, **rig):
    water = Liquid(name="deionised-water", conductivity=conductivity, cover=0.01)
    return demo(FIRST, {"setup.liquid": water, **{key.replace("__", "."): v for key, v in rig.items()}})


@pytest.mark.parametrize(("cover", "told"), [(0.0, True), (0.039, True), (0.040, False), (0.05, False)])
@pytest.mark.parametrize("name", ["kerosene", "erosion-oil"])
def test_hydrocarbon_wants_forty_millimetres_whatever_its_flash_point(name, cover, told):
    found = raised(oily(name=name, cover=cover), COVER)
    assert (found is not None) is told
    if found:
        assert found.degree is Degree.DANGER
        assert found.limit == "at least 40 mm, hydrocarbon over the spark"


def test_a_film_is_called_so():
    assert "only wets the work" in raised(oily(cover=0.0), COVER).text
    assert "stands only 10 mm over the spark" in raised(oily(cover=0.01), COVER).text


def test_water_needs_no_cover():
    assert raised(salty(), COVER) is None


@pytest.mark.parametrize(("celsius", "told"), [(22.9, False), (23.1, True), (40.0, True)])
def test_kerosene_stays_fifteen_kelvins_below_its_flash_point(celsius, told):
    found = raised(oily(name="kerosene", temperature=celsius + 273.15), WARM)
    assert (found is not None) is told
    if found:
        assert "may flash at 38 °C. Stop and let it cool below 23 °C" in found.text
        assert found.degree is Degree.DANGER


def test_water_cannot_flash():
    assert raised(salty(), WARM) is None
    assert raised(salty(), FLASH) is None


def test_flash_points_too_low_low_and_good():
    kerosene = raised(oily(name="kerosene"), FLASH)
    assert kerosene.degree is Degree.CARE
    assert kerosene.limit.startswith("at least 60 °C")
    assert raised(oily(), FLASH) is None
    made = oily()
    flash = replace(made.liquid.flash_point, value=273.15 + 80.0)
    other = replace(made, liquid=replace(made.liquid, facts={**made.liquid.facts, "flash_point": flash}))
    between = raised(other, FLASH)
    assert between.degree is Degree.NOTE
    assert between.limit.startswith("at least 100 °C")


def test_mist_of_a_liquid_that_burns_and_is_pressed():
    assert raised(oily(), MIST).degree is Degree.CARE
    assert "At 500 kPa" in raised(oily(), MIST).text
    assert raised(salty(), MIST) is None
    still = demo(
        FIRST,
        {"setup.liquid": Liquid(name="kerosene", cover=0.05), "setup.flushing": FreeFlushing(kind="dip")},
    )
    assert raised(still, MIST) is None


@pytest.mark.parametrize(
    ("made", "degree", "what"),
    [
        (lambda: demo(DRY), Degree.CARE, "metal, and"),
        (lambda: salty(setup__surroundings__exhaust=False), Degree.NOTE, "metal, and"),
    ],
)
def test_fumes_without_exhaust(made, degree, what):
    found = raised(made(), FUMES)
    assert found.degree is degree
    assert what in found.text


def test_fumes_of_oil_and_none_with_exhaust():
    made = oily()
    assert raised(made, FUMES) is None
    surroundings = made.rig.setup.surroundings.model_copy(update={"exhaust": False})
    setup = made.rig.setup.model_copy(update={"surroundings": surroundings})
    bare = replace(made, rig=made.rig.model_copy(update={"setup": setup}))
    assert "cracked oil" in raised(bare, FUMES).text
    assert raised(bare, FUMES).degree is Degree.CARE


def test_gas_comes_from_a_leak_through_water_only():
    found = raised(salty(), GAS, leak_current_a=10e-3)
    assert "makes up to 4.49 mL of hydrogen an hour, enough to let 112 mL of trapped air burn" in found.text
    assert found.degree is Degree.NOTE
    assert raised(salty(), GAS, leak_current_a=0.0) is None
    assert raised(oily(), GAS, leak_current_a=10e-3) is None


@pytest.mark.parametrize(("conductivity", "told"), [(19e-4, False), (20e-4, False), (21e-4, True)])
def test_water_dissolves_above_twenty_microsiemens(conductivity, told):
    found = raised(salty(conductivity), DISSOLVES, leak_current_a=1e-3)
    assert (found is not None) is told
    if found:
        assert found.limit.startswith("at most 20 µS/cm")
        assert found.degree is Degree.CARE


def test_oil_does_not_dissolve():
    assert raised(oily(conductivity=0.01), DISSOLVES) is None


def test_the_positive_side_dissolves():
    forward = raised(salty(), DISSOLVES, leak_current_a=79e-3, duration_s=600.0)
    backward = raised(
        salty(setup__polarity="workpiece negative"), DISSOLVES, leak_current_a=79e-3, duration_s=600.0
    )
    assert "of the workpiece" in forward.text
    assert "of the electrode" in backward.text


def test_graphite_lets_current_past_and_stays():
    rod = Rod(form="rod", material="graphite", diameter=0.5e-3, length=0.1, free_length=0.02)
    made = salty(
        setup__electrode=rod, setup__polarity="workpiece negative", setup__flushing=FreeFlushing(kind="dip")
    )
    assert "lets current past the sparks" in raised(made, DISSOLVES, leak_current_a=79e-3).text


def test_a_residual_current_device_stands_before_anything_wet():
    assert raised(salty(), BREAKER).degree is Degree.NOTE
    assert "at most 30 mA upstream" in raised(oily(), BREAKER).text
    assert raised(demo(DRY), BREAKER) is None
