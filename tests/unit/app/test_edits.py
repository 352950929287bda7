import tomllib

import pytest

from gapwright.app.edits import edited, forms
from gapwright.base.errors import InputRefused
from gapwright.rig.reading import faults_of, job_from_text, rig_from_text
from gapwright.wiring import demo_text

RIG, JOB = demo_text("first-build.rig.toml"), demo_text("first-build.job.toml")


def test_a_change_leaves_every_other_character() -> None:
    text = edited("rig", RIG, {"generator.capacitor.capacitance": "0.47 uF"})
    assert text == RIG.replace('"0.68 uF"', '"0.47 uF"')


def test_values_are_written_as_their_fields_want_them() -> None:
    text = edited("job", JOB, {"hole.through": "false", "hole.count": "3", "hole.depth": "1 mm"})
    hole = tomllib.loads(text)["hole"]
    assert (hole["through"], hole["count"], hole["depth"]) == (False, 3, "1 mm")
    assert "# either way" in text
    assert job_from_text(text).hole.count == 3
    assert (
        tomllib.loads(edited("rig", RIG, {"controller.set_point": "0.7"}))["controller"]["set_point"] == 0.7
    )


def test_what_does_not_fit_is_written_as_text_and_refused_when_checked() -> None:
    text = edited("job", JOB, {"hole.count": "three"})
    assert [fault.path for fault in faults_of("job", text)] == ["hole.count"]


def test_an_empty_text_takes_a_key_or_a_table_out() -> None:
    text = edited("job", JOB, {"limits.time": " ", "limits.nothing": ""})
    assert "limits" in tomllib.loads(text)
    assert "time" not in tomllib.loads(text)["limits"]
    assert "limits" not in tomllib.loads(edited("job", JOB, {"limits": ""}))


def test_a_missing_table_is_made() -> None:
    text = edited("rig", RIG, {"priors.hole-scatter.median": "1.1", "priors.hole-scatter.status": "measured"})
    assert text.startswith(RIG.rstrip())
    assert rig_from_text(text).priors["hole-scatter"].median.value == 1.1


def test_another_kind_takes_its_own_keys() -> None:
    text = edited("rig", RIG, {"generator.kind": "step-up"})
    paths = {fault.path for fault in faults_of("rig", text)}
    assert {"generator.resistor", "generator.coil", "generator.peak_current"} <= paths
    assert [fault.path for fault in faults_of("rig", text) if fault.is_unknown_key] == ["generator.resistor"]


@pytest.mark.parametrize("path", ["", "a b", "../x", "a..b", 'x."y"', "a\nb", "x" * 200, "a." * 9 + "b"])
def test_a_path_that_no_file_has_is_refused(path: str) -> None:
    with pytest.raises(InputRefused, match="a key path must be keys"):
        edited("rig", RIG, {path: "1"})


def test_a_path_through_a_value_is_refused() -> None:
    with pytest.raises(InputRefused, match="must lie in a table"):
        edited("rig", RIG, {"supply.voltage.deep": "1 V"})


def test_long_texts_and_many_changes_are_refused() -> None:
    with pytest.raises(InputRefused, match="at most 200 characters, got 201"):
        edited("rig", RIG, {"name": "x" * 201})
    with pytest.raises(InputRefused, match="at most 400 changes"):
        edited("rig", RIG, {f"k{n}": "1" for n in range(401)})


def test_text_with_quotes_and_line_ends_stays_one_value() -> None:
    text = edited("rig", RIG, {"name": 'a "b"\n[generator]\nkind = 3'})
    assert tomllib.loads(text)["generator"]["kind"] == "relaxation"
    assert faults_of("rig", text)[0].path == "name"


def test_line_ends_of_another_system_are_kept() -> None:
    there = RIG.replace("\n", "\r\n")
    assert edited("rig", there, {"supply.voltage": "60 V"}) == there.replace('"70 V"', '"60 V"')


def test_every_field_of_every_kind_has_a_form() -> None:
    found = forms("rig")
    assert found["generator.coil.inductance"] == "quantity"
    assert found["generator.resistor.resistance"] == "quantity"
    assert found["controller.set_point"] == "number"
    assert found["leads.wire_gauge"] == "whole"
    assert found["setup.surroundings.attended"] == "switch"
    assert found["setup.flushing.kind"] == "choice"
    assert found["name"] == "text"
