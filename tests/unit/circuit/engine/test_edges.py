"""Losses beside the circuit: by hand from the currents and voltages that the run must have."""

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.control import FixedOnTime
from gapwright.circuit.engine import engine, waveform
from gapwright.circuit.engine.edges import CoreData, EdgeLoss, LossData, SwitchData, stretch_loss
from gapwright.circuit.engine.engine import Start, Window, run
from gapwright.circuit.network.elements import Capacitor, Diode, Inductor, Resistor, Switch, VoltageSource
from gapwright.circuit.network.netlist import Netlist

HEAT = {"stage": "supply", "account": "heat"}
PERIOD, ON = 25e-6, 12e-6
CLOCK = FixedOnTime(switch="switch", period=PERIOD, on_time=ON)
CORE = CoreData(
    area=97e-6, volume=6e-6, turns=14.0, coefficient=2e-3, frequency_exponent=1.4, flux_exponent=2.5
)
DATA = LossData(
    switches={
        "switch": SwitchData(
            rise_seconds=50e-9, fall_seconds=40e-9, output_farads=200e-12, gate_coulombs=30e-9
        )
    },
    diodes={"diode": 20e-9},
    cores={"coil": CORE},
)


def held_at(volts: float) -> Netlist:
    """A step-up into a capacitor so large that its voltage stays."""
    return Netlist(
        elements=(
            VoltageSource(name="supply", start="in", end="0", volts=12.0, **HEAT),
            Inductor(name="coil", start="in", end="sw", henries=47e-6, damper_ohms=1e7, **HEAT),
            Switch(name="switch", start="sw", end="0", on_ohms=1e-3, off_ohms=1e9, **HEAT),
            Diode(name="diode", start="sw", end="out", drop_volts=0.0, on_ohms=1e-3, off_ohms=1e9, **HEAT),
            Capacitor(name="store", start="out", end="0", farads=1.0, series_ohms=1e-3, **HEAT),
            Resistor(name="load", start="out", end="0", ohms=1e6, **HEAT),
        ),
        store="store",
        coil="coil",
    )


def losses(cycles: int) -> dict[tuple[str, str], EdgeLoss]:
    start = Start(values={"store": 60.0})
    ran = run(held_at(60.0), CLOCK, cycles * PERIOD, initial=start, losses=DATA)
    return {(loss.part, loss.what): loss for loss in ran.edges}


def test_a_transistor_opens_at_the_peak_current_against_the_store() -> None:
    """Published handbook form: half voltage times current times time, at 3.064 A and 60 V."""
    found = losses(40)
    switching = found["switch", "switching"]
    assert switching.count == 79  # the closing at the very start is not seen
    peak = 12.0 * ON / 47e-6
    assert switching.joules == pytest.approx(40 * 0.5 * 40e-9 * 60.0 * peak, rel=2e-3)


def test_the_first_closing_finds_the_supply_and_later_ones_what_the_coil_left() -> None:
    """Empty long before, the coil lets its end come back to the supply through the blocked parts."""
    found = losses(40)
    at_closing = 2.0 * found["switch", "output capacitance"].joules / 39 / 200e-12
    assert 12.0**2 * 0.9 < at_closing < 61.0**2


def test_a_gate_costs_its_charge_at_each_closing() -> None:
    gate = losses(40)["switch", "gate"]
    assert gate.count == 39
    assert gate.joules == pytest.approx(39 * 30e-9 * 10.0, rel=1e-12)


def test_a_diode_gives_its_charge_back_against_what_it_blocks() -> None:
    recovery = losses(40)["diode", "recovery"]
    assert recovery.count == 40
    assert recovery.joules <= 40 * 20e-9 * 60.0 * 1.01


def test_a_core_loses_by_its_two_stretches_a_cycle() -> None:
    core = losses(40)["coil", "core"]
    swing = 47e-6 * 12.0 * ON / 47e-6 / (14.0 * 97e-6)
    by_hand = stretch_loss(CORE, ON, swing) + stretch_loss(CORE, 3e-6, swing)
    assert core.joules / 40 == pytest.approx(by_hand, rel=0.05)


def test_a_triangle_of_flux_loses_what_the_power_law_says() -> None:
    """Two equal stretches make the triangle of 100 kHz and 0.1 T: k f^a B^b V over its period."""
    period = 10e-6
    whole = 2.0 * stretch_loss(CORE, 0.5 * period, 0.2)
    law = 2e-3 * 1e5**1.4 * 0.1**2.5 * 6e-6 * period
    assert whole == pytest.approx(law, rel=1e-12)
    assert stretch_loss(CORE, 0.0, 0.1) == 0.0


def test_packets_make_no_difference(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = losses(30)
    monkeypatch.setattr(engine, "KNOT_ROOM", 7)
    parted = losses(30)
    assert whole.keys() == parted.keys()
    for key, loss in whole.items():
        assert parted[key].count == loss.count
        assert parted[key].joules == pytest.approx(loss.joules, rel=1e-9)


def test_waveforms_are_kept_of_the_wanted_stretch_alone() -> None:
    window = Window(start=0.5e-3, stop=0.6e-3)
    start = Start(values={"store": 60.0})
    plain = run(held_at(60.0), CLOCK, 1e-3, initial=start, record=window)
    metered = run(held_at(60.0), CLOCK, 1e-3, initial=start, record=window, losses=DATA)
    one, other = (
        ran.waveform("amperes", "coil", start=0.5e-3, stop=0.6e-3, slices=50) for ran in (plain, metered)
    )
    assert np.array_equal(one.high, other.high)
    assert len(metered.trace.knots()[0]) <= len(plain.trace.knots()[0]) + 1


def test_a_recorded_stretch_has_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(waveform, "MOST_KNOTS", 20)
    with pytest.raises(InputRefused, match="a recorded stretch must have at most 20 steps"):
        run(held_at(60.0), CLOCK, 1e-3, record=Window())
