"""Coils that saturate, coils on one core, diodes that store charge: beside a general integrator."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.control import NoControl
from gapwright.circuit.engine.engine import Start, run
from gapwright.circuit.network.elements import (
    Capacitor,
    ChargeCounter,
    Diode,
    Inductor,
    Resistor,
    VoltageSource,
)
from gapwright.circuit.network.magnetics import (
    Coupling,
    Piece,
    current_of_flux,
    flux_of_current,
    stored_energy,
)
from gapwright.circuit.network.netlist import Netlist

HEAT = {"stage": "supply", "account": "heat"}
BENT = (Piece(amperes=2.0, henries=30e-6), Piece(amperes=4.0, henries=10e-6))
CLOSE = 1e-6


def ring() -> Netlist:
    return Netlist(
        elements=(
            Capacitor(name="c", start="a", end="0", farads=1e-6, series_ohms=0.1, **HEAT),
            Resistor(name="r", start="a", end="b", ohms=0.5, **HEAT),
            Inductor(name="l", start="b", end="0", henries=1e-4, damper_ohms=None, pieces=BENT, **HEAT),
        )
    )


def test_flux_and_current_are_each_other_s_inverse() -> None:
    for current in (-7.0, -4.0, -2.5, 0.0, 1.0, 2.0, 3.0, 9.0):
        flux = flux_of_current(1e-4, BENT, current)
        assert current_of_flux(1e-4, BENT, flux) == pytest.approx(current, rel=1e-12)


def test_energy_is_current_over_flux() -> None:
    for flux in (-5.0, 1.5, 2.3, 4.0):
        area, _ = quad(lambda u: current_of_flux(1e-4, BENT, u), 0.0, flux, points=[2.0, 2.6], limit=200)
        assert stored_energy(1e-4, BENT, flux) == pytest.approx(1e-4 * area, rel=1e-9)


def test_a_saturating_ring_follows_its_equations() -> None:
    ran = run(ring(), NoControl(), 1e-4, initial=Start(values={"c": 60.0}))

    def rates(_: float, y: np.ndarray) -> list[float]:
        current = current_of_flux(1e-4, BENT, y[1] / 1e-4)
        return [-current / 1e-6, y[0] - 0.6 * current]

    hand = solve_ivp(rates, (0.0, 1e-4), [60.0, 0.0], method="DOP853", rtol=1e-11, atol=1e-15, max_step=1e-8)
    currents = [current_of_flux(1e-4, BENT, flux / 1e-4) for flux in hand.y[1]]
    assert ran.final["c"] == pytest.approx(hand.y[0, -1], rel=CLOSE)
    assert ran.final["l"] == pytest.approx(currents[-1], rel=CLOSE)
    assert ran.meters["l"].highest_current == pytest.approx(max(currents), rel=1e-5)
    assert abs(ran.balance_error) <= ran.balance_limit


def transformer(coefficient: float) -> Netlist:
    return Netlist(
        elements=(
            VoltageSource(name="s", start="in", end="0", volts=12.0, **HEAT),
            Resistor(name="r", start="in", end="a", ohms=0.5, **HEAT),
            Inductor(name="p", start="a", end="0", henries=1e-4, damper_ohms=None, **HEAT),
            Inductor(name="q", start="b", end="0", henries=4e-4, damper_ohms=None, **HEAT),
            Resistor(name="load", start="b", end="0", ohms=10.0, **HEAT),
        ),
        couplings=(Coupling(first="p", second="q", coefficient=coefficient),),
    )


@pytest.mark.parametrize("coefficient", [0.3, 0.98, -0.7])
def test_coils_on_one_core_follow_their_equations(coefficient: float) -> None:
    ran = run(transformer(coefficient), NoControl(), 1e-4)
    mutual = coefficient * 2e-4
    matrix = np.array([[1e-4, mutual], [mutual, 4e-4]])

    def rates(_: float, i: np.ndarray) -> np.ndarray:
        return np.linalg.solve(matrix, [12.0 - 0.5 * i[0], -10.0 * i[1]])

    hand = solve_ivp(rates, (0.0, 1e-4), [0.0, 0.0], method="DOP853", rtol=1e-11, atol=1e-14)
    assert ran.final["p"] == pytest.approx(hand.y[0, -1], rel=CLOSE)
    assert ran.final["q"] == pytest.approx(hand.y[1, -1], rel=CLOSE)
    assert abs(ran.balance_error) <= ran.balance_limit


def recovering() -> Netlist:
    """A coil's current through a diode, turned back by 50 V."""
    return Netlist(
        elements=(
            VoltageSource(name="s", start="0", end="in", volts=50.0, **HEAT),
            Inductor(name="l", start="in", end="a", henries=1e-6, damper_ohms=100.0, **HEAT),
            Diode(
                name="d",
                start="a",
                end="0",
                drop_volts=0.7,
                on_ohms=0.03,
                off_ohms=1e7,
                storage_seconds=1e-7,
                **HEAT,
            ),
        ),
        counters=(ChargeCounter(name="through", part="d"),),
    )


