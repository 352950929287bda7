import pytest

from gapwright.app.demo import NAMES
from gapwright.app.edits import edited, forms
from gapwright.app.form_fields import Field
from gapwright.app.sheet import Origin, Sheet, sheet
from gapwright.base.errors import InputRefused
from gapwright.rig.reading import Kind, rig_from_text
from gapwright.wiring import demo_text

RIG = demo_text("first-build.rig.toml")


def laid(text: str, kind: Kind = "rig") -> Sheet:
    return sheet(text, Origin(kind=kind, name="mine", etag="1", saved=True, dropped=False))


def field(of: Sheet, path: str) -> Field:
    return next(each for each in of.fields if each.path == path)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("kind", ["rig", "job"])
def test_a_sound_file_has_no_fault_and_every_required_value(name: str, kind: Kind) -> None:
    found = laid(demo_text(f"{name}.{kind}.toml"), kind)
    assert found.refused is None
    assert found.faults == ()
    assert all(each.value is not None for each in found.fields if each.required)
    assert all(each.help for each in found.fields)
    assert all(each.problem is None for each in found.fields)


def test_every_value_that_the_file_gives_is_on_the_sheet() -> None:
    found = laid(RIG)
    assert set(rig_from_text(RIG).text) == {each.path for each in found.fields if each.given}


def test_a_value_has_text_number_reading_range_and_status() -> None:
    value = field(laid(RIG), "generator.capacitor.capacitance")
    assert (value.text, value.value, value.reading, value.unit) == ("0.68 uF", 0.68e-6, "680 nF", "F")
    assert (value.status, value.type, value.stage) == ("yours", "quantity", "store")
    assert value.range == "at least 10 pF, at most 100 mF"
    assert (value.minimum, value.maximum) == (10e-12, 0.1)


def test_a_value_left_out_shows_its_default_and_how_sure_that_is() -> None:
    value = field(laid(edited("rig", RIG, {"supply.efficiency": ""})), "supply.efficiency")
    assert (value.text, value.value, value.given, value.default) == (None, 0.85, False, "0.85")
    assert value.status == "from memory"


def test_a_whole_number_has_its_range() -> None:
    count = field(laid(demo_text("first-build.job.toml"), "job"), "hole.count")
    assert (count.type, count.range, count.value) == ("whole", "at least 1, at most 100000", 12)


def test_choices_are_all_kinds_and_all_materials() -> None:
    found = laid(RIG)
    kinds = [choice.value for choice in field(found, "generator.kind").choices]
    assert {"relaxation", "step-up"} <= set(kinds)
    assert len(kinds) == len(set(kinds))
    metals = {choice.value for choice in field(found, "setup.electrode.material").choices}
    assert {"brass", "copper", "tungsten"} <= metals
    assert "alumina" not in metals


def test_faults_stand_beside_their_fields_in_the_words_of_the_command_line() -> None:
    text = edited("rig", RIG, {"supply.voltage": "70", "leads.inductance": "300 nF", "axis.lag": "-1 s"})
    found = laid(text)
    assert field(found, "leads.inductance").problem in [fault.says for fault in found.faults]
    for path in ("supply.voltage", "leads.inductance", "axis.lag"):
        assert str(field(found, path).problem).startswith(path)
    assert len(found.faults) == 3
    with pytest.raises(InputRefused) as refused:
        rig_from_text(text, "mine")
    assert str(refused.value) == f"mine: {found.refused}"


def test_keys_of_another_kind_are_left_over() -> None:
    found = laid(edited("rig", RIG, {"generator.kind": "step-up"}))
    assert found.leftover == ("generator.resistor",)
    assert field(found, "generator.peak_current").problem
    assert next(table for table in found.tables if table.path == "generator.coil").problem


def test_a_fault_across_fields_stands_at_one_of_them() -> None:
    found = laid(edited("rig", RIG, {"controller.short_threshold": "60 V"}))
    assert "must be below set_point times open voltage" in str(
        field(found, "controller.short_threshold").problem
    )


def test_a_table_that_may_be_left_out_asks_for_nothing_until_it_is_there() -> None:
    switch = "generator.series_switch"
    found = laid(RIG)
    assert not next(table for table in found.tables if table.path == switch).given
    assert not any(each.required for each in found.fields if each.path.startswith(switch))
    given = laid(edited("rig", RIG, {f"{switch}.switch.on_resistance": "40 mohm"}))
    assert field(given, f"{switch}.switch.voltage_rating").required
    assert field(given, f"{switch}.switch.voltage_rating").problem


def test_each_part_of_a_circuit_of_one_s_own_is_of_its_own_kind() -> None:
    changes = {
        "generator.kind": "netlist",
        "generator.parts.store.part": "capacitor",
        "generator.parts.lead.part": "inductor",
    }
    found = laid(edited("rig", RIG, changes))
    paths = {each.path for each in found.fields}
    own = [path for path in paths if path.startswith("generator.parts.store.")]
    other = [path for path in paths if path.startswith("generator.parts.lead.")]
    assert {path.rsplit(".", 1)[1] for path in own} != {path.rsplit(".", 1)[1] for path in other}
    assert len(field(found, "generator.parts.store.part").choices) > 3


def test_own_constants_are_on_the_sheet() -> None:
    found = laid(edited("rig", RIG, {"priors.hole-scatter.median": "1.1"}))
    assert field(found, "priors.hole-scatter.median").value == 1.1


@pytest.mark.parametrize(
    "text", ["", "zork =", "\x00", "a = 1", "[supply]\nvoltage = [1, 2]", 'supply = "no"']
)
def test_a_file_that_is_none_is_laid_out_all_the_same(text: str) -> None:
    found = laid(text)
    assert found.refused
    assert field(found, "name").given is False


def test_each_form_of_a_field_is_the_one_its_changes_are_written_in() -> None:
    for each in laid(RIG).fields:
        if each.type != "choice":
            assert forms("rig")[each.path] == each.type
