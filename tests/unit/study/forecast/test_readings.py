"""What a plain meter should show, and what a wrong reading means."""

from dataclasses import replace

import pytest

from gapwright.base.errors import InputRefused
from gapwright.rig.setup import Liquid, Rod
from gapwright.study.forecast.readings import METER_TOP, ReadingFigures, expected_readings
from gapwright.study.grounds.outcome import Banded
from tests.printed import printed
from tests.unit.study.benches import DRY, FIRST, SECOND, demo, oily


def band(median, *, low=None, high=None):
    return Banded(median=median, low=0.8 * median if low is None else low, high=high or 1.3 * median)


def figures(*, gap=10e-6):
    return ReadingFigures(
        supply_current_a=band(0.16),
        mean_gap_voltage_v=band(42.0),
        charge_cycles_hz=band(3600.0),
        gap_m=gap,
        front_area_m2=0.785e-6,
    )


def readings(made, **given):
    return expected_readings(made, figures(**given))


@pytest.mark.parametrize(("name", "wet"), [(DRY, False), (FIRST, True), (SECOND, True)])
def test_the_readings_of_a_rig(name, wet):
    keys = set(readings(demo(name)))
    always = {
        "supply_current_a",
        "mean_gap_voltage_v",
        "charge_cycles_hz",
        "open_gap_resistance_ohm",
        "spindle_to_frame_ohm",
    }
    assert keys == always | ({"liquid_conductivity_siemens_per_m"} if wet else set())


@pytest.mark.parametrize("name", [DRY, FIRST, SECOND])
def test_each_reading_says_how_to_take_it_and_what_a_wrong_one_means(name):
    for reading in readings(demo(name)).values():
        assert "meter" in reading.name or "counter" in reading.name
        assert reading.if_low
        assert reading.if_high


def test_forecast_bands_are_passed_on():
    found = readings(demo(FIRST))
    asked = figures()
    for key in ("supply_current_a", "mean_gap_voltage_v", "charge_cycles_hz"):
        reading, given = found[key], getattr(asked, key)
        assert (reading.median, reading.low, reading.high) == (given.median, given.low, given.high)


def test_the_meter_is_told_for_the_mean_gap_voltage():
    found = readings(demo(FIRST))["mean_gap_voltage_v"]
    assert found.name == "mean gap voltage, plain meter through 10 kΩ and 1 µF"
    assert "below 8 V the gap is shorted; steady near 25 V an arc stands" in found.if_low
    assert "near 70 V the gap stands open" in found.if_high


def test_a_short_reads_the_current_that_this_rig_gives():
    assert "at about 389 mA the gap is shorted" in readings(demo(FIRST))["supply_current_a"].if_high
    assert "at about 2 A the gap is shorted" in readings(demo(SECOND))["supply_current_a"].if_high
    assert "liquid" not in readings(demo(DRY))["supply_current_a"].if_high


def test_cycles_are_sparks_or_coil_cycles():
    assert readings(demo(FIRST))["charge_cycles_hz"].name.startswith("sparks per second")
    assert readings(demo(SECOND))["charge_cycles_hz"].name.startswith("coil cycles per second")
    assert "contacts chatter" in readings(demo(DRY))["charge_cycles_hz"].if_high
    assert "debris" in readings(demo(FIRST))["charge_cycles_hz"].if_high


def soaked(conductivity, *, bleeder=None):
    rod = Rod(form="rod", material="brass", diameter=1e-3, length=0.1, free_length=0.02)
    water = Liquid(name="deionised-water", conductivity=conductivity)
    return demo(
        FIRST,
        {
            "setup.electrode": rod,
            "setup.liquid": water,
            "generator.bleeder": bleeder,
            "setup.flushing.kind": "side-jet",
        },
        {"hole.diameter": 1.2e-3},
    )


def test_an_open_gap_in_conductive_water_reads_low():
    found = readings(soaked(0.01))["open_gap_resistance_ohm"]
    assert found.median / 1e3 == printed("1.27")
    assert readings(soaked(0.01), gap=20e-6)["open_gap_resistance_ohm"].median / 1e3 == printed("2.55")


def test_a_bleeder_stands_beside_the_gap():
    found = readings(soaked(0.01, bleeder=1000.0))["open_gap_resistance_ohm"]
    assert found.median == printed("560")
    assert "at 1 kΩ the bleeder alone conducts" in found.if_high


def test_a_dry_gap_is_over_the_meters_range():
    found = readings(demo(DRY), gap=1e-6)["open_gap_resistance_ohm"]
    assert (found.median, found.low, found.high) == (None, METER_TOP, None)
    assert "over the meter's range" in found.if_high


def test_a_dry_gap_with_a_bleeder_reads_the_bleeder():
    found = readings(demo(DRY, {"generator.bleeder": 1e5}))["open_gap_resistance_ohm"]
    assert found.median == printed("100000")
    assert (found.low, found.high) == (None, 1e5)


def test_oil_is_over_the_meters_range():
    found = readings(oily())["open_gap_resistance_ohm"]
    assert (found.median, found.low, found.high) == (None, METER_TOP, None)
    assert found.if_high == "the gap is wider or less wet than at work"


def test_the_spindle_is_held_against_a_megohm():
    found = readings(demo(FIRST))["spindle_to_frame_ohm"]
    assert (found.median, found.low, found.high) == (10e6, 1e6, None)
    assert "below 1 MΩ the spindle leaks" in found.if_low
    poor = readings(demo(FIRST, {"setup.spindle.insulation": 2e5}))["spindle_to_frame_ohm"]
    assert (poor.median, poor.low) == (2e5, 2e5)


def test_water_is_held_against_twenty_microsiemens():
    found = readings(soaked(5e-4))["liquid_conductivity_siemens_per_m"]
    assert (found.median, found.low, found.high) == (5e-4, None, 20e-4)
    assert "above 20 µS/cm the entry comes out bell-mouthed" in found.if_high
    assert readings(soaked(0.01))["liquid_conductivity_siemens_per_m"].high == 0.01


def test_oil_hardly_conducts():
    found = readings(oily())["liquid_conductivity_siemens_per_m"]
    assert found.median * 1e12 == printed("2")
    assert "water or metal dust got in" in found.if_high


@pytest.mark.parametrize("name", ["front_area_m2", "gap_m"])
def test_a_front_without_area_or_gap_is_refused(name):
    with pytest.raises(InputRefused, match=f"{name} must be above 0 m"):
        replace(figures(), **{name: 0.0})
