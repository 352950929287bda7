"""A step-up stage part by part: examples of application notes and handbook forms beside the exact engine.

Notes reckon with constant drops and straight ramps; the engine has
resistances and what follows from them. Where both differ, the test says why.
"""

from math import sqrt

import pytest

from gapwright.circuit.control.control import FixedOnTime
from gapwright.circuit.engine.edges import LossData, SwitchData
from gapwright.circuit.engine.engine import Start, Window, run
from gapwright.circuit.engine.run import Run
from gapwright.circuit.network.elements import (
    Capacitor,
    CurrentSource,
    Diode,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)
from gapwright.circuit.network.netlist import Netlist
from gapwright.facts.series import nearest_preferred
from tests.printed import printed

HEAT = {"stage": "supply", "account": "heat"}
TRANSISTOR, COIL, DIODE, STORE = "transistor", "coil", "diode", "store"
DRIVE = FixedOnTime(switch=TRANSISTOR, period=25e-6, on_time=12e-6)
LEAST = 1e-3


def stage(  # a stage is its parts
    *, volts: float, henries: float, load: float, farads: float = 10e-6, drop: float = 0.0, on: float = LEAST
) -> Netlist:
    """Step-up into a store from which a constant current is taken; `drop` in transistor and diode."""
    return Netlist(
        elements=(
            VoltageSource(name="supply", start="in", end="0", volts=volts, **HEAT),
            Inductor(name=COIL, start="in", end="switched", henries=henries, damper_ohms=1e7, **HEAT),
            Diode(
                name="drop", start="switched", end="low", drop_volts=drop, on_ohms=LEAST, off_ohms=1e8, **HEAT
            ),
            Switch(name=TRANSISTOR, start="low", end="0", on_ohms=on, off_ohms=1e8, **HEAT),
            Diode(
                name=DIODE, start="switched", end="out", drop_volts=drop, on_ohms=LEAST, off_ohms=1e8, **HEAT
            ),
            Capacitor(name=STORE, start="out", end="0", farads=farads, series_ohms=LEAST, **HEAT),
            Resistor(name="ballast", start="out", end="0", ohms=1e6, **HEAT),
            CurrentSource(name="load", start="out", end="0", amperes=load, **HEAT),
        ),
        store=STORE,
        coil=COIL,
    )


def one_period(netlist: Netlist, clock: FixedOnTime, *, volts: float, amperes: float) -> Run:
    """A period some way behind a start close to where the stage settles; the store holds its voltage."""
    start = Start(values={STORE: volts, COIL: amperes})
    before = run(netlist, clock, 20 * clock.period, initial=start)
    return run(netlist, clock, clock.period, initial=Start(values=before.final), record=Window())


def ripple(ran: Run) -> float:
    """Swing of the coil's current."""
    wave = ran.waveform("amperes", COIL, start=0.0, stop=ran.duration, slices=50)
    return float(wave.high.max() - wave.low.min())


@pytest.mark.source(
    "boost-data-sheet", "5 V to 12 V, 10 µH, 1.6 MHz, drops of 0.5 V: 0.625, 0.390 µs, 0.1755 A"
)
def test_a_printed_design_at_1600_kilohertz() -> None:
    duty = (12.0 + 0.5 - 5.0) / (12.0 + 0.5 - 0.5)
    assert duty == printed("0.625")
    assert 1e6 * duty / 1.6e6 == pytest.approx(0.390, rel=0.01)
    clock = FixedOnTime(switch=TRANSISTOR, period=1.0 / 1.6e6, on_time=duty / 1.6e6)
    netlist = stage(volts=5.0, henries=10e-6, load=0.1, farads=1.0, drop=0.5)
    ran = one_period(netlist, clock, volts=12.0, amperes=0.1 / 0.375 - 0.0879)
    assert ripple(ran) == pytest.approx(0.1755, rel=0.01)
    assert ran.meters[STORE].highest_voltage == pytest.approx(12.0, rel=0.01)


@pytest.mark.source("boost-data-sheet", "same design: the coil empties below 33 mA of load")
def test_the_printed_load_at_which_the_coil_empties() -> None:
    """What a coil delivers that has just emptied when the transistor closes again."""
    clock = FixedOnTime(switch=TRANSISTOR, period=1.0 / 1.6e6, on_time=0.625 / 1.6e6)
    netlist = stage(volts=5.0, henries=10e-6, load=0.0, farads=1.0, drop=0.5)
    ran = one_period(netlist, clock, volts=12.0, amperes=0.0)
    assert 1e3 * ran.meters[DIODE].charge / ran.duration == pytest.approx(33.0, rel=0.01)


@pytest.mark.source(
    "slva372-form", "8 to 10 V to 20 V, 0.22 A, 250 kHz: 0.640; 93.1 µH as printed, 90.9 µH at 10 V"
)
@pytest.mark.parametrize(("volts", "duty", "microhenries"), [(8.0, 0.64, "93.1"), (10.0, 0.5, "90.9")])
def test_coil_of_a_printed_form(volts: float, duty: float, microhenries: str) -> None:
    """The printed form has the efficiency in its duty, at 8 V; at 10 V without losses the duty is a half."""
    printed_duty = 1.0 - 8.0 * 0.9 / 20.0
    assert printed_duty == printed("0.640")
    henries = volts * duty / (0.22 * 250e3)
    assert 1e6 * henries == printed(microhenries)
    assert nearest_preferred(henries, "E12") == pytest.approx(100e-6, rel=1e-12)
    clock = FixedOnTime(switch=TRANSISTOR, period=4e-6, on_time=4e-6 * duty)
    output = volts / (1.0 - duty)
    netlist = stage(volts=volts, henries=henries, load=0.5, farads=1.0)
    assert ripple(
        one_period(netlist, clock, volts=output, amperes=0.5 / (1.0 - duty) - 0.11)
    ) == pytest.approx(0.22, rel=0.02)