def test_a_diode_conducts_backwards_until_its_charge_is_gone() -> None:
    """Charge falls by dq/dt = i - q/τ while the current falls at 50.7 V over 1 µH."""
    ran = run(recovering(), NoControl(), 2e-6, initial=Start(values={"l": 5.0, "d": 5e-7}))
    meter = ran.meters["d"]

    def rates(_: float, y: np.ndarray) -> list[float]:
        i, q = y
        over = (-50.0 - 0.7 - 0.03 * i) / (1.0 + 0.03 / 100.0)  # what damper and coil share
        return [over / 1e-6, i + over / 100.0 - q / 1e-7]

    def empty(_: float, y: np.ndarray) -> float:
        return y[1]

    empty.terminal = True  # type: ignore[attr-defined]
    hand = solve_ivp(rates, (0, 2e-6), [5.0, 5e-7], events=empty, method="DOP853", rtol=1e-11, atol=1e-16)
    i, _ = hand.y[:, -1]
    through = i + (-50.0 - 0.7 - 0.03 * i) / (1.0 + 0.03 / 100.0) / 100.0
    assert meter.lowest_current == pytest.approx(through, rel=1e-6)
    assert meter.lowest_voltage == pytest.approx(
        -50.0 + 100.0 * i, rel=1e-4
    )  # it snaps off: coil into damper
    assert abs(ran.balance_error) <= ran.balance_limit


def test_a_counter_holds_the_charge_of_its_part() -> None:
    ran = run(recovering(), NoControl(), 2e-6, initial=Start(values={"l": 5.0, "d": 5e-7}))
    error = ran.final["through"] - ran.meters["d"].charge
    assert abs(error) <= 1e-5 * 5e-7  # of the charge moved


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Coupling(first="a", second="a", coefficient=0.5), "must join two coils, got 'a' twice"),
        (lambda: Coupling(first="a", second="b", coefficient=1.0), "must be above 0 and below 1, got 1"),
        (lambda: replace(ring().element("l"), pieces=BENT[::-1]), "must stand in rising order, got 2 A"),
        (lambda: replace(ring().element("l"), pieces=(*BENT, BENT[0])), "at most 2 bends, got 3"),
        (
            lambda: replace(ring().element("l"), pieces=(Piece(amperes=1.0, henries=2e-4),)),
            "must lose inductance at each bend, got 0.0002 H after 0.0001 H",
        ),
        (
            lambda: replace(transformer(0.5), couplings=(Coupling(first="p", second="z", coefficient=0.5),)),
            "must join two coils, got 'z'",
        ),
        (
            lambda: replace(recovering(), counters=(ChargeCounter(name="n", part="dd"),)),
            "n counts the charge of no part, got 'dd'",
        ),
        (
            lambda: run(
                replace(
                    transformer(0.5),
                    elements=(
                        *transformer(0.5).elements,
                        Inductor(name="t", start="b", end="0", henries=1e-4, damper_ohms=None, **HEAT),
                    ),
                    couplings=tuple(
                        Coupling(first=a, second=b, coefficient=k)
                        for a, b, k in (("p", "q", 0.95), ("q", "t", 0.95), ("p", "t", 0.1))
                    ),
                ),
                NoControl(),
                1e-6,
            ),
            "couplings among p, q, t must leave each coil some flux of its own",
        ),
        (
            lambda: replace(
                transformer(0.5),
                elements=tuple(
                    replace(part, pieces=BENT) if part.name == "p" else part
                    for part in transformer(0.5).elements
                ),
            ),
            "p must either be coupled or saturate",
        ),
        (
            lambda: replace(
                recovering(),
                elements=tuple(
                    replace(part, damper_ohms=None) if part.name == "l" else part
                    for part in recovering().elements
                ),
            ),
            r"l \(between nodes 'in' and 'a'\) must have a damper across it",
        ),
    ],
)
def test_what_no_coil_can_be_is_refused(make, message: str) -> None:
    with pytest.raises(InputRefused, match=message):
        make()
