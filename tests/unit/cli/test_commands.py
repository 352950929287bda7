"""The command line: what each command prints, and how each way of ending is told."""

import io
import json
import subprocess
import sys
import time

import jsonschema  # type: ignore[import-untyped]
import pytest

from gapwright import wiring
from gapwright.app.documents import file_schema
from gapwright.app.forecast import Answer
from gapwright.base.errors import BalanceFault, InputRefused, OutOfRange
from gapwright.cli import main
from gapwright.cli.progress import Line
from gapwright.cli.reference import commands_page
from gapwright.shell import log
from tests.made_up import forecast, pictures


@pytest.fixture
def answered(monkeypatch):
    """Forecasts are made up; what was asked for is kept."""
    asked: dict[str, object] = {}

    def made_up(rig, job, **effort):
        asked.update(effort, rig=rig, job=job)
        return Answer(forecast=forecast(), pictures=pictures())

    monkeypatch.setattr(wiring, "forecast_files", made_up)
    return asked


def raising(monkeypatch, error):
    def fail(*_, **__):
        raise error

    monkeypatch.setattr(wiring, "forecast_files", fail)


def test_help_names_every_command(capsys):
    assert main.run(["--help"]) == 0
    text = capsys.readouterr().out
    for name in ("demo", "forecast", "ledger", "facts", "schema", "check-install"):
        assert name in text


def test_nothing_asked_prints_help_and_version_prints_version(capsys):
    assert main.run([]) == 0
    assert "Usage: gapwright" in capsys.readouterr().out
    assert main.run(["--version"]) == 0
    assert capsys.readouterr().out.startswith("gapwright ")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (["forcast"], "no such command 'forcast'"),
        (["facts", "--jsn"], "no such option: --jsn"),
        (["facts", "a", "b", "c"], "unexpected extra argument"),
        (["schema"], "missing argument 'NAME'"),
        (["forecast", "rig.toml"], "missing argument 'JOB'"),
        (["forecast", "a", "b", "--members", "many"], "--members must be a whole number, got many; see"),
        (["bench", "--port", "70000"], "--port must be from 0 to 65535, got 70000; 0 takes a free one"),
        (["bench", "--port", "8k"], "--port must be a whole number, got 8k; see 'gapwright bench --help'"),
        (["forecast", "a", "b", "--members"], "--members"),
        (["forecast", "nothing.toml", "b"], "there is no file 'nothing.toml'"),
        (["schema", "rug"], "did you mean 'rig'"),
        (["facts", "materials", "coper"], "did you mean 'copper'"),
        (["circuit", "a", "--scene", "sparks"], "--scene must be one of"),
        (["circuit", "a", "--schematic", "a.pdf"], "--schematic must end in .svg or .png"),
        (
            ["circuit", "a", "--sweep", "x=1..2:lin:2", "--schematic", "a.svg"],
            "--schematic must stand without",
        ),
        (["circuit", "a", "--sweep", "x=1..2:lin:2", "--deck", "a.cir"], "--deck must stand without --sweep"),
    ],
)
def test_a_wrong_line_is_refused_in_one_line(capsys, line, said):
    assert main.run(line) == 2
    caught = capsys.readouterr()
    assert caught.out == ""
    assert caught.err.startswith("gapwright: ")
    assert caught.err.count("\n") == 1
    assert said in caught.err


def test_a_forecast_begins_with_the_verdict_and_says_everything(capsys, answered):
    assert main.run(["forecast", "rig.toml", "job.toml", "--seed", "7", "--members", "16"]) == 0
    assert (answered["seed"], answered["members"]) == (7, 16)
    lines = capsys.readouterr().out.splitlines()
    assert lines[1] == "Gets through in about 1.6 minutes; the hole comes out in tolerance."
    text = " ".join(" ".join(lines).split())
    for words in (
        "1.6 min 1.0 to 2.6 min",
        "0.58 mm 0.57 to 0.60 mm wanted 0.58 ± 0.04 mm",
        "Limited by charging resistor",
        "supply current: 160 mA (130 to 190 mA)",
        "lost to charging resistor 4.62 W 8.3 %",
        "danger The open gap reaches 70 V",
        "Outside its stated range: removal per spark",
    ):
        assert words in text