@pytest.mark.source("slva372-form", "5 V to 12 V, 0.8, 1.2 MHz, 4.7 µH, 0.3 A: 0.66667, 0.59102 A, 1.19551 A")
def test_switch_current_of_a_printed_form() -> None:
    """The form lets losses stretch the duty: without them that duty gives 15 V, at the same currents."""
    duty = 1.0 - 5.0 * 0.8 / 12.0
    assert duty == printed("0.66667")
    swing = 5.0 * duty / (1.2e6 * 4.7e-6)
    assert swing == printed("0.59102")
    assert 0.5 * swing + 0.3 / (1.0 - duty) == printed("1.19551")
    clock = FixedOnTime(switch=TRANSISTOR, period=1.0 / 1.2e6, on_time=duty / 1.2e6)
    netlist = stage(volts=5.0, henries=4.7e-6, load=0.3, farads=1.0)
    ran = one_period(netlist, clock, volts=15.0, amperes=0.9 - 0.5 * swing)
    assert ripple(ran) == pytest.approx(0.59102, rel=0.01)
    assert ran.meters[TRANSISTOR].highest_current == pytest.approx(1.19551, rel=0.01)
    assert ran.meters[STORE].highest_voltage == pytest.approx(15.0, rel=0.01)


def emptying(*, on: float = LEAST, drop: float = 0.0, data: SwitchData | None = None) -> Run:
    """12 V on 47 µH for 12 of 25 µs into a store that stays at 60 V."""
    return run(
        stage(volts=12.0, henries=47e-6, load=0.0, farads=1.0, drop=drop, on=on),
        DRIVE,
        40 * DRIVE.period,
        initial=Start(values={STORE: 60.0}),
        losses=LossData(switches={TRANSISTOR: data} if data else {}),
    )


def rms(ran: Run, part: str) -> float:
    return sqrt(ran.meters[part].action / ran.duration)


@pytest.mark.source("mosfet-switching-form", "ramp to 3.0638 A, D 0.48, 20 mΩ: 1.22552 A, 30.04 mW")
def test_a_transistor_that_conducts() -> None:
    ideal = 3.0638 * sqrt(0.48 / 3.0)
    assert ideal == printed("1.22552")
    assert 1e3 * 20e-3 * ideal**2 == printed("30.04")
    assert rms(emptying(), TRANSISTOR) == pytest.approx(ideal, rel=1e-3)
    # 20 mΩ bend the ramp: a quarter of a percent of its current, half a percent of its heat.
    ran = emptying(on=20e-3)
    assert 1e3 * ran.meters[TRANSISTOR].energy / ran.duration == pytest.approx(30.04, rel=6e-3)


@pytest.mark.source("mosfet-switching-form", "60 V, 3.0638 A, 50 ns, 40 kHz: 183.83 mW")
def test_a_transistor_that_opens() -> None:
    form = 0.5 * 60.0 * 3.0638 * 50e-9 * 40e3
    assert 1e3 * form == printed("183.83")
    ran = emptying(data=SwitchData(fall_seconds=50e-9))
    found = {loss.what: loss for loss in ran.edges}["switching"]
    assert 1e3 * found.joules / ran.duration == pytest.approx(183.83, rel=1e-3)


@pytest.mark.source("mosfet-switching-form", "200 pF at 60 V, 40 kHz: 14.4 mW")
def test_an_output_capacitance_that_is_emptied_at_60_volts() -> None:
    heading = {"stage": "supply", "account": "heat"}
    netlist = Netlist(
        elements=(
            VoltageSource(name="supply", start="in", end="0", volts=60.0, **heading),
            Resistor(name="load", start="in", end="low", ohms=100.0, **heading),
            Switch(name=TRANSISTOR, start="low", end="0", on_ohms=LEAST, off_ohms=1e9, **heading),
        )
    )
    data = LossData(switches={TRANSISTOR: SwitchData(output_farads=200e-12)})
    ran = run(netlist, DRIVE, 41 * DRIVE.period, losses=data)
    found = {loss.what: loss for loss in ran.edges}["output capacitance"]
    assert 1e3 * found.joules / found.count / DRIVE.period == pytest.approx(14.4, rel=1e-3)


@pytest.mark.source("computed", "diode at 60 V, 3 µs of 25 µs: 183.83 mA, 612.76 mA, 128.68 mW at 0.7 V")
def test_a_diode_that_empties_the_coil() -> None:
    ran = emptying()
    assert 1e3 * ran.meters[DIODE].charge / ran.duration == pytest.approx(183.83, rel=1e-3)
    assert 1e3 * rms(ran, DIODE) == pytest.approx(612.76, rel=1e-3)
    # A drop of 0.7 V before the store empties the coil sooner: 1.4 % less charge.
    dropping = run(
        stage(volts=12.0, henries=47e-6, load=0.0, farads=1.0).with_part(
            Diode(
                name=DIODE, start="switched", end="out", drop_volts=0.7, on_ohms=LEAST, off_ohms=1e8, **HEAT
            )
        ),
        DRIVE,
        40 * DRIVE.period,
        initial=Start(values={STORE: 60.0}),
    )
    share = 1e3 * 0.7 * dropping.meters[DIODE].charge / dropping.duration / 128.68
    assert share == pytest.approx(48.0 / 48.7, rel=2e-3)
