"""The options that keep records of a drilling: what they write, and what they refuse."""

import json

import polars as pl
import pytest

from gapwright import wiring
from gapwright.app.forecast import Answer
from gapwright.cli import main
from tests.made_up import forecast, pictures
from tests.made_up_records import recorded


@pytest.fixture
def answered(monkeypatch):
    """Forecasts are made up; what was to be kept is kept."""
    asked: dict[str, object] = {}

    def made_up(rig, job, **effort):
        asked.update(effort, rig=rig, job=job)
        return Answer(forecast=forecast(), pictures=pictures(), recorded=recorded())

    monkeypatch.setattr(wiring, "forecast_files", made_up)
    return asked


LINE = ["forecast", "rig.toml", "job.toml"]


def test_sparks_and_shapes_are_written_and_told_on_the_other_stream(capsys, answered, tmp_path):
    sparks, shapes = str(tmp_path / "s.parquet"), str(tmp_path / "h.json")
    line = [*LINE, "--json", "--sparks", sparks, "--shapes", shapes, "--shapes-at", "0.5 mm, 1 mm"]
    assert main.run(line) == 0
    assert answered["keeping"].every_spark
    assert answered["keeping"].shapes_at == (0.5e-3, 1e-3)
    caught = capsys.readouterr()
    assert json.loads(caught.out)["rig"] == "first-build"
    assert sparks in caught.err
    assert shapes in caught.err
    assert pl.read_parquet(sparks).height == 200
    assert json.loads((tmp_path / "h.json").read_text())["thickness_m"] == 1.5e-3


def test_a_row_of_holes_is_asked_for(answered):
    assert main.run([*LINE, "--in-a-row", "4"]) == 0
    assert answered["keeping"].in_a_row == 4


def test_shapes_alone_keep_no_spark(answered, tmp_path):
    assert main.run([*LINE, "--shapes", str(tmp_path / "h.svg")]) == 0
    assert not answered["keeping"].every_spark
    assert answered["keeping"].shapes_at == ()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--shapes-at", "1 mm"], "--shapes-at needs --shapes FILE"),
        (["--sparks", "s.csv"], "must be named .parquet"),
        (["--shapes", "h.txt"], "must be named .json, .parquet, .svg, .png"),
        (["--shapes", "h.json", "--shapes-at", "deep"], "--shapes-at must be"),
        (["--sparks", "s.parquet", "--compare", "two.toml"], "forecast each rig by itself"),
        (["--sparks", "s.parquet", "--shapes", "s.parquet"], "must be different files"),
        (["--in-a-row", "1"], "--in-a-row must be"),
        (["--in-a-row", "21"], "--in-a-row must be"),
        (["--in-a-row", "3", "--compare", "two.toml"], "--in-a-row follows the holes of one rig"),
        (["--in-a-row", "3", "--sweep", "supply.voltage=60V..80V:3"], "--in-a-row goes with one forecast"),
        (["--sparks", "nowhere/s.parquet"], "there is no folder"),
        (["--capture-at", "1 mm"], "--capture-at needs --capture FILE"),
        (["--capture", "c.txt"], "a capture must be named .csv or .parquet"),
        (["--capture", "c.csv", "--capture-at", "1 V"], "--capture-at must be a length in m"),
        (["--capture", "c.csv", "--compare", "two.toml"], "forecast each rig by itself"),
    ],
)
def test_what_does_not_fit_is_refused_before_the_work(capsys, answered, monkeypatch, tmp_path, options, said):
    monkeypatch.chdir(tmp_path)
    assert main.run([*LINE, *options]) == 2
    caught = capsys.readouterr()
    assert caught.out == ""
    assert said in caught.err
    assert caught.err.count("\n") == 1
    assert answered == {}
    assert list(tmp_path.iterdir()) == []
