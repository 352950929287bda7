"""Liquids and air."""

import pytest

from gapwright.base.errors import FactMissing
from gapwright.facts.liquids import liquid, liquids

NEEDED = (
    "density",
    "viscosity",
    "specific_heat",
    "thermal_conductivity",
    "conductivity",
    "burning_voltage",
    "effective_field",
)


@pytest.mark.parametrize("key", liquids())
def test_every_liquid_knows_what_a_forecast_needs(key):
    assert all(getattr(liquid(key), name) is liquid(key).fact(name) for name in NEEDED)
    assert all(liquid(key).fact(name).value > 0 for name in NEEDED)


@pytest.mark.parametrize("key", liquids())
def test_what_burns_has_a_flash_point_and_nothing_else_does(key):
    assert liquid(key).knows("flash_point") is liquid(key).flammable
    assert liquid(key).flammable is (liquid(key).kind == "hydrocarbon")


def test_flash_point_is_the_lowest_of_those_published():
    kerosene = liquid("kerosene")
    others = [kerosene.fact(name).value for name in kerosene.facts if name.startswith("flash_point_")]
    assert len(others) == 2
    assert kerosene.flash_point.value < min(others)


@pytest.mark.parametrize("key", ["kerosene", "erosion-oil"])
def test_viscosities_agree(key):
    oil = liquid(key)
    assert oil.viscosity.value == pytest.approx(
        oil.fact("kinematic_viscosity").value * oil.density.value, rel=0.02
    )


def test_conductivity_grows_from_the_exchanger_to_the_tap():
    waters = [liquid(key).conductivity.value for key in ("pure-water", "deionised-water", "tap-water")]
    assert waters == sorted(waters)
    assert waters[0] == pytest.approx(5.5e-6, rel=1e-12)


def test_air_strikes_in_narrower_gaps_than_water():
    assert liquid("air").effective_field.value > 10 * liquid("deionised-water").effective_field.value


def test_unknown_names_are_refused():
    with pytest.raises(FactMissing, match="did you mean 'kerosene'"):
        liquid("kerosin")
    with pytest.raises(FactMissing, match="flash_point of deionised-water is not in the tables"):
        _ = liquid("deionised-water").flash_point
