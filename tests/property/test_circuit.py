"""Energy of random circuits, and random circuits beside a general integrator of equations written by hand."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from gapwright.circuit.control.control import NoControl
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.engine.engine import run
from gapwright.circuit.engine.run import Run
from gapwright.circuit.network.elements import Capacitor, Inductor, Resistor, VoltageSource
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.stages.generators import (
    Clocked,
    CurrentLimited,
    Relaxation,
    SparkLoop,
    StepUp,
    relaxation_network,
    step_up_network,
)
from tests.relaxation_by_hand import ACTION, CHARGE, CHARGING, DRAWN, STORE, RelaxationByHand

CLOSE = 1e-6
ROUNDING = 1e-12
"""A loss may come out below zero by so much of the energy drawn."""


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Values spread evenly over the decades between two."""
    return st.floats(np.log(low), np.log(high)).map(lambda x: float(np.exp(x)))


LOOPS = st.builds(
    SparkLoop,
    farads=between(0.1e-6, 100e-6),
    series_ohms=st.one_of(st.just(0.0), between(1e-3, 0.5)),
    lead_henries=between(0.1e-6, 3e-6),
    lead_ohms=between(1e-3, 0.2),
    contact_ohms=st.one_of(st.just(0.0), between(1e-3, 0.1)),
    bleeder_ohms=st.one_of(st.none(), between(1e3, 1e6)),
    arc_volts=st.floats(12.0, 30.0),
    arc_ohms=between(1e-3, 0.2),
    lead_damper_ohms=between(1e2, 1e6),
    hold_amperes=st.floats(0.0, 0.5),
    leak_siemens=st.one_of(st.just(0.0), between(1e-7, 1e-3)),
)


def assert_sound(ran: Run) -> None:
    """Energy is kept, and nothing that only takes gives any."""
    assert abs(ran.balance_error) <= ran.balance_limit
    drawn = ran.joules("in")
    assert drawn > 0.0
    for account in ran.accounts:
        if account.role == "out":
            assert account.joules >= -ROUNDING * drawn, account


@settings(max_examples=30)
@given(
    loop=LOOPS,
    supply=st.floats(35.0, 150.0),
    ohms=between(5.0, 2e3),
    source=st.sampled_from([0.0, 0.2]),
    at=st.floats(0.3, 0.98),
)
def test_relaxation_keeps_its_energy(
    loop: SparkLoop, supply: float, ohms: float, source: float, at: float
) -> None:
    generator = Relaxation(supply_volts=supply, charging_ohms=ohms, source_ohms=source, loop=loop)
    volts = loop.arc_volts + at * (supply - loop.arc_volts)
    span = 5.0 * ohms * loop.farads
    assert_sound(run(*relaxation_network(generator), span, ignition=Threshold(volts=volts)))


DRIVES = st.one_of(
    st.builds(Clocked, period=st.floats(20e-6, 50e-6), on_time=st.floats(3e-6, 15e-6)),
    st.builds(
        CurrentLimited,
        limit=st.floats(0.5, 5.0),
        minimum_off_time=st.floats(2e-6, 20e-6),
        voltage_limit=st.floats(60.0, 120.0),
        hysteresis=st.floats(0.1, 5.0),
    ),
)


@settings(max_examples=30)
@given(
    loop=LOOPS,
    drive=DRIVES,
    supply=st.floats(9.0, 30.0),
    henries=between(20e-6, 1e-3),
    body=st.sampled_from([None, 0.8]),
    volts=st.floats(40.0, 100.0),
)
def test_step_up_keeps_its_energy(
    loop: SparkLoop,
    drive: Clocked | CurrentLimited,
    supply: float,
    henries: float,
    body: float | None,
    volts: float,
) -> None:
    generator = StepUp(
        supply_volts=supply,
        source_ohms=0.1,
        coil_henries=henries,
        coil_ohms=0.1,
        switch_ohms=0.05,
        diode_volts=0.7,
        diode_ohms=0.05,
        drive=drive,
        loop=loop,
        body_diode_volts=body,
    )
    assert_sound(run(*step_up_network(generator), 1e-3, ignition=Threshold(volts=volts)))


def part_values(seed: int) -> dict[str, float]:
    """Values of one random circuit, spread over decades."""
    rng = np.random.default_rng(seed)
    ranges = {
        "supply": (40.0, 120.0),
        "r1": (20.0, 400.0),
        "r2": (0.5, 50.0),
        "c1": (0.2e-6, 20e-6),
        "c2": (0.05e-6, 5e-6),
        "e1": (5e-3, 0.5),
        "e2": (5e-3, 0.5),
        "l": (0.2e-6, 2e-6),
        "coil": (20e-6, 500e-6),
        "arc_ohms": (0.02, 0.1),
        "lead": (2e-3, 0.1),
    }
    return {
        name: float(np.exp(rng.uniform(np.log(low), np.log(high)))) for name, (low, high) in ranges.items()
    }


