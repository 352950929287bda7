"""Rigs that cannot drill, through the command line: each ends with its reason and its number."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from gapwright import wiring
from gapwright.app.edits import edited
from gapwright.cli import main

THIN = {"workpiece.thickness": "0.2 mm"}
HOT = {
    "supply.voltage": "120 V",
    "supply.current_limit": "6 A",
    "generator.resistor.resistance": "30 ohm",
    "setup.flushing.kind": "dip",
    "setup.flushing.pressure": "",
}
ARC = {
    "supply.current_limit": "10 A",
    "generator.resistor.resistance": "12 ohm",
    "leads.contact_resistance": "3 ohm",
}
AWAY = {"supply.voltage": "40 V", "generator.bleeder": "", "controller.gain": "1 nm/s"}
STUCK = {
    "controller.law": "hysteresis",
    "controller.feed_speed": "2 mm/s",
    "controller.back_speed": "1 um/s",
    "controller.retract_speed": "1 um/s",
}


NARROW = {"priors.effective-field-water.median": "35 V/um", "priors.effective-field-water.status": "measured"}
"""A gap so narrow that each step of 10 µm ends in a touch."""
HELD = STUCK | {"controller.retract_speed": "1 nm/s", "controller.back_speed": "1 nm/s"}
UNLIMITED = {"limits.time": ""}


def files(folder: Path, rig: dict[str, str], job: dict[str, str]) -> list[str]:
    """The first build's files with values changed."""
    places = []
    for kind, changes in (("rig", rig), ("job", job)):
        place = folder / f"hard.{kind}.toml"
        place.write_text(
            edited(kind, wiring.demo_text(f"first-build.{kind}.toml"), changes), encoding="utf-8"
        )
        places.append(str(place))
    return places


@pytest.fixture
def asked(tmp_path, capsys):
    """Asks the command line for a forecast; gives its JSON object."""

    def ask(rig: dict[str, str], job: dict[str, str], members: int = 2) -> dict[str, Any]:
        command = ["forecast", *files(tmp_path, rig, job), "--members", str(members), "--json", "--quiet"]
        assert main.run(command) == 0
        return dict(json.loads(capsys.readouterr().out))

    return ask


@pytest.mark.parametrize(
    ("rig", "job", "ended", "said"),
    [
        (
            AWAY,
            THIN,
            "starved",
            "240 s without a micrometre of progress at ",
        ),
        (STUCK, THIN, "only shorts", "shorted 100 % of "),
        (ARC, THIN, "standing arc", "where 300 mA keeps one alive"),
        (HOT, {}, "liquid boils", "where the liquid boils at 100 °C"),
        ({}, {"limits.electrode_length": "50 um"}, "electrode used up", "where 50 µm can be used"),
        ({}, {"limits.time": "3 s"}, "time limit", "reached in the 3 s allowed, with "),
    ],
    ids=lambda value: value.replace(" ", "-") if isinstance(value, str) and len(value) < 20 else "",
)
def test_it_ends_with_its_reason_and_number(asked, rig, job, ended, said):
    found = asked(rig, job)
    assert found["ended"][ended] >= 0.5
    (told,) = (remark for remark in found["remarks"] if f"members ended, {ended}" in remark)
    assert said in told


@pytest.mark.parametrize(
    ("rig", "job", "limit"),
    [
        ({"setup.liquid.conductivity": "2000 uS/cm"}, {"limits.time": "20 s"}, "the leak through the water"),
        (HOT, {}, "heat, which boils the liquid in the hole"),
        (ARC, THIN, "an arc that does not go out"),
        ({"controller.gain": "100 mm/s"}, THIN, "gain times slope times lag of the gap loop is "),
    ],
    ids=["leak", "boils", "arc", "unstable"],
)
def test_what_limits_it_is_named(asked, rig, job, limit):
    assert limit in asked(rig, job)["limited_by"]


def test_a_voltage_that_cannot_ignite_is_refused(tmp_path, capsys):
    low = {"supply.voltage": "32 V", "generator.bleeder": ""}
    assert main.run(["forecast", *files(tmp_path, low, {})]) == 2
    assert (
        "above the spark's burning voltage by 10 V (35 V in deionised water), got 32 V"
        in capsys.readouterr().err
    )


@pytest.mark.parametrize(
    ("rig", "job", "law", "far"),
    [
        (
            {"supply.voltage": "40 V", "generator.bleeder": ""},
            {"limits.time": "5 s"},
            "ignition hazard in liquid",
            "open voltage 40 V is below 45 V: bridges ignite the sparks",
        ),
        (HOT, {}, "warmth of the liquid in the gap", "°C, the law holds to the boiling point, 100 °C"),
        (
            {},
            {"workpiece.thickness": "12 mm", "limits.time": "2 s"},
            "flushing life of debris",
            "depth is 24 diameters, the law holds to about 20",
        ),
        (
            {"setup.flushing.pressure": "10 MPa", "setup.electrode.bore": "0.35 mm"},
            THIN,
            "laminar flow through the bore",
            "the law holds to 2300; true flow is less",
        ),
    ],
    ids=["voltage", "heat", "depth", "flow"],
)
def test_a_law_left_behind_is_told_with_how_far(asked, rig, job, law, far):
    told = {each["law"]: each["how_far"] for each in asked(rig, job)["outside_range"]}
    assert far in told[law]


@pytest.mark.parametrize(
    ("rig", "job", "ended", "said"),
    [
        (AWAY, THIN, "starved", "240 s without a micrometre of progress at "),
        (HELD, {}, "only shorts", "shorted 100 % of 240 s without a micrometre of progress at "),
        (ARC, THIN, "standing arc", "where 300 mA keeps one alive"),
    ],
    ids=["away", "held", "arc"],
)
def test_without_a_time_limit_the_first_members_decide_what_none_can_do(asked, rig, job, ended, said):
    found = asked(rig, job | UNLIMITED, members=64)
    assert found["members"] == 16
    assert found["finished_share"] == 0.0
    assert not found["gets_through"]
    assert found["ended"][ended] >= 0.5
    remarks = found["remarks"]
    assert (
        "None of 16 members gets there, so at most 17 % of all do, at 95 %; more would not be drilled."
        in remarks
    )
    assert any(f"of 16 members ended, {ended}" in one for one in remarks)
    assert any(said in one for one in remarks)


def test_a_pace_that_cannot_do_is_told_with_the_time_followed(asked):
    found = asked(NARROW, UNLIMITED)
    (told,) = (one for one in found["remarks"] if "members ended, starved" in one)
    assert re.search(r"open and waiting for \d+ % of the last 240 s, which took it \d", told)
    assert told.endswith(": at that pace not in the 14400 s that a forecast follows a drilling.")


def test_a_limit_of_the_job_is_followed_to_its_end(asked):
    found = asked(NARROW, {"limits.time": "400 s"})
    (told,) = (one for one in found["remarks"] if "members ended, time limit" in one)
    assert "reached in the 400 s allowed" in told
