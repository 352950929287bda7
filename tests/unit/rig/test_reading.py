"""Files into records: what they become, and what a refusal says."""

import pickle  # noqa: TID251 - how a record travels to another process

import pytest

from gapwright.base.errors import InputRefused
from gapwright.rig.generator import Relaxation, StepUp
from gapwright.rig.reading import LONGEST_FILE, job_from_text, rig_from_text, to_text
from gapwright.rig.setup import DrivenFlushing, FreeFlushing, Rod, Tube
from tests.unit.rig.samples import DRY, FIRST, JOB, REFUSALS, SECOND, changed, sample


def refusal(name: str, old: str, new: str) -> str:
    """What is said to a sample file with one place changed."""
    read = job_from_text if "job" in name else rig_from_text
    with pytest.raises(InputRefused) as refused:
        read(changed(name, old, new), "my.toml")
    text = str(refused.value)
    assert text.startswith("my.toml: ")
    assert "\n" not in text
    return text.removeprefix("my.toml: ")


def test_the_first_build_is_read_into_si_floats() -> None:
    rig = rig_from_text(sample(FIRST))
    assert isinstance(rig.generator, Relaxation)
    assert (rig.supply.voltage, rig.generator.resistor.resistance) == (70.0, 180.0)
    assert rig.generator.capacitor.capacitance == 0.68e-6
    assert isinstance(rig.setup.electrode, Tube)
    assert (rig.setup.electrode.diameter, rig.setup.electrode.bore) == (0.5e-3, 0.2e-3)
    assert rig.setup.liquid.conductivity == 5e-4
    assert rig.setup.spindle.speed == 10.0
    assert isinstance(rig.setup.flushing, DrivenFlushing)
    assert rig.setup.flushing.pressure == 0.5e6
    assert rig.controller.set_point == 0.6


def test_the_second_build_steps_up() -> None:
    rig = rig_from_text(sample(SECOND).encode())
    assert isinstance(rig.generator, StepUp)
    assert (rig.supply.voltage, rig.supply.current_limit) == (24.0, 2.0)
    assert rig.generator.coil.inductance == 100e-6
    assert (rig.generator.peak_current, rig.generator.voltage_limit) == (1.5, 70.0)


def test_the_dry_start_has_a_rod_in_air() -> None:
    rig = rig_from_text(sample(DRY))
    assert isinstance(rig.setup.electrode, Rod)
    assert isinstance(rig.setup.flushing, FreeFlushing)
    assert rig.setup.liquid.name == "air"


@pytest.mark.parametrize(
    ("name", "thickness"), [("dry-start", 0.2e-3), ("first-build", 1.5e-3), ("second-build", 1.5e-3)]
)
def test_every_job_of_the_demo_is_read(name: str, thickness: float) -> None:
    job = job_from_text(sample(f"{name}.job.toml"))
    assert job.workpiece.thickness == thickness
    assert job.hole.through


def test_the_users_own_text_is_kept_beside_the_floats() -> None:
    rig = rig_from_text(changed(FIRST, '"0.68 uF"', '"680nF"'))
    assert rig.text["generator.capacitor.capacitance"] == "680nF"
    assert rig.text["controller.set_point"] == "0.6"
    assert rig == rig_from_text(sample(FIRST))
    assert rig != rig_from_text(changed(FIRST, '"0.68 uF"', '"681nF"'))
    assert rig != job_from_text(sample(JOB))


def test_records_travel_to_other_processes() -> None:
    rig = rig_from_text(sample(FIRST))
    again = pickle.loads(pickle.dumps(rig))  # noqa: S301 - our own record, made here
    assert again == rig
    assert again.text == rig.text


def test_a_mark_at_the_head_of_the_file_is_no_fault() -> None:
    assert rig_from_text(b"\xef\xbb\xbf" + sample(FIRST).encode()).name == "first build"
    assert rig_from_text("\ufeff" + sample(FIRST)).name == "first build"
    assert rig_from_text(sample(FIRST).replace("\n", "\r\n").encode()).name == "first build"


@pytest.mark.parametrize("fault", REFUSALS["fault"], ids=lambda fault: fault["new"][:40])
def test_a_fault_is_refused_with_key_rule_and_what_was_got(fault: dict[str, str]) -> None:
    assert refusal(fault["file"], fault["old"], fault["new"]) == fault["said"]


