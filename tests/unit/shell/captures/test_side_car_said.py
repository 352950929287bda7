"""What is said of a capture goes into its side-car and out of it again; the rest stays as it was written."""

import json

import pytest

from gapwright.base.errors import InputRefused
from gapwright.shell.captures.side_car import hookup_of, settings_of, side_car_from, wish_with
from gapwright.shell.captures.side_car_said import KEYS, said_in, with_said, without

OWN = """{"file": "capture samples", "schema": 1, "type": "int16", "rate_hz": 10e6,
 "channels": [{"name": "gäp", "unit": "V", "scale": 2.50e-2}, {"name": "loop", "unit": "A"}],
 "hookup": {"shunt_ohm": 1e-2, "voltage_zero_v": "find", "voltage_inverted": false},
 "settings": {"dry": true}}"""
ALL = {
    "voltage_channel": "1", "voltage_probe": "10", "voltage_inverted": "true", "voltage_zero": "0.4 V",
    "voltage_drift": "0.2 V/s", "current_channel": "2", "current_probe": "2.5", "clamp": "0.1 V/A",
    "current_inverted": "true", "current_zero": "find", "current_drift": "-3 mA/s", "current_delay": "20 ns",
    "current_bandwidth": "1 MHz", "generator": "capacitor", "open_voltage": "70 V",
    "burning_voltage": "22.3 V", "voltage_noise": "0.8 V", "current_noise": "0.2 A",
    "time_constant": "120 us", "on_time": "50 us", "capacitance": "1 uF", "dry": "true", "rate": "10 MHz",
    "separator": "tab", "decimal": "comma", "skip_lines": "12", "missing": "gaps",
}  # fmt: skip


def said(text: str) -> dict[str, str]:
    return said_in(side_car_from("x.json", text.encode()))


def test_what_a_side_car_says_is_told_as_a_person_would_type_it() -> None:
    assert said(OWN) == {"rate": "10 MHz", "shunt": "10 mΩ", "voltage_zero": "find", "dry": "true"}
    assert said_in(None) == {}


def test_all_that_may_be_said_comes_back_the_same() -> None:
    assert set(ALL) == set(KEYS) - {"shunt"}
    text = with_said(None, {}, ALL)
    told = said(text)
    assert set(told) == set(ALL)
    assert with_said(None, {}, told) == text
    car = side_car_from("x.json", text.encode())
    assert hookup_of(car)["current_drift"] == -0.003
    assert settings_of(car)["time_constant"] == pytest.approx(120e-6, rel=1e-15)
    assert wish_with(car, {}).skip_lines == 12


def test_what_is_not_touched_stays_as_it_was_written() -> None:
    before = said(OWN)
    text = with_said(OWN, before, {**before, "voltage_probe": "10", "rate": "20 MHz"})
    assert '"scale": 2.50e-2' in text
    assert '"shunt_ohm": 1e-2' in text
    assert "gäp" in text
    told, own = json.loads(text), json.loads(OWN)
    assert told.pop("rate_hz") == 20e6
    assert told["hookup"].pop("voltage_probe") == 10.0
    assert own.pop("rate_hz") == 10e6
    assert told == own
    assert list(json.loads(text)) == list(json.loads(OWN))


def test_what_is_not_said_any_more_goes() -> None:
    before = said(OWN)
    told = json.loads(with_said(OWN, before, {"shunt": "20 mohm"}))
    assert told["hookup"] == {"shunt_ohm": 0.02, "voltage_inverted": False}
    assert "settings" not in told
    assert "rate_hz" not in told
    car = without(side_car_from("x.json", OWN.encode()), {"shunt", "rate", "dry"})
    assert hookup_of(car) == {"voltage_zero": "find", "voltage_inverted": False}
    assert settings_of(car) == {}
    assert wish_with(car, {}).rate is None


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"shunt": "10 V"}, "shunt must be a resistance"),
        ({"shunt": "10 mohm", "clamp": "1 V/A"}, "a shunt or a clamp"),
        ({"voltage_probe": "-1"}, "voltage_probe must be above 0"),
        ({"hunt": "1"}, "nothing called 'hunt'"),
    ],
)
def test_wrong_words_are_refused(wrong: dict[str, str], says: str) -> None:
    with pytest.raises(InputRefused, match=says):
        with_said(OWN, said(OWN), wrong)