def two_storeys(p: dict[str, float]) -> Netlist:
    """Source, resistor and coil into one capacitor, a resistor into another."""
    heat = {"stage": "supply"}
    source = VoltageSource(
        name="source", start="in", end="0", volts=p["supply"], account="drawn", stage="supply"
    )
    coil = Inductor(
        name="coil", start="fed", end="a", henries=p["coil"], damper_ohms=1e9, account="damper", **heat
    )
    return Netlist(
        elements=(
            source,
            Resistor(name="r1", start="in", end="fed", ohms=0.05 * p["r1"], account="r1", **heat),
            coil,
            Capacitor(
                name="c1", start="a", end="0", farads=p["c1"], series_ohms=p["e1"], account="c1", **heat
            ),
            Resistor(name="r2", start="a", end="b", ohms=p["r2"], account="r2", **heat),
            Capacitor(
                name="c2", start="b", end="0", farads=p["c2"], series_ohms=p["e2"], account="c2", **heat
            ),
        )
    )


def two_storeys_by_hand(p: dict[str, float], span: float) -> np.ndarray:
    """Course of coil current, voltages, energy drawn and heat of r1, c1, r2, c2."""

    def rates(_: float, y: np.ndarray) -> list[float]:
        i, v1, v2 = y[:3]
        over = (v1 + p["e1"] * i - v2) / (p["r2"] + p["e1"] + p["e2"])
        a = v1 + p["e1"] * (i - over)
        heat = [0.05 * p["r1"] * i * i, p["e1"] * (i - over) ** 2, p["r2"] * over**2, p["e2"] * over**2]
        di = (p["supply"] - 0.05 * p["r1"] * i - a) / p["coil"]
        return [di, (i - over) / p["c1"], over / p["c2"], p["supply"] * i, *heat]

    return solve_ivp(rates, (0.0, span), np.zeros(8), method="DOP853", rtol=1e-10, atol=1e-16).y


@pytest.mark.parametrize("seed", range(6))
def test_a_filter_follows_its_equations(seed: int) -> None:
    """No event at all: one step from rest to the end, over several turns."""
    p = part_values(seed)
    span = 20.0 * float(np.sqrt(p["coil"] * p["c1"]))
    ran = run(two_storeys(p), NoControl(), span)
    course = two_storeys_by_hand(p, span)
    i, v1, v2, drawn, *losses = course[:, -1]
    assert abs(ran.final["coil"] - i) <= CLOSE * np.abs(course[0]).max()
    assert abs(ran.final["c1"] - v1) <= CLOSE * p["supply"]
    assert abs(ran.final["c2"] - v2) <= CLOSE * p["supply"]
    assert ran.joules("in") == pytest.approx(drawn, rel=CLOSE)
    for name, loss in zip(("r1", "c1", "r2", "c2"), losses, strict=True):
        assert ran.joules("out", name) == pytest.approx(loss, rel=CLOSE)


@pytest.mark.parametrize("seed", range(6))
def test_peaks_of_a_filter(seed: int) -> None:
    """Several turning points in one step; the integrator's own points miss the top by less than 2 %."""
    p = part_values(seed)
    span = 20.0 * float(np.sqrt(p["coil"] * p["c1"]))
    ran = run(two_storeys(p), NoControl(), span)
    course = two_storeys_by_hand(p, span)
    assert ran.meters["coil"].highest_current == pytest.approx(course[0].max(), rel=0.02)
    assert ran.meters["c1"].highest_voltage >= course[1].max() * (1.0 - CLOSE)


@pytest.mark.parametrize("hold", [0.0, 0.3])
@pytest.mark.parametrize("seed", range(4))
def test_a_relaxation_generator_follows_its_equations(seed: int, hold: float) -> None:
    """Source, resistor, store, lead and arc; strikes at three quarters of the supply."""
    p = part_values(100 + seed)
    p["r1"] += 150.0  # less would hold the arc for good
    loop = SparkLoop(
        farads=p["c1"],
        series_ohms=p["e1"],
        lead_henries=p["l"],
        lead_ohms=p["lead"],
        arc_volts=20.0,
        arc_ohms=p["arc_ohms"],
        hold_amperes=hold,
        lead_damper_ohms=1e9,
    )
    generator = Relaxation(supply_volts=p["supply"], charging_ohms=p["r1"], loop=loop)
    volts, span = 0.75 * p["supply"], 6.0 * p["r1"] * p["c1"]
    ran = run(*relaxation_network(generator), span, ignition=Threshold(volts=volts))
    hand = RelaxationByHand(
        supply=p["supply"],
        charging=p["r1"],
        farads=p["c1"],
        series=p["e1"],
        henries=p["l"],
        loop_ohms=p["lead"] + p["arc_ohms"],
        arc_volts=20.0,
        strikes_at=volts,
        hold=hold,
    )
    y = hand.carried(span)
    begins, ends, peaks = np.array(hand.sparks).T
    assert len(ran.sparks) == len(hand.sparks) >= 3
    assert ran.sparks["time_s"] == pytest.approx(begins, rel=CLOSE)
    assert ran.sparks["time_s"] + ran.sparks["duration_s"] == pytest.approx(ends, rel=CLOSE)
    assert ran.sparks["peak_a"] == pytest.approx(peaks, rel=CLOSE)
    assert ran.joules("in") == pytest.approx(y[DRAWN], rel=CLOSE)
    assert ran.joules("out", "charging resistor") == pytest.approx(y[CHARGING], rel=CLOSE)
    assert ran.sparks["charge_c"].sum() == pytest.approx(y[CHARGE], rel=CLOSE)
    assert ran.sparks["action_a2s"].sum() == pytest.approx(y[ACTION], rel=CLOSE)
    assert ran.final["store"] == pytest.approx(y[STORE], rel=CLOSE)
