import pytest

from gapwright.app.capture_form import QUESTIONS, said_form, said_parts
from gapwright.app.capture_said import FILE_KEYS, HOOKUP_KEYS, SETTING_KEYS
from gapwright.base.errors import InputRefused


def field(said: dict[str, str], key: str):
    return next(each for each in said_form(said).fields if each.key == key)


def test_a_form_asks_all_that_the_command_line_takes() -> None:
    asked = {
        part: {key for key, (of, _) in QUESTIONS.items() if of == part}
        for part in ("file", "hookup", "settings")
    }
    assert asked == {"file": set(FILE_KEYS), "hookup": set(HOOKUP_KEYS), "settings": set(SETTING_KEYS)}


def test_a_value_is_read_back_in_its_unit() -> None:
    found = field({"shunt": "10 mohm"}, "shunt")
    assert (found.reading, found.problem, found.unit) == ("10 mΩ", None, "Ω")


@pytest.mark.parametrize(
    ("key", "text", "says"),
    [
        ("shunt", "10 V", "shunt must be a resistance in Ω"),
        ("shunt", "-10 mohm", "shunt must be above 0"),
        ("generator", "capacitr", "generator must be one of capacitor, pulse, got 'capacitr'"),
        ("skip_lines", "few", "skip_lines must be a whole number"),
        ("skip_lines", "9999999", "skip_lines must be a whole number"),
        ("voltage_probe", "ten", "voltage_probe must be a pure number"),
        ("voltage_probe", "0", "voltage_probe must be above 0"),
        ("voltage_inverted", "yes", "voltage_inverted must be true or false"),
        ("socket_power", "3 A", "socket_power must be a power in W"),
    ],
)
def test_what_is_wrong_stands_beside_its_field(key: str, text: str, says: str) -> None:
    form = said_form({key: text})
    wrong = [each for each in form.fields if each.problem]
    assert [each.key for each in wrong] == [key]
    assert wrong[0].problem is not None
    assert wrong[0].problem.startswith(says)
    assert "\n" not in wrong[0].problem


def test_two_values_that_cannot_both_be_are_told_together() -> None:
    form = said_form({"shunt": "10 mohm", "clamp": "0.1 V/A"})
    assert form.refused is not None
    assert "got both" in form.refused
    assert not any(each.problem for each in form.fields)


def test_parts_are_values_in_si() -> None:
    said = {
        "shunt": "10 mohm",
        "current_zero": "find",
        "rate": "10 MHz",
        "skip_lines": " 12 ",
        "dry": "true",
        "clamp": "",
    }
    assert said_parts(said) == {
        "file": {"rate": 10e6, "skip_lines": 12},
        "hookup": {"shunt": 0.01, "current_zero": "find"},
        "settings": {"dry": True},
        "meters": {},
    }


def test_what_there_is_not_is_refused() -> None:
    with pytest.raises(InputRefused, match="nothing called 'shnt' to say; .*shunt"):
        said_form({"shnt": "1 ohm"})
