"""Rig files of the kinds beside relaxation and step-up: they are read, and what is wrong in them is named."""

from pathlib import Path

import pytest

from gapwright.base.errors import InputRefused
from gapwright.rig.generator import open_voltage, short_circuit_current
from gapwright.rig.reading import rig_from_text
from gapwright.rig.rig import Rig

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"


def text(name: str) -> str:
    return (EXAMPLES / f"{name}.rig.toml").read_text(encoding="utf-8")


def rig(name: str) -> Rig:
    return rig_from_text(text(name), name)


@pytest.mark.parametrize(
    ("name", "volts", "amperes"),
    [
        ("flyback", 90.0, 0.5 * 4.0 / 5.0),
        ("iso-pulse", 80.0, 6.0),
        ("current-source", 160.0, 6.0),
        ("own-circuit", 70.0, 1.0),
    ],
)
def test_what_a_kind_gives_to_an_open_gap_and_to_a_short(name: str, volts: float, amperes: float) -> None:
    made = rig(name)
    assert open_voltage(made.generator, made.supply) == volts
    assert short_circuit_current(made.generator, made.supply) == pytest.approx(amperes, rel=1e-12)


def test_the_store_of_a_circuit_of_one_s_own_is_a_capacitor_like_any_other() -> None:
    generator = rig("own-circuit").generator
    assert generator.capacitor.capacitance == pytest.approx(0.68e-6, rel=1e-12)
    assert generator.capacitor.voltage_rating == 250.0
    assert generator.bleeder is None


@pytest.mark.parametrize(
    ("name", "old", "new", "said"),
    [
        (
            "own-circuit",
            'R1 = { part = "resistor", between = ["in", "out"], resistance',
            'R1 = { part = "resistors", between = ["in", "out"], resistance',
            "generator.parts.R1 must have part = .*got \"resistors\"; did you mean 'resistor'",
        ),
        ("own-circuit", 'between = ["in", "out"], res', 'between = ["in"], res', "must be two nodes such as"),
        ("own-circuit", 'store = "C1"', 'store = "R1"', r"generator.roles.store must name a part of kind"),
        ("own-circuit", 'ripple_rating = "4 A"', "", "generator.parts.C1.ripple_rating is missing"),
        ("own-circuit", 'above = "40 uC"', 'above = "40 V"', "above"),
        (
            "own-circuit",
            'gap = "open", then',
            'gap = "open", after = "1 us", then',
            "exactly one of above, be",
        ),
        ("own-circuit", 'watch = "charge", of = "gap", above', "above", "must say what it watches"),
        ("own-circuit", 'resistance = "180 ohm"', 'resistance = "0 ohm"', "must be at least 1 mΩ"),
        ("flyback", "coupling = 0.985", "coupling = 1.0", "generator.coupling must be below 1"),
        ("flyback", 'voltage_limit = "90 V"', 'voltage_limit = "2 V"', "generator.hysteresis must be below"),
        ("current-source", 'band = "1 A"', 'band = "12 A"', "generator.band must be below twice the current"),
        ("iso-pulse", 'pause = "50 us"', 'pause = "0 us"', "generator.pause must be at least 10 ns"),
        (
            "flyback",
            'bleeder = "330 kohm"',
            'bleeder = "330 kohm"\n[generator.series_switch.switch]\non_resistance = "9 mohm"\n'
            'voltage_rating = "200 V"\ncurrent_rating = "90 A"',
            "generator.series_switch must open on something",
        ),
    ],
)
def test_faults_are_named(name: str, old: str, new: str, said: str) -> None:
    whole = text(name)
    assert old in whole
    with pytest.raises(InputRefused, match=said):
        rig_from_text(whole.replace(old, new, 1), f"{name}.rig.toml")