def test_a_table_that_is_none_is_refused() -> None:
    head = 'file = "job"\nschema = 1\nname = "x"\nroom_below = "1 mm"\nhole = 3\n'
    with pytest.raises(InputRefused, match="must be a table, got 4"):
        job_from_text(head.replace("hole = 3", "workpiece = 4\nhole = 3"))
    with pytest.raises(
        InputRefused, match=r"workpiece is missing \(What is drilled\); add the table \[workpiece\]"
    ):
        job_from_text(head)


def test_a_rod_has_no_bore_to_flush_through() -> None:
    text = changed(DRY, 'name = "air"', 'name = "kerosene"').replace(
        'kind = "none"', 'kind = "through-tube"\npressure = "1 bar"'
    )
    with pytest.raises(InputRefused, match='setup.flushing.kind must not be "through-tube" with a rod'):
        rig_from_text(text)


NEEDS_HEAD = 'file is missing; begin with file = "rig" and schema = 1'
NO_JOB = "; name a rig file here"
ONE_FORM = "schema must be 1, all that this gapwright reads, got"
NOT_TOML = "must be TOML, got something else: {}; see `gapwright demo` for files that work"
UNCLOSED = "Expected ']' at the end of a table declaration (at line 1, column 8)"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", NEEDS_HEAD),
        ('file = "job"', f'file must be "rig", got "job"{NO_JOB}'),
        ("file = 3", f'file must be "rig", got 3{NO_JOB}'),
        ('file = "rig"', "schema is missing; write schema = 1 below file"),
        ('file = "rig"\nschema = 2', f"{ONE_FORM} 2; a newer gapwright may"),
        ('file = "rig"\nschema = 0', f"{ONE_FORM} 0"),
        ('file = "rig"\nschema = true', f"{ONE_FORM} true"),
        ("a =", NOT_TOML.format("Invalid value (at end of document)")),
        ('[supply\nvoltage = "70 V"', NOT_TOML.format(UNCLOSED)),
        (b"file\xff", "must be text in UTF-8, got byte 0xff at line 1, column 5; save the file as UTF-8"),
        (b"\x7fELF\n\x00", "must be text, got a binary file (NUL at line 2, column 1); name a TOML file"),
        ("a = 1\nb\x00", "must be text, got a binary file (NUL at line 2, column 2); name a TOML file"),
        ("a = " + "1" * 10_000, "must be TOML, got a number that is too long; see `gapwright demo`"),
        ("a = " + "[" * 10_000, "must be TOML, got lists or tables nested too deeply; see `gapwright demo`"),
        ("#" * (LONGEST_FILE + 1), "must have at most 200000 characters, got 200001; name a TOML file"),
    ],
)
def test_what_is_no_rig_file_is_refused(text: str | bytes, said: str) -> None:
    with pytest.raises(InputRefused) as refused:
        rig_from_text(text, "my.toml")
    assert str(refused.value) == f"my.toml: {said}"


def test_changed_text_keeps_everything_else_as_it_was() -> None:
    source = sample(FIRST)
    text = to_text(source, {"generator.capacitor.capacitance": "1 uF", "controller.set_point": 0.7})
    assert text == source.replace('"0.68 uF"', '"1 uF"').replace("set_point = 0.6 ", "set_point = 0.7 ")
    assert to_text(source, {}) == source


def test_a_new_key_is_added_to_its_table() -> None:
    text = to_text(sample(FIRST), {"setup.spindle.speed": "300 rpm", "hole": 1, "leads.wire_gauge": 20})
    assert "wire_gauge = 20" in text
    assert 'speed = "300 rpm"' in text


@pytest.mark.parametrize("path", ["nowhere.key", "supply.voltage.key"])
def test_a_change_outside_the_tables_is_refused(path: str) -> None:
    with pytest.raises(InputRefused, match="must lie in a table of the file"):
        to_text(sample(FIRST), {path: "1 V"})


def test_text_that_is_no_toml_is_not_changed() -> None:
    with pytest.raises(InputRefused, match="must be TOML"):
        to_text("a =", {})
