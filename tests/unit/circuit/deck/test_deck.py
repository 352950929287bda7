import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.circuit.control.control import FixedOnTime, NoControl
from gapwright.circuit.control.ignition import Forced, Threshold
from gapwright.circuit.deck.deck import deck
from gapwright.circuit.network.elements import CurrentSource, Resistor
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.stages.generators import (
    Clocked,
    CurrentLimited,
    Relaxation,
    SparkLoop,
    StepUp,
    SupplyLimit,
    relaxation_network,
    step_up_network,
)

LOOP = SparkLoop(
    farads=0.68e-6, series_ohms=0.02, lead_henries=0.4e-6, lead_ohms=0.05, arc_volts=25.0, arc_ohms=0.05
)
STRIKES = Threshold(volts=60.0)


def charger(drive: Clocked | CurrentLimited, **changes):
    return step_up_network(
        StepUp(
            supply_volts=24.0,
            source_ohms=0.1,
            coil_henries=100e-6,
            coil_ohms=0.1,
            switch_ohms=0.05,
            diode_volts=0.7,
            diode_ohms=0.05,
            drive=drive,
            loop=LOOP,
            **changes,
        )
    )


def relaxation(**changes):
    return relaxation_network(Relaxation(supply_volts=70.0, charging_ohms=180.0, loop=LOOP, **changes))


def elements_of(text: str) -> list[str]:
    """Lines of a deck that are parts: before its options, no remark, no model."""
    return [line for line in text.split(".options")[0].splitlines() if line[0] not in "*."]


def test_every_part_is_in_the_deck_under_its_name() -> None:
    netlist, control = charger(CurrentLimited(limit=1.5, minimum_off_time=5e-6, voltage_limit=70.0))
    text = deck(netlist, control, duration=1e-3, ignition=STRIKES)
    for part in netlist.elements:
        assert f"* {part.stage}: {part.name}\n" in text
    assert "Rcoil_resistance fed wound 0.1\n" in text
    assert "Lcoil wound switched 0.0001 ic=0\n" in text


def test_no_two_lines_define_one_part() -> None:
    netlist, control = charger(CurrentLimited(limit=1.5, minimum_off_time=5e-6, voltage_limit=70.0))
    heads = [
        line.split()[0].lower()
        for line in elements_of(deck(netlist, control, duration=1e-3, ignition=STRIKES))
    ]
    assert len(heads) == len(set(heads))


def test_a_clock_is_a_pulse() -> None:
    netlist, control = charger(Clocked(period=25e-6, on_time=12e-6))
    text = deck(netlist, control, duration=1e-3, ignition=STRIKES)
    assert "pulse(0 1 0 1e-08 1e-08 1.199e-05 2.5e-05)" in text
    assert "closed for 1.2e-05 s of every 2.5e-05 s" in text


def test_a_relaxation_generator_has_no_drive() -> None:
    assert "drive_" not in deck(*relaxation(), duration=1e-3, ignition=STRIKES)


def test_a_source_of_current_counts_as_drawn_from() -> None:
    netlist, control = relaxation(supply_limit=SupplyLimit(amperes=2.0))
    text = deck(netlist, control, duration=1e-3, ignition=STRIKES)
    assert "let power = -70*i(Vsupply) + 2*v(in)\n" in text
    assert any(isinstance(part, CurrentSource) for part in netlist.elements)


def test_an_open_gap_stays_open() -> None:
    text = deck(*relaxation(), duration=1e-3)
    assert "Sgap" not in text
    assert "Rgap_open" in text


def test_a_slow_lead_is_given_time_to_carry_what_holds_the_arc() -> None:
    netlist, control = relaxation_network(
        Relaxation(
            supply_volts=70.0,
            charging_ohms=180.0,
            loop=SparkLoop(
                farads=0.68e-6,
                series_ohms=0.02,
                lead_henries=35e-6,
                lead_ohms=0.05,
                arc_volts=25.0,
                arc_ohms=0.05,
                hold_amperes=0.5,
            ),
        )
    )
    assert "Cgap_seen gap_late_ 0 2e-09 ic=0" in deck(netlist, control, duration=1e-3, ignition=STRIKES)


def test_times_of_ignition_are_refused() -> None:
    with pytest.raises(InputRefused, match="a deck must ignite at a threshold or never, got Forced"):
        deck(*relaxation(), duration=1e-3, ignition=Forced(times=np.zeros(1)))


def test_a_threshold_below_the_burning_voltage_is_refused() -> None:
    with pytest.raises(InputRefused, match="above the burning voltage of 25 V, got 20 V"):
        deck(*relaxation(), duration=1e-3, ignition=Threshold(volts=20.0))


@pytest.mark.parametrize(
    ("given", "match"), [({"duration": 0.0}, "duration"), ({"longest_step": -1.0}, "longest_step")]
)
def test_times_must_be_above_zero(given: dict[str, float], match: str) -> None:
    with pytest.raises(InputRefused, match=match):
        deck(*relaxation(), **{"duration": 1e-3, **given})


def test_names_that_are_one_in_a_deck_are_refused() -> None:
    where = {"start": "a", "end": "0", "ohms": 1.0, "stage": "supply", "account": "heat"}
    twins = Netlist(elements=(Resistor(name="load 1", **where), Resistor(name="LOAD-1", **where)))
    with pytest.raises(InputRefused, match="got 'load 1' and 'LOAD-1'; rename one"):
        deck(twins, NoControl(), duration=1e-3)


def test_an_undriven_switch_keeps_its_state() -> None:
    netlist, _ = charger(Clocked(period=25e-6, on_time=12e-6))
    assert "Rswitch switched 0 10000000\n" in deck(netlist, NoControl(), duration=1e-3)
    assert "Sswitch" in deck(netlist, FixedOnTime(switch="switch", period=1e-3, on_time=1e-4), duration=1e-3)
