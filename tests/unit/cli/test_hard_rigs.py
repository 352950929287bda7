"""Rigs that cannot drill, through the command line: each ends with its reason and its number."""

import json
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

    def ask(rig: dict[str, str], job: dict[str, str]) -> dict[str, Any]:
        command = ["forecast", *files(tmp_path, rig, job), "--members", "2", "--json", "--quiet"]
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
    (told,) = (remark for remark in found["remarks"] if f"members ended, {ended}; one of them: " in remark)
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