def test_no_colour_reaches_a_file(capsys, answered):
    main.run(["forecast", "rig.toml", "job.toml"])
    assert "\x1b" not in capsys.readouterr().out


def test_json_is_one_object_that_keeps_to_its_schema(capsys, answered):
    for command in ("forecast", "ledger"):
        assert main.run([command, "rig.toml", "job.toml", "--json"]) == 0
        caught = capsys.readouterr()
        jsonschema.validate(json.loads(caught.out), file_schema(command))


def test_the_report_is_written_and_told_on_the_other_stream(capsys, answered, tmp_path):
    place = tmp_path / "report.html"
    assert main.run(["forecast", "rig.toml", "job.toml", "--json", "--report", str(place)]) == 0
    caught = capsys.readouterr()
    assert json.loads(caught.out)["rig"] == "first-build"
    assert str(place) in caught.err
    assert place.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_a_report_that_cannot_be_written_is_refused_before_the_work(capsys, answered, tmp_path):
    assert main.run(["forecast", "rig.toml", "job.toml", "--report", str(tmp_path / "no" / "r.html")]) == 2
    assert answered == {}
    assert "make it first" in capsys.readouterr().err


@pytest.mark.parametrize("error", [InputRefused("rig.toml: not\nTOML"), OutOfRange("too hot")])
def test_a_refusal_is_one_line_and_two(capsys, monkeypatch, error):
    raising(monkeypatch, error)
    assert main.run(["forecast", "rig.toml", "job.toml"]) == 2
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize("error", [ZeroDivisionError("oh"), BalanceFault("does not close")])
def test_a_fault_of_ours_goes_to_the_log(capsys, monkeypatch, tmp_path, error):
    monkeypatch.setattr(log, "log_place", lambda: tmp_path / "deep" / "faults.log")
    raising(monkeypatch, error)
    assert main.run(["forecast", "rig.toml", "job.toml"]) == 1
    caught = capsys.readouterr()
    assert caught.err.count("\n") == 1
    assert "Traceback" not in caught.err
    kept = (tmp_path / "deep" / "faults.log").read_text()
    assert "Traceback" in kept
    assert type(error).__name__ in kept


def test_a_log_that_cannot_be_written_is_said(capsys, monkeypatch, tmp_path):
    (tmp_path / "plain").write_text("")
    monkeypatch.setattr(log, "log_place", lambda: tmp_path / "plain" / "faults.log")
    raising(monkeypatch, ZeroDivisionError("oh"))
    assert main.run(["ledger", "rig.toml", "job.toml"]) == 1
    assert "the log could not be written" in capsys.readouterr().err


def test_a_long_log_is_put_aside(monkeypatch, tmp_path):
    place = tmp_path / "faults.log"
    place.write_text("x" * (log.LARGEST_LOG + 1))
    monkeypatch.setattr(log, "log_place", lambda: place)
    assert log.keep_fault(ValueError("new"), ["facts"]) == place
    assert place.stat().st_size < log.LARGEST_LOG
    assert (tmp_path / "faults.old.log").exists()


def test_an_interruption_is_130_and_leaves_no_report(capsys, monkeypatch, tmp_path):
    raising(monkeypatch, KeyboardInterrupt())
    place = tmp_path / "r.html"
    assert main.run(["forecast", "rig.toml", "job.toml", "--report", str(place)]) == 130
    assert capsys.readouterr().err.startswith("gapwright: interrupted")
    assert list(tmp_path.iterdir()) == []


def test_a_reader_that_goes_away_is_no_fault():
    """Closing the pipe early leaves no traceback and no message."""
    program = "import sys; from gapwright.cli.main import run; sys.exit(run(['facts', 'priors', '--json']))"
    process = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    process.stdout.close()
    _, said = process.communicate(timeout=60)
    assert said == b""
    assert process.returncode == 0


def test_facts_show_status_and_source(capsys):
    assert main.run(["facts", "materials", "copper"]) == 0
    text = capsys.readouterr().out
    assert "melting point: 1357.77 K" in text
    assert "[published: crc-tables]" in text
    assert main.run(["facts"]) == 0
    assert "limits" in capsys.readouterr().out
    assert main.run(["facts", "materials"]) == 0
    assert "tungsten" in capsys.readouterr().out


