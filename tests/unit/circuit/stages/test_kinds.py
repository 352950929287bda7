"""Flyback, iso-pulse, current-source and protected chargers: what can be said of them by hand."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.charging_control import Pulsing, ShortWatch
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.control.spark_loop import LoopDiode, SparkLoop
from gapwright.circuit.engine.engine import Start, run
from gapwright.circuit.engine.run import Run
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.stages.flyback_stage import Flyback, flyback_network
from gapwright.circuit.stages.generators import (
    Clocked,
    CurrentLimited,
    Relaxation,
    StepUp,
    relaxation_network,
    step_up_network,
)
from gapwright.circuit.stages.pulse_stages import (
    CurrentSource,
    IsoPulse,
    current_source_network,
    iso_pulse_network,
)
from gapwright.circuit.stages.stage_parts import Bus, Protection

LOOP = SparkLoop(
    farads=1e-6,
    series_ohms=0.01,
    lead_henries=300e-9,
    lead_ohms=0.03,
    arc_volts=22.0,
    arc_ohms=0.05,
    contact_ohms=0.02,
    hold_amperes=0.3,
)
WATCH = ShortWatch(threshold=10.0, delay=0.3e-3, hold_off=1e-3)
FULL_BUS = Start(values={"store": 80.0})
STRIKES = Threshold(volts=70.0)


def flyback(**changes) -> Flyback:
    return replace(
        Flyback(
            supply_volts=12.0,
            source_ohms=0.05,
            primary_henries=20e-6,
            primary_ohms=0.05,
            turns_ratio=5.0,
            coupling=0.985,
            secondary_ohms=1.0,
            switch_ohms=0.02,
            diode_volts=0.8,
            diode_ohms=0.1,
            loop=LOOP,
            limit=4.0,
            minimum_off_time=1e-6,
            voltage_limit=90.0,
            hysteresis=2.0,
            clamp_farads=22e-9,
            clamp_ohms=4.7e3,
        ),
        **changes,
    )


def step_up(**changes) -> StepUp:
    drive = CurrentLimited(limit=3.0, minimum_off_time=3e-6, voltage_limit=80.0, hysteresis=2.0)
    return replace(
        StepUp(
            supply_volts=24.0,
            source_ohms=0.1,
            coil_henries=100e-6,
            coil_ohms=0.08,
            switch_ohms=0.04,
            diode_volts=0.7,
            diode_ohms=0.03,
            drive=drive,
            loop=LOOP,
        ),
        **changes,
    )


def bus() -> Bus:
    return Bus(volts=80.0, source_ohms=0.5, farads=470e-6, series_ohms=0.05)


PULSING = Pulsing(ignition_current=1.0, burning_time=50e-6, longest_wait=300e-6, pause=50e-6)


def iso_pulse(**changes) -> IsoPulse:
    return replace(
        IsoPulse(
            bus=bus(),
            switch_ohms=0.05,
            ballast_ohms=6.8,
            diode_volts=0.8,
            diode_ohms=0.03,
            loop=LOOP.gap_loop,
            pulsing=PULSING,
        ),
        **changes,
    )


def current_source(**changes) -> CurrentSource:
    return replace(
        CurrentSource(
            bus=bus(),
            switch_ohms=0.05,
            diode_volts=0.8,
            diode_ohms=0.03,
            coil_henries=100e-6,
            coil_ohms=0.1,
            steering_ohms=0.03,
            amperes=6.0,
            band=1.0,
            ignition_volts=160.0,
            ignition_ohms=100.0,
            loop=LOOP.gap_loop,
            pulsing=replace(PULSING, ignition_current=0.2),
        ),
        **changes,
    )


def assert_sound(ran: Run) -> None:
    assert abs(ran.balance_error) <= ran.balance_limit
    drawn = ran.joules("in")
    assert all(a.joules >= -1e-12 * drawn for a in ran.accounts if a.role == "out")


def test_a_flyback_gives_the_energy_of_its_primary_coil_less_its_losses() -> None:
    """Each cycle draws half L I squared; leakage, a thirtieth of it, and windings keep some."""
    ran = run(*flyback_network(flyback()), 2e-3, ignition=STRIKES)
    assert_sound(ran)
    cycles = ran.joules("in") / (0.5 * 20e-6 * 4.0**2)
    assert cycles == pytest.approx(round(cycles), rel=0.05)
    got = ran.joules("out", "discharge") + ran.stored_after
    assert 0.75 < got / ran.joules("in") < 0.97
    assert ran.meters["coil"].highest_current == pytest.approx(4.0 + 12.0 / 1e4, rel=1e-4)  # damper, too
    assert ran.meters["diode"].highest_current == pytest.approx(4.0 / 5.0, rel=0.05)


def test_a_flyback_waits_until_its_secondary_coil_is_empty() -> None:
    """Into a short the coil empties slowly: without that wait the current would walk up."""
    short = Start(gap=GapState.SHORT)
    ran = run(*flyback_network(flyback()), 2e-3, initial=short)
    assert_sound(ran)
    assert ran.phase_share["charger/emptying"] > 0.5
    assert ran.meters["coil"].highest_current == pytest.approx(4.0, rel=1e-3)


def test_the_ready_signal_of_a_charger_that_is_full() -> None:
    ran = run(*flyback_network(flyback(loop=replace(LOOP, bleeder_ohms=1e5))), 5e-3)
    assert ran.phase_share["charger/full"] > 0.5
    assert ran.meters["store"].highest_voltage == pytest.approx(90.0, rel=0.05)


def test_a_charger_rests_after_a_spark_when_told_to() -> None:
    drive = replace(step_up().drive, blanking=100e-6)
    ran = run(*step_up_network(step_up(drive=drive)), 10e-3, ignition=STRIKES)
    assert_sound(ran)
    assert ran.phase_share["charger/blanked"] == pytest.approx(len(ran.sparks) * 100e-6 / 10e-3, rel=0.1)


def test_turning_on_at_zero_current_keeps_the_surge_at_the_limit() -> None:
    drive = replace(step_up().drive, at_zero_current=True)
    ran = run(*step_up_network(step_up(drive=drive)), 5e-3, ignition=STRIKES)
    assert_sound(ran)
    assert ran.phase_share["charger/emptying"] > 0.0


def test_a_series_switch_ends_what_a_step_up_alone_cannot() -> None:
    short = Start(gap=GapState.SHORT)
    open_to_it = run(*step_up_network(step_up()), 20e-3, initial=short)
    guarded = step_up(loop=replace(LOOP, series_switch_ohms=0.03), protection=Protection(watch=WATCH))
    held = run(*step_up_network(guarded), 20e-3, initial=short)
    assert_sound(held)
    assert held.phase_share["series switch/open"] > 0.7
    share = held.meters["gap"].charge / open_to_it.meters["gap"].charge
    assert share < 0.3 / 1.3  # of the time it is closed, and the current has to rise anew


def test_a_series_switch_limits_the_charge_of_a_spark() -> None:
    loop = replace(LOOP, farads=10e-6, series_switch_ohms=0.03)
    guarded = Relaxation(
        supply_volts=80.0,
        charging_ohms=220.0,
        loop=loop,
        protection=Protection(largest_charge=40e-6, rest=30e-6),
    )
    ran = run(*relaxation_network(guarded), 30e-3, ignition=STRIKES)
    assert_sound(ran)
    # The lead's current runs on through the diode until it is gone.
    assert (ran.sparks["charge_c"] >= 40e-6).all()
    assert (ran.sparks["charge_c"] < 160e-6).all()


def test_a_diode_across_the_store_keeps_it_from_turning_round() -> None:
    plain = Relaxation(supply_volts=80.0, charging_ohms=220.0, loop=LOOP)
    guarded = replace(plain, loop=replace(LOOP, reverse_diode=LoopDiode(volts=0.8, ohms=0.02)))
    left = run(*relaxation_network(plain), 5e-3, ignition=STRIKES).meters["store"].lowest_voltage
    kept = run(*relaxation_network(guarded), 5e-3, ignition=STRIKES).meters["store"].lowest_voltage
    assert left < -5.0
    assert kept > -2.5


def test_a_clocked_step_up_takes_a_series_switch_too() -> None:
    guarded = step_up(
        drive=Clocked(period=25e-6, on_time=6e-6),
        loop=replace(LOOP, series_switch_ohms=0.03),
        protection=Protection(watch=WATCH),
    )
    ran = run(*step_up_network(guarded), 5e-3, ignition=STRIKES)
    assert_sound(ran)
    assert ran.phase_share["charger/on"] == pytest.approx(6.0 / 25.0, rel=1e-2)


def test_pulses_burn_equally_long_at_the_ballast_s_current() -> None:
    ran = run(*iso_pulse_network(iso_pulse()), 5e-3, ignition=STRIKES, initial=FULL_BUS)
    assert_sound(ran)
    assert len(ran.sparks) > 40
    through = ran.sparks["charge_c"] / ran.sparks["duration_s"]
    assert through == pytest.approx(np.full(len(ran.sparks), 56.0 / 6.95), rel=0.05)


def test_pulses_into_a_short_are_held_off_and_come_in_trains() -> None:
    pulsing = replace(PULSING, short=ShortWatch(threshold=12.0, delay=15e-6, hold_off=500e-6))
    made = iso_pulse(pulsing=pulsing)
    ran = run(*iso_pulse_network(made), 5e-3, initial=replace(FULL_BUS, gap=GapState.SHORT))
    assert ran.phase_share["pulse/shut"] > 0.8
    assert ran.meters["gap"].highest_current == pytest.approx(80.0 / 6.97, rel=0.02)
    trained = iso_pulse(pulsing=replace(PULSING, trained=True), train=(1e-3, 0.5e-3))
    ran = run(*iso_pulse_network(trained), 4.5e-3, ignition=STRIKES, initial=FULL_BUS)
    assert ran.phase_share["pulse/ready"] == pytest.approx(1 / 3, rel=0.2)


def test_a_coil_s_current_stays_between_two_values() -> None:
    strikes = Threshold(volts=120.0)
    ran = run(*current_source_network(current_source()), 5e-3, ignition=strikes, initial=FULL_BUS)
    assert_sound(ran)
    assert ran.meters["coil"].highest_current == pytest.approx(6.5, rel=1e-3)
    later = ran.sparks[ran.sparks["time_s"] > 0.5e-3]
    assert len(later) > 40
    through = later["charge_c"] / later["duration_s"]
    assert through == pytest.approx(np.full(len(later), 6.0), rel=0.1)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: flyback(voltage_limit=20.0), "voltage_limit must be above the burning voltage of 22 V"),
        (lambda: iso_pulse(bus=replace(bus(), volts=20.0)), "supply_volts must be above the burning voltage"),
        (lambda: current_source(ignition_volts=10.0), "ignition_volts must be above the burning voltage"),
    ],
)
def test_stages_that_never_burn_are_refused(make, message: str) -> None:
    with pytest.raises(InputRefused, match=message):
        make()
