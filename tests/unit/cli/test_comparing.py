"""The option that compares two rigs: what it prints, writes and refuses."""

import json

import jsonschema  # type: ignore[import-untyped]
import pytest

from gapwright import wiring
from gapwright.app.documents import file_schema
from gapwright.app.forecast import Answer, ComparedAnswer
from gapwright.cli import main
from tests.made_up import comparison, pictures


@pytest.fixture
def compared(monkeypatch):
    """Comparisons are made up; what was asked for is kept."""
    asked: dict[str, object] = {}

    def made_up(rigs, job, **effort):
        asked.update(effort, rigs=rigs, job=job)
        both = comparison()
        answers = tuple(Answer(forecast=each, pictures=pictures()) for each in (both.first, both.second))
        return ComparedAnswer(comparison=both, answers=answers)

    monkeypatch.setattr(wiring, "compared_files", made_up)
    return asked


LINE = ["forecast", "one.toml", "job.toml", "--compare", "two.toml"]


def test_both_verdicts_the_sentence_and_the_differences_are_printed(capsys, compared):
    assert main.run([*LINE, "--seed", "7", "--members", "16"]) == 0
    assert (compared["rigs"], compared["seed"], compared["members"]) == (("one.toml", "two.toml"), 7, 16)
    text = " ".join(capsys.readouterr().out.split())
    for words in (
        "Gets through in about 1.6 minutes",
        "second build takes 0.5 times as long as first build.",
        "second-build against first-build, each of 64 members under the same luck",
        "time 1.6 min 50 s -46 s (-98 to -45 s) 100 %",
        "Where the joules go",
    ):
        assert words in text


def test_json_is_one_object_that_keeps_to_its_schema(capsys, compared):
    assert main.run([*LINE, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    jsonschema.validate(found, file_schema("comparison"))
    assert found["second"]["rig"] == "second-build"
    assert found["differences"]["time_s"]["difference"]["median"] == -46.0


def test_the_report_holds_both(capsys, compared, tmp_path):
    place = tmp_path / "both.html"
    assert main.run([*LINE, "--report", str(place), "--json"]) == 0
    assert "second-build against first-build" in place.read_text(encoding="utf-8")
    assert str(place) in capsys.readouterr().err


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (["forecast", "a.toml", "b.toml", "--compare"], "'--compare' requires an argument"),
        (["forecast", "a.toml", "b.toml", "--compare", "none.toml"], "there is no file"),
    ],
)
def test_what_cannot_be_compared_is_refused_in_one_line(capsys, line, said):
    assert main.run(line) == 2
    caught = capsys.readouterr()
    assert caught.out == ""
    assert said in caught.err
    assert caught.err.count("\n") == 1


def test_a_job_in_place_of_the_other_rig_is_refused_before_any_work(capsys, tmp_path):
    folder = str(tmp_path / "files")
    assert main.run(["demo", "--write", folder]) == 0
    rig, job = (f"{folder}/first-build.{kind}.toml" for kind in ("rig", "job"))
    capsys.readouterr()
    assert main.run(["forecast", rig, job, "--compare", job]) == 2
    caught = capsys.readouterr()
    assert caught.out == ""
    assert "first-build.job.toml" in caught.err
    assert "rig" in caught.err
