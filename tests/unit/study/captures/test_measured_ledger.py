"""The measured account: stages with uncertainty, differences, doubts, and the forecast beside."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.capture.reading import CaptureReading, understand
from gapwright.capture.settings import ReadingSettings
from gapwright.study.captures.measured_ledger import MeasuredLedger, measured_ledger
from gapwright.study.captures.meter_readings import MeterReadings
from gapwright.study.grounds.outcome import Role
from tests.made_captures import captured, truth
from tests.made_up import ledger as forecast_ledger
from tests.unit.study.benches import FIRST, demo

METERS = MeterReadings(supply_voltage=80.0, supply_current=0.6, socket_power=60.0)
STORE = 1e-6


@cache
def read() -> CaptureReading:
    return understand(captured("resistor"), ReadingSettings(capacitance=STORE))


def account(readings: MeterReadings = METERS, **how) -> MeasuredLedger:
    rig = demo(FIRST, rig={"generator.capacitor.capacitance": STORE}).rig
    return measured_ledger(rig, captured("resistor"), read(), readings, **how)


def line(made: MeasuredLedger, stage: str, name: str = ""):
    return next(each for each in made.lines if each.stage == stage and name in each.account)


def test_stages_follow_each_other_and_close() -> None:
    made = account()
    seconds = captured("resistor").duration
    assert line(made, "socket").energy_j == pytest.approx(60.0 * seconds)
    assert line(made, "supply", "conversion").energy_j == pytest.approx((60.0 - 48.0) * seconds)
    burnt = sum(each.energy_j for each in made.lines if each.stage == "spark")
    assert burnt == pytest.approx(truth("resistor").energy, rel=0.005)
    assert abs(made.as_ledger().balance_error) < 1e-12


def test_uncertainties_are_those_of_the_instruments() -> None:
    made = account()
    sparks = line(made, "spark", "good")
    assert sparks.uncertainty_j == pytest.approx(
        np.linalg.norm([0.02, 0.03, read().zero_share]) * sparks.energy_j
    )
    supply = line(made, "supply", "given")
    assert supply.uncertainty_j == pytest.approx((0.005**2 + 0.01**2) ** 0.5 * supply.energy_j)


def test_a_shared_gain_is_not_counted_twice() -> None:
    # Store and gap are measured by one voltage channel: its doubt nearly cancels in their difference.
    only_volts = replace(METERS, current_gain_uncertainty=0.0, capacitance_uncertainty=0.0)
    made = account(only_volts)
    burnt = sum(each.energy_j for each in made.lines if each.stage == "spark")
    leads = line(made, "leads")
    store = leads.energy_j + burnt
    of_gain, of_zero = 0.02 * abs(2.0 * store - burnt), read().zero_share * burnt
    assert leads.uncertainty_j == pytest.approx(np.hypot(of_gain, of_zero))


def test_without_meters_the_account_begins_at_the_store() -> None:
    made = account(MeterReadings())
    assert [each.stage for each in made.lines if each.role is Role.IN] == ["store"]
    assert made.lines[0].share == 1.0


def test_without_a_socket_meter_the_rig_file_speaks_for_the_supply() -> None:
    made = account(replace(METERS, socket_power=None))
    assert line(made, "socket").came_from == "rig file"
    assert line(made, "socket").energy_j > line(made, "supply", "given").energy_j


def test_instruments_that_disagree_are_told() -> None:
    made = account(MeterReadings(supply_voltage=80.0, supply_current=0.01, socket_power=2.0))
    assert any("charging comes out at" in doubt for doubt in made.doubts)
    assert not account(replace(METERS, supply_current=3.0, socket_power=300.0)).doubts


def test_the_forecast_stands_beside() -> None:
    made = account(forecast=forecast_ledger())
    beside = forecast_ledger()
    given = next(each for each in beside.accounts if each.stage == "socket" and each.role is Role.IN)
    assert line(made, "socket").forecast_power_w == pytest.approx(given.energy_j / beside.duration_s)
    assert account().lines[0].forecast_power_w is None


def test_what_runs_beside_is_in_and_out_alike() -> None:
    made = account()
    beside = [each for each in made.lines if each.stage == "auxiliaries"]
    aux = demo(FIRST).rig.auxiliaries
    assert beside[0].power_w == pytest.approx(
        aux.spindle_power + aux.machine_power + aux.pump_power + aux.controller_power
    )
    assert {each.came_from for each in beside} == {"rig file"}
    metered = [
        each for each in account(replace(METERS, auxiliary_power=33.0)).lines if each.stage == "auxiliaries"
    ]
    assert [each.power_w for each in metered] == [pytest.approx(33.0)] * 2
    assert metered[0].uncertainty_j == pytest.approx(0.02 * metered[0].energy_j)
    assert abs(made.as_ledger().balance_error) < 1e-12


def test_a_recorded_supply_counts_its_scatter() -> None:
    recorded = MeterReadings(supply_power=48.0, supply_power_scatter=0.03, socket_power=60.0)
    supply = line(account(recorded), "supply", "given")
    assert supply.power_w == pytest.approx(48.0)
    assert supply.uncertainty_j == pytest.approx((0.005**2 + 0.01**2 + 0.03**2) ** 0.5 * supply.energy_j)
    with pytest.raises(InputRefused, match="a supply must be measured once"):
        replace(recorded, supply_current=1.0)


@pytest.mark.parametrize("wrong", [{"supply_voltage": -1.0}, {"voltage_gain_uncertainty": 2.0}])
def test_wrong_readings_are_refused(wrong: dict) -> None:
    with pytest.raises(InputRefused, match=next(iter(wrong))):
        MeterReadings(**wrong)
