"""The commands below `capture`, from the words of the user to what is printed."""

import json
from pathlib import Path

import pytest

from gapwright.cli.main import run
from gapwright.wiring import demo_text
from tests.unit.capture.recorded import RATE, sparks

SHUNT = ("--current-channel", "2", "--shunt", "20 mohm")


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    place = tmp_path_factory.mktemp("captures")
    volts, amperes = sparks(60, noise=0.2)
    rows = (
        f"{k / RATE:.9f},{v:.3f},{0.02 * a:.5f}" for k, (v, a) in enumerate(zip(volts, amperes, strict=True))
    )
    (place / "run.csv").write_text("Time (s),Gap (V),Shunt (V)\n" + "\n".join(rows), encoding="utf-8")
    (place / "rig.toml").write_text(demo_text("first-build.rig.toml"), encoding="utf-8")
    return place


def said(capsys, *arguments: str) -> str:
    code = run(["capture", *arguments])
    captured = capsys.readouterr()
    assert code == 0, captured.err
    return captured.out


def refused(capsys, *arguments: str) -> str:
    assert run(["capture", *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    return captured.err


def test_reading_prints_classes_and_totals(capsys, folder) -> None:
    text = said(capsys, "read", str(folder / "run.csv"), *SHUNT, "--rig", str(folder / "rig.toml"))
    for words in ("Gap", "Shunt", "50.0 MHz", "normal", "energy in the gap, all", "open voltage"):
        assert words in text


def test_a_kept_capture_reads_as_its_file_does(capsys, folder, tmp_path) -> None:
    kept, table = str(tmp_path / "run.capture"), tmp_path / "sparks.csv"
    first = said(
        capsys, "read", str(folder / "run.csv"), *SHUNT, "--keep", kept, "--sparks", str(table), "--json"
    )
    again = said(capsys, "read", kept, "--json")
    one, two = json.loads(first), json.loads(again)
    assert one["sparks"] == two["sparks"]
    assert two["energy_j"]["total"] == pytest.approx(one["energy_j"]["total"], rel=1e-4)
    lines = table.read_text(encoding="utf-8").splitlines()
    assert len(lines) == 1 + sum(each["count"] for each in one["classes"].values())
    assert "energy_j" in lines[0]


def test_what_is_wrong_is_one_line_and_leaves_nothing(capsys, folder, tmp_path) -> None:
    run_csv, kept = str(folder / "run.csv"), tmp_path / "kept"
    assert "shunt or clamp must be given" in refused(
        capsys, "read", run_csv, "--current-channel", "2", "--keep", str(kept)
    )
    assert not kept.exists()
    assert '--shunt must be a resistance in Ω, got "20 V"' in refused(
        capsys, "read", run_csv, "--current-channel", "2", "--shunt", "20 V"
    )
    assert "--missing must be one of refuse, gaps, got 'gap'; did you mean 'gaps'?" in refused(
        capsys, "read", run_csv, "--missing", "gap"
    )
    assert "a table of sparks must be named .csv or .parquet" in refused(
        capsys, "read", run_csv, *SHUNT, "--sparks", str(tmp_path / "sparks.txt")
    )
    assert list(tmp_path.iterdir()) == []


def test_setting_up_draws_and_tells(capsys, folder, tmp_path) -> None:
    figure = tmp_path / "earth.svg"
    text = said(capsys, "setup", str(folder / "rig.toml"), "--figure", str(figure))
    assert "* workpiece, beside the gap" in text
    assert "SHORTS the store" in text
    assert figure.read_text(encoding="utf-8").startswith("<?xml")
    answer = json.loads(said(capsys, "setup", str(folder / "rig.toml"), "--json"))
    assert answer["earth"]["best"] == "workpiece, beside the gap"
    assert "must be named .svg or .png" in refused(
        capsys, "setup", str(folder / "rig.toml"), "--figure", str(tmp_path / "earth.gif")
    )


def test_showing_draws_every_figure(capsys, folder, tmp_path) -> None:
    figures = tmp_path / "figures"
    answer = json.loads(
        said(
            capsys,
            "show",
            str(folder / "run.csv"),
            *SHUNT,
            "--figures",
            str(figures),
            "--kind",
            "png",
            "--json",
        )
    )
    names = {Path(place).name for place in answer["figures"]}
    assert names == {"overview.png", "sparks.png", "delay.png", "energy.png", "classes.png"}
    for place in answer["figures"]:
        content = Path(place).read_bytes()
        assert content.startswith(b"\x89PNG")
        assert len(content) > 5000
    assert "--kind must be one of svg, png" in refused(
        capsys, "show", str(folder / "run.csv"), "--figures", str(figures), "--kind", "gif"
    )


def test_a_batch_reads_each_file_by_itself(capsys, folder, tmp_path) -> None:
    broken = tmp_path / "broken.csv"
    broken.write_text("nothing", encoding="utf-8")
    run_csv = str(folder / "run.csv")
    answer = json.loads(said(capsys, "read", run_csv, str(broken), run_csv, *SHUNT, "--each", "--json"))
    assert [each["sparks"]["count"] for each in answer["captures"]] == [60, 60]
    assert [each["file"] for each in answer["refused"]] == [str(broken)]
    text = said(capsys, "read", run_csv, str(broken), *SHUNT, "--each")
    assert "normal" in text
    assert "must hold columns of" in " ".join(text.split())
    assert "takes no --keep" in refused(
        capsys, "read", run_csv, *SHUNT, "--each", "--keep", str(tmp_path / "x")
    )
    assert "must hold columns" in refused(capsys, "read", str(broken), "--each")


def test_a_side_car_says_levels_too_and_options_stand_before_it(capsys, tmp_path) -> None:
    volts, amperes = sparks(60, noise=0.2)
    rows = (f"{k / RATE:.9f},{v:.3f},{a:.4f}" for k, (v, a) in enumerate(zip(volts, amperes, strict=True)))
    place = tmp_path / "run.csv"
    place.write_text("Time (s),Gap (V),Loop (A)\n" + "\n".join(rows), encoding="utf-8")
    own = {"file": "capture samples", "schema": 1, "settings": {"open_voltage_v": 90.0}}
    (tmp_path / "run.csv.json").write_text(json.dumps(own), encoding="utf-8")
    assert json.loads(said(capsys, "read", str(place), "--json"))["open_voltage_v"] == 90.0
    told = json.loads(said(capsys, "read", str(place), "--json", "--open-voltage", "85 V"))
    assert told["open_voltage_v"] == 85.0
    own["settings"] = {"open_voltage_v": -90.0}
    (tmp_path / "run.csv.json").write_text(json.dumps(own), encoding="utf-8")
    assert "settings.open_voltage_v" in refused(capsys, "read", str(place))


def test_drifts_are_told_and_can_be_given(capsys, folder) -> None:
    told = json.loads(said(capsys, "read", str(folder / "run.csv"), *SHUNT, "--json"))
    assert told["levels"]["current_drift_a_per_s"]["found"] == "capture"
    given = ("--voltage-drift", "0.2 V/s", "--current-drift", "-3 mA/s")
    told = json.loads(said(capsys, "read", str(folder / "run.csv"), *SHUNT, "--json", *given))
    assert told["levels"]["voltage_drift_v_per_s"] == {"value": 0.2, "uncertainty": 0.0, "found": "given"}
    assert told["levels"]["current_drift_a_per_s"] == {"value": -0.003, "uncertainty": 0.0, "found": "given"}
    says = refused(capsys, "read", str(folder / "run.csv"), *SHUNT, "--voltage-drift", "0.2 V")
    assert "--voltage-drift must be a quantity in V/s" in says
    says = refused(capsys, "read", str(folder / "run.csv"), *SHUNT, "--voltage-zero", "find")
    assert "rest" in says


def test_a_file_of_a_run_is_given_once(capsys, folder) -> None:
    place = str(folder / "run.csv")
    assert "must be given once" in refused(capsys, "read", place, place, *SHUNT)
