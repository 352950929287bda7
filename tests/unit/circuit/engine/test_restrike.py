"""A gap that has just gone out burns on when the ring turns round: by hand from half wave to half wave."""

from dataclasses import replace
from math import exp, pi, sqrt

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.control import NoControl
from gapwright.circuit.control.ignition import Forced, Threshold
from gapwright.circuit.deck.deck import deck
from gapwright.circuit.engine.engine import Start, run
from gapwright.circuit.map.charge_map import charge_map
from gapwright.circuit.network.elements import Capacitor, Gap, Inductor, Resistor
from gapwright.circuit.network.netlist import Netlist

HEAT = {"stage": "store", "account": "heat"}
FARADS, HENRIES, OHMS, ARC, VOLTS = 1e-6, 200e-9, 0.05, 20.0, 200.0


def ring(restrike: float = 30.0) -> Netlist:
    """A store that rings through its gap, with nothing to charge it anew."""
    return Netlist(
        elements=(
            Capacitor(name="store", start="out", end="0", farads=FARADS, series_ohms=0.0, **HEAT),
            Resistor(name="bleeder", start="out", end="0", ohms=1e9, **HEAT),
            Inductor(name="lead", start="out", end="gap", henries=HENRIES, damper_ohms=1e9, **HEAT),
            Gap(
                name="gap",
                start="gap",
                end="0",
                leak_siemens=1e-10,
                arc_volts=ARC,
                arc_ohms=OHMS,
                hold_amperes=0.0,
                short_ohms=0.02,
                stage="spark",
                account="discharge",
                recovery_seconds=1e-6,
                restrike_volts=restrike,
            ),
        ),
        store="store",
    )


def rung(netlist: Netlist):
    return run(
        netlist,
        NoControl(),
        20e-6,
        ignition=Forced(times=np.zeros(1)),
        initial=Start(values={"store": VOLTS}),
    )


def by_hand() -> list[float]:
    """What each half wave leaves on the store, until it is too little to burn on."""
    decay = OHMS / (2.0 * HENRIES)
    turn = sqrt(1.0 / (HENRIES * FARADS) - decay**2)
    left = VOLTS
    found: list[float] = []
    while abs(left) > 30.0 or not found:
        way = 1.0 if left > 0 else -1.0
        left = way * ARC - (left - way * ARC) * exp(-decay * pi / turn)
        found.append(left)
    return found


def test_half_waves_follow_each_other_with_falling_charge() -> None:
    ran, left = rung(ring()), by_hand()
    assert len(left) == 3
    assert ran.sparks["store_v"] == pytest.approx(left, rel=1e-6)
    moved = np.diff([VOLTS, *left]) * -FARADS
    assert ran.sparks["charge_c"] == pytest.approx(moved, rel=1e-6)
    assert (ran.sparks["energy_j"] > 0.0).all()
    assert (ran.sparks["peak_a"] > 0.0).all()
    assert ran.sparks["ended"].all()
    assert abs(ran.balance_error) <= ran.balance_limit


def test_peaks_of_both_ways_are_seen() -> None:
    ran = rung(ring())
    meter = ran.meters["gap"]
    assert meter.highest_current == pytest.approx(ran.sparks["peak_a"][0], rel=1e-6)
    assert -meter.lowest_current == pytest.approx(ran.sparks["peak_a"][1], rel=1e-6)


def test_a_gap_that_strikes_one_way_keeps_what_is_left() -> None:
    ran = rung(ring(0.0))
    assert len(ran.sparks) == 1
    assert ran.sparks["store_v"][0] == pytest.approx(by_hand()[0], rel=1e-6)


def test_what_cannot_strike_back_refuses_a_gap_that_does() -> None:
    with pytest.raises(InputRefused, match=r"restrike_volts must be above the 20 V of the arc, got 15 V"):
        ring(15.0)
    with pytest.raises(InputRefused, match="a deck must have a gap that strikes one way"):
        deck(ring(), NoControl(), duration=1e-3, ignition=Threshold(volts=60.0))
    with pytest.raises(InputRefused, match="a charge map must have a gap that strikes one way"):
        charge_map(replace(ring()), NoControl())
