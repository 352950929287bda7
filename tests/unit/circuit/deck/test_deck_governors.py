import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.governor import (
    Above,
    After,
    Below,
    Governed,
    Governor,
    OnClock,
    Phase,
    Sensor,
    WhenGap,
    WhenIn,
)
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.deck.deck import deck
from gapwright.circuit.engine.arrays import Start
from gapwright.circuit.network.elements import Capacitor, Gap, Resistor, Switch, VoltageSource
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist

HEADING = {"stage": "supply", "account": "heat"}


def circuit() -> Netlist:
    return Netlist(
        elements=(
            VoltageSource(name="supply", start="in", end="0", volts=80.0, **HEADING),
            Switch(name="valve", start="in", end="mid", on_ohms=0.1, off_ohms=1e6, **HEADING),
            Resistor(name="feed", start="mid", end="out", ohms=100.0, **HEADING),
            Capacitor(name="store", start="out", end="0", farads=1e-6, series_ohms=0.01, **HEADING),
            Gap(
                name="gap",
                start="out",
                end="0",
                leak_siemens=1e-6,
                arc_volts=20.0,
                arc_ohms=0.05,
                hold_amperes=0.1,
                short_ohms=0.02,
                **HEADING,
            ),
        ),
        store="store",
    )


def two_phases(rule, **first) -> Governed:
    return Governed(
        governors=(
            Governor(
                name="charger",
                phases=(
                    Phase(name="on", closes=("valve",), rules=(rule,), **first),
                    Phase(name="off", rules=(After(seconds=1e-5, then="on"),)),
                ),
            ),
        )
    )


def text(control: Governed, **given) -> str:
    return deck(circuit(), control, duration=1e-3, ignition=Threshold(volts=60.0), **given)


def test_a_switch_is_worked_by_the_phases_that_close_it() -> None:
    written = text(two_phases(After(seconds=2e-5, then="off")))
    assert "Svalve in mid works_valve_ 0 valve_model\n" in written
    assert "Bworks_valve_ works_valve_ 0 v=v(in_charger_on_)\n" in written


def test_a_governor_begins_in_its_first_phase_or_where_it_is_put() -> None:
    control = two_phases(After(seconds=2e-5, then="off"))
    assert "Cin_charger_on_ in_charger_on_ 0 2e-12 ic=1\n" in text(control)
    assert "Cin_charger_off_ in_charger_off_ 0 2e-12 ic=1\n" in text(
        control, start=Start(phases={"charger": "off"})
    )


@pytest.mark.parametrize(
    ("rule", "line"),
    [
        (
            Above(sensor=Sensor(quantity="volts", name="store"), level=50.0, then="off"),
            "Bcharger_on_0_is charger_on_0_is_ 0 v=0.02*(v(out)-50)\n",
        ),
        (
            Below(sensor=Sensor(quantity="node", name="mid"), level=-5.0, then="off"),
            "Bcharger_on_0_is charger_on_0_is_ 0 v=-0.2*(v(mid)-(-5))\n",
        ),
        (
            Above(sensor=Sensor(quantity="amperes", name="valve"), level=2.0, then="off"),
            "Bcharger_on_0_is charger_on_0_is_ 0 v=0.5*(i(Vvalve_flow)-2)\n",
        ),
        (
            OnClock(period=1e-4, first=2e-6, then="off"),
            "Vcharger_on_0_tick charger_on_0_tick_ 0 pulse(0 1 2e-06 1n 1n 2e-08 0.0001)\n",
        ),
        (After(seconds=3e-5, then="off"), "Cin_charger_on_timer in_charger_on_timer_ 0 3e-05 ic=0\n"),
        (WhenGap(state=GapState.ARC, then="off"), "(v(gap_burns_)>0.5)"),
        (WhenIn(governor="charger", phase="off", then="off"), "(v(in_charger_off_)>0.5)"),
        (WhenIn(governor="charger", phase="off", then="off", not_in=True), "(v(in_charger_off_)<0.5)"),
    ],
)
def test_each_kind_of_rule_is_in_the_deck(rule, line: str) -> None:
    assert line in text(two_phases(rule))


def test_a_phase_that_leads_to_itself_is_refused() -> None:
    with pytest.raises(InputRefused, match="got 'on' of 'charger' that leads to itself"):
        text(two_phases(After(seconds=1e-5, then="on")))


def test_phases_that_are_one_in_a_deck_are_refused() -> None:
    twins = Governor(
        name="charger",
        phases=(
            Phase(name="on 1", rules=(After(seconds=1e-5, then="ON-1"),)),
            Phase(name="ON-1", rules=(After(seconds=1e-5, then="on 1"),)),
        ),
    )
    with pytest.raises(InputRefused, match="phases must differ in letters and digits"):
        text(Governed(governors=(twins,)))


def test_a_shorted_gap_is_a_resistor_and_never_burns() -> None:
    written = text(two_phases(After(seconds=2e-5, then="off")), start=Start(gap=GapState.SHORT))
    assert "Rgap_short out 0 0.02\n" in written
    assert "Sgap " not in written
    assert "let flow = (v(out))/0.02\n" in written


def test_a_deck_starts_from_what_its_parts_hold() -> None:
    written = text(two_phases(After(seconds=2e-5, then="off")), start=Start(values={"store": 40.0}))
    assert "Cstore store_in_ 0 1e-06 ic=40\n" in written
