"""`ledger --capture`: the account of what was measured, and what it refuses."""

import json

import jsonschema  # type: ignore[import-untyped]
import numpy as np
import pytest

from gapwright.app.captures import CaptureRequest, read_capture
from gapwright.app.documents import file_schema
from gapwright.app.measured import ledger_of_capture
from gapwright.base.errors import InputRefused
from gapwright.cli.main import run
from gapwright.study.captures.meter_readings import MeterReadings
from gapwright.wiring import demo_text
from tests.unit.app.test_captures import CHARGE, COUNT, hands, recording
from tests.unit.capture.recorded import BURNING, PERIOD, RATE, sparks

POWER = BURNING * CHARGE * RATE / PERIOD
"""Mean power in the gap of the made-up capture."""


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    place = tmp_path_factory.mktemp("measured")
    volts, amperes = sparks(COUNT, noise=0.2)
    np.savez(place / "run.npz", **{"dt": np.array(1 / RATE), "Gap (V)": volts, "Loop (A)": amperes})
    (place / "rig.toml").write_text(demo_text("first-build.rig.toml"), encoding="utf-8")
    return str(place / "run.npz"), str(place / "rig.toml")


def test_measured_lines_close_and_carry_their_uncertainty(capsys, files) -> None:
    capture, rig = files
    asked = [
        "ledger",
        "--capture",
        capture,
        "--rig",
        rig,
        "--supply-voltage",
        "70 V",
        "--supply-current",
        "0.6 A",
    ]
    assert run([*asked, "--json"]) == 0
    account = json.loads(capsys.readouterr().out)
    jsonschema.validate(account, file_schema("ledger --capture"))
    lines = account["lines"]
    given = sum(line["energy_j"] for line in lines if line["role"] == "in")
    taken = sum(line["energy_j"] for line in lines if line["role"] == "out")
    assert taken == pytest.approx(given, rel=1e-9)
    assert all(line["uncertainty_j"] > 0.0 for line in lines)
    spark = next(line for line in lines if line["stage"] == "spark")
    assert spark["power_w"] == pytest.approx(POWER, rel=0.01)
    output = next(line for line in lines if line["account"] == "given to the generator")
    assert output["power_w"] == pytest.approx(42.0, rel=1e-9)
    assert run(asked) == 0
    assert "standard uncertainty" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], "must have RIG and JOB, or --capture with --rig"),
        (["rig.toml"], "must have RIG and JOB"),
        (["--capture", "run.csv"], "--capture must come with --rig RIG"),
        (["rig.toml", "job.toml", "--capture", "run.csv", "--rig", "rig.toml"], "a rig must be given once"),
        (["rig.toml", "job.toml", "--shunt", "1 mohm"], "--shunt goes with --capture"),
        (["rig.toml", "job.toml", "--socket-power", "60 W"], "--socket-power goes with --capture"),
        (["--capture", "run.csv", "--rig", "rig.toml", "--socket-power", "60 V"], "must be a power in W"),
    ],
)
def test_what_does_not_go_together_is_refused(capsys, arguments, said) -> None:
    assert run(["ledger", *arguments]) == 2
    caught = capsys.readouterr()
    assert said in caught.err
    assert caught.err.count("\n") == 1


def test_a_capture_without_rig_or_with_cut_peaks_has_no_ledger() -> None:
    volts, amperes = sparks(COUNT, noise=0.2)
    without = read_capture(CaptureRequest(places=("run-0",)), hands(recording(volts, amperes)))
    with pytest.raises(InputRefused, match="must know its rig"):
        ledger_of_capture(without, MeterReadings())
    cut = np.clip(np.round(amperes), -30, 30).astype(np.int8)
    clipped = read_capture(
        CaptureRequest(places=("run-0",), rig="first.toml"), hands(recording(volts, cut, rails=(-30.0, 30.0)))
    )
    with pytest.raises(InputRefused, match="must have whole peaks"):
        ledger_of_capture(clipped, MeterReadings())


def test_a_supply_can_be_a_capture(capsys, files, tmp_path) -> None:
    capture, rig = files
    supply = str(tmp_path / "supply.npz")
    k = np.arange(4000)
    swing = 1.0 + 0.5 * np.sin(2 * np.pi * k / 100)
    np.savez(supply, **{"dt": np.array(1e-5), "Out (V)": 70.0 * swing, "Out (A)": 0.5 * swing})
    asked = ["ledger", "--capture", capture, "--rig", rig, "--json", "--quiet"]
    assert run([*asked, "--supply-capture", supply, "--auxiliary-power", "40 W"]) == 0
    lines = json.loads(capsys.readouterr().out)["lines"]
    output = next(line for line in lines if line["account"] == "given to the generator")
    # The mean of the product: a half of the swing squared comes on top of the product of the means.
    assert output["power_w"] == pytest.approx(35.0 * 1.125, rel=1e-6)
    assert sum(line["power_w"] for line in lines if line["stage"] == "auxiliaries") == pytest.approx(80.0)
    assert run([*asked, "--supply-capture", supply, "--supply-voltage", "70 V"]) == 2
    assert "a supply must be measured once" in capsys.readouterr().err
    np.savez(supply, **{"dt": np.array(1e-5), "Out (V)": 70.0 * swing})
    assert run([*asked, "--supply-capture", supply]) == 2
    assert "must hold the supply's voltage and current" in capsys.readouterr().err


def test_how_sure_the_instruments_are_can_be_said(capsys, files) -> None:
    capture, rig = files
    asked = ["ledger", "--capture", capture, "--rig", rig, "--quiet", "--supply-voltage", "70 V"]
    asked += ["--supply-current", "0.6 A", "--json"]

    def output(*more: str) -> float:
        assert run([*asked, *more]) == 0
        lines = json.loads(capsys.readouterr().out)["lines"]
        line = next(line for line in lines if line["account"] == "given to the generator")
        return float(line["uncertainty_j"] / line["energy_j"])

    assert output() == pytest.approx(np.hypot(0.005, 0.01), rel=1e-6)
    said = ["--uncertainty", "supply-voltage=0.1 %", "--uncertainty", "supply-current=0.002"]
    assert output(*said) == pytest.approx(np.hypot(0.001, 0.002), rel=1e-6)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (["curent-gain=1%"], "current-gain"),
        (["current-gain"], "current-gain"),
        (["current-gain=3 V"], "which is a voltage"),
        (["current-gain=150%"], "between 0 and 1"),
        (["current-gain=1%", "current-gain=2%"], "given once"),
    ],
)
def test_a_wrong_uncertainty_is_refused(capsys, files, said, told) -> None:
    capture, rig = files
    more = [part for each in said for part in ("--uncertainty", each)]
    assert run(["ledger", "--capture", capture, "--rig", rig, "--quiet", *more]) == 2
    caught = capsys.readouterr()
    assert told in caught.err
    assert caught.err.count("\n") == 1