def test_the_installation_is_told(capsys):
    assert main.run(["check-install", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert {"python", "numpy", "compiled kernels", "font of the figures", "ngspice"} <= {
        check["name"] for check in document["checks"]
    }
    assert main.run(["check-install"]) == 0
    assert "Everything needed is here." in capsys.readouterr().out


def test_the_demo_shows_its_rigs_side_by_side(capsys, monkeypatch, tmp_path):
    answers = [Answer(forecast=forecast(name=n), pictures=pictures()) for n in ("one", "two")]
    monkeypatch.setattr(wiring, "demo_answers", lambda **_: answers)
    place = tmp_path / "demo.html"
    assert main.run(["demo", "--report", str(place)]) == 0
    text = capsys.readouterr().out
    assert "two: of 11.0 W that the supply hands on" in text
    assert place.exists()
    assert main.run(["demo", "--json"]) == 0
    jsonschema.validate(json.loads(capsys.readouterr().out), file_schema("demo"))


def test_the_files_of_the_demo_are_written_once(capsys, tmp_path):
    assert main.run(["demo", "--write", str(tmp_path / "rigs")]) == 0
    written = capsys.readouterr().out.splitlines()
    assert len(written) == 6
    assert all((tmp_path / "rigs").joinpath(place.split("/")[-1]).exists() for place in written)
    assert main.run(["demo", "--write", str(tmp_path / "rigs")]) == 2


def test_a_generator_alone_shows_what_is_too_much(capsys, tmp_path):
    main.run(["demo", "--write", str(tmp_path / "rigs")])
    capsys.readouterr()
    drawn = [tmp_path / "circuit.svg", tmp_path / "circuit.png"]
    rig = str(tmp_path / "rigs" / "second-build.rig.toml")
    assert main.run(["circuit", rig, "--schematic", str(drawn[0])]) == 0
    text = capsys.readouterr().out
    assert 'data-part="coil"' in drawn[0].read_text(encoding="utf-8")
    assert "mW" in drawn[0].read_text(encoding="utf-8")
    assert main.run(["circuit", rig, "--schematic", str(drawn[1]), "--quiet"]) == 0
    assert drawn[1].read_bytes().startswith(b"\x89PNG")
    assert "second build: step-up generator alone" in text
    assert "so it is beyond its limit" in " ".join(text.split())
    assert main.run(["circuit", str(tmp_path / "rigs" / "second-build.job.toml")]) == 2


def test_the_page_of_commands_holds_every_option():
    page = commands_page()
    for words in (
        "## forecast",
        "`gapwright forecast RIG JOB [OPTIONS]`",
        "`--report FILE.html`",
        "Default: 64",
    ):
        assert words in page


def test_progress_is_only_for_a_person(monkeypatch):
    class Terminal(io.StringIO):
        def isatty(self):
            return True

    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    line = Line(quiet=False)
    assert line(3, 8, "members")
    line.clear()
    assert "members: 3 of 8" in terminal.getvalue()
    silent = Terminal()
    monkeypatch.setattr(sys, "stderr", silent)
    Line(quiet=True)(3, 8, "members")
    assert silent.getvalue() == ""
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    Line(quiet=False)(3, 8, "members")
    assert sys.stderr.getvalue() == ""


def test_help_needs_nothing_heavy():
    """No number crunching, no drawing, no terminal painting is loaded to print help."""
    program = (
        "import sys; from gapwright.cli.main import run; run(['--help']);"
        "heavy = {'numpy', 'scipy', 'numba', 'pydantic', 'matplotlib', 'rich', 'jinja2', 'pint', 'tomlkit'};"
        "sys.exit(1 if heavy & set(sys.modules) else 0)"
    )
    started = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, check=False, timeout=60)
    assert done.returncode == 0, done.stdout
    assert time.perf_counter() - started < 20.0


def test_the_deck_of_a_rig_names_its_energies() -> None:
    from gapwright import wiring
    from gapwright.app.circuit import deck_of

    text = deck_of("rig", read=lambda _: wiring.demo_text("first-build.rig.toml"))
    assert text.startswith("* first build")
    assert "drawn" in text
    assert "discharge" in text
