"""What ignites a rig, in words; classes of discharges; burning in its medium."""

import math

import pytest

from gapwright.gap.burning import BurningVoltages, Medium, burning_voltage, is_extinguished
from gapwright.gap.classes import (
    DischargeClass,
    Thresholds,
    capacitor_class,
    contact_class,
    is_standing,
)
from gapwright.gap.debris import DebrisLaw, FlushingKind, bridging_probability, flushing_time
from gapwright.gap.delay import Hazard, ignition_rate
from gapwright.gap.ignition import DryRig, Way, dry_ignition, liquid_ignition

DRY = {
    "voltage": 48.0,
    "inductance": 1e-6,
    "charging_resistance": 120.0,
    "least_arc_voltage": 13.0,
    "least_arc_current": 0.43,
    "strike_field": 150e6,
}


@pytest.mark.parametrize(
    ("change", "way", "words"),
    [
        ({}, Way.FIELD, "near-contact"),
        ({"voltage": 400.0}, Way.AIR, "air itself"),
        ({"voltage": 12.0}, Way.MELT, "more than 14 V"),
        ({"inductance": 10e-6}, Way.BRIDGE, "blows the bridge"),
        ({"inductance": 10e-6, "charging_resistance": 50.0}, Way.BREAK, "as they part"),
        ({"inductance": 10e-6, "is_oily": True}, Way.FIELD, "roughness"),
    ],
)
def test_what_ignites_a_dry_rig(change, way, words):
    found = dry_ignition(DryRig(**(DRY | change)))
    assert found.way is way
    assert words in found.text


def test_a_dry_rig_strikes_below_the_roughness():
    found = dry_ignition(DryRig(**DRY))
    assert found.gap == pytest.approx(0.32e-6, rel=1e-12)
    assert "0.32 µm" in found.text


@pytest.mark.parametrize(
    ("voltage", "way", "words"),
    [
        (35.0, Way.NOTHING, "not enough"),
        (44.0, Way.DEBRIS, "bridges of debris"),
        (70.0, Way.LIQUID, "by chance"),
    ],
)
def test_what_ignites_a_rig_in_liquid(voltage, way, words):
    found = liquid_ignition(voltage, burning_voltage=25.0, gap=8e-6)
    assert found.way is way
    assert words in found.text


def test_a_field_above_the_intrinsic_ignites_at_once():
    arguments = {"area": 1e-6, "dead_voltage": 35.0, "hazard": Hazard()}
    assert ignition_rate(150.0, 2.5e-6, **arguments) == math.inf
    assert ignition_rate(35.0, 2.5e-6, **arguments) == 0.0
    assert 0.0 < ignition_rate(36.0, 2.5e-6, **arguments) < math.inf


def test_debris_makes_ignition_likelier():
    arguments = {"area": 1e-6, "dead_voltage": 35.0, "hazard": Hazard()}
    clean = ignition_rate(70.0, 8e-6, **arguments)
    dirty = ignition_rate(70.0, 8e-6, debris=0.02, **arguments)
    assert dirty / clean == pytest.approx(2.0, rel=1e-12)


@pytest.mark.parametrize(
    ("share", "arcs", "found"),
    [
        (0.9, 0, DischargeClass.NORMAL),
        (0.3, 0, DischargeClass.PARTIAL),
        (0.1, 0, DischargeClass.TRANSIENT_ARC),
        (0.1, 5, DischargeClass.STATIONARY_ARC),
    ],
)
def test_class_of_a_capacitors_discharge(share, arcs, found):
    assert capacitor_class(share, arcs_of_last_eight=arcs) is found


@pytest.mark.parametrize(
    ("end", "recovery", "found"),
    [
        (0.5, 2e-3, DischargeClass.SHORT),
        (0.5, 0.5e-3, DischargeClass.CONTACT),
        (10.0, 2e-3, DischargeClass.CONTACT),
    ],
)
def test_class_of_a_touch(end, recovery, found):
    assert contact_class(end_voltage=end, recovery=recovery, time_constant=1e-3) is found


@pytest.mark.parametrize(
    ("duration", "voltage", "current", "stands"),
    [(1.0, 25.0, 0.3, True), (1e-3, 25.0, 0.3, False), (1.0, 70.0, 0.3, False), (1.0, 25.0, 0.1, False)],
)
def test_an_arc_that_stands(duration, voltage, current, stands):
    found = is_standing(
        duration,
        mean_voltage=voltage,
        burning_voltage=25.0,
        charger_current=current,
        short_circuit_current=0.4,
        settling=1e-3,
    )
    assert found is stands


def test_tungsten_lowers_the_burning_voltage_of_a_liquid_only():
    assert burning_voltage(Medium.AIR, least_arc_voltage=15.0, is_tungsten=True) == 15.0
    low = BurningVoltages(water=18.0)
    assert burning_voltage(Medium.WATER, least_arc_voltage=15.0, is_tungsten=True, voltages=low) == 18.0


def test_a_spark_goes_out_below_its_hold_current():
    assert is_extinguished(0.2, hold_current=0.43)
    assert not is_extinguished(0.43, hold_current=0.43)


def test_flushing_kinds_in_order():
    times = [flushing_time(1e-3, kind=kind, diameter=0.5e-3) for kind in FlushingKind]
    assert times == sorted(times)


def test_bridging_needs_debris():
    assert bridging_probability(0.0, gap=10e-6) == 0.0
    sticky = DebrisLaw(stickiness=0.3)
    assert bridging_probability(0.1, gap=10e-6, law=sticky) == pytest.approx(0.009, rel=1e-12)


def test_thresholds_and_laws_out_of_order_are_refused():
    from gapwright.base.errors import InputRefused

    with pytest.raises(InputRefused, match="partial_from"):
        Thresholds(normal_from=0.5, partial_from=0.6)
    with pytest.raises(InputRefused, match="exponent"):
        Hazard(exponent=0.0)
    with pytest.raises(InputRefused, match="particle"):
        DebrisLaw(particle=-1e-6)
    with pytest.raises(InputRefused, match="water"):
        BurningVoltages(water=0.0)
