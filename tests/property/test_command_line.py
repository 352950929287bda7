"""Whatever is typed or written, the command line answers or refuses; it never fails."""

import contextlib
import io

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gapwright.cli.main import run

WORDS = st.one_of(
    st.sampled_from(
        [
            "demo", "forecast", "ledger", "circuit", "facts", "schema", "check-install", "--json", "--seed",
            "--members", "--report", "--quiet", "--write", "--deck", "--help", "materials", "copper", "rig",
            "job", "0", "-1", "", "nan", "--", "-", "--seed=1", "--members=0", "limits", "no/file.toml", ".",
        ]
    ),
    st.text(max_size=12),
)  # fmt: skip

LIMITS = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


def ended(line):
    """Exit code and what was said."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(line)
    return code, out.getvalue(), err.getvalue()


def is_told(code, said):
    """A refusal is one line on stderr; an answer is code 0."""
    assert code in (0, 2), said
    assert "Traceback" not in said
    if code == 2:
        assert said.count("\n") == 1
        assert said.startswith("gapwright: ")


@LIMITS
@given(line=st.lists(WORDS, max_size=5))
def test_any_line_is_answered_or_refused(line, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    if line[:1] == ["demo"] or "check-install" in line[:1]:
        line = [*line, "--help"]
    code, _, said = ended(line)
    is_told(code, said)


VALUES = st.one_of(
    st.sampled_from(
        [
            '"70 V"', '"0,5 mm"', '"-3 uH"', '"nan V"', '"inf mm"', "nan", "1", "true", "[]", "{}", '""',
            '"1e400 V"', '"0.5 mm"', '"water"', '"brass"', '"relaxation"', '"1 ohm"', '"10 kV"', '"1 m"',
        ]
    ),
    st.text(max_size=10).map(lambda text: '"' + "".join(c for c in text if c not in '\\"\n') + '"'),
)  # fmt: skip


def changed(text, position, value):
    """A file with the value of one of its lines replaced."""
    lines = text.splitlines()
    places = [k for k, line in enumerate(lines) if "=" in line and not line.startswith("#")]
    k = places[position % len(places)]
    lines[k] = f"{lines[k].split('=')[0].strip()} = {value}"
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="module")
def rigs(tmp_path_factory):
    folder = tmp_path_factory.mktemp("rigs")
    assert ended(["demo", "--write", str(folder / "demo")])[0] == 0
    return folder / "demo"


@LIMITS
@given(content=st.one_of(st.binary(max_size=200), st.text(max_size=200).map(str.encode)))
def test_any_bytes_are_refused(content, rigs):
    (rigs / "any.toml").write_bytes(content)
    code, _, said = ended(["forecast", str(rigs / "any.toml"), str(rigs / "first-build.job.toml")])
    is_told(code, said)
    assert code == 2


@LIMITS
@given(position=st.integers(0, 60), value=VALUES, kind=st.sampled_from(["rig", "job"]))
def test_any_value_in_a_file_is_taken_or_refused(position, value, kind, rigs):
    """Checked up to reading; a whole drilling for each would take minutes."""
    from gapwright.base.errors import InputRefused
    from gapwright.rig.reading import job_from_text, rig_from_text

    text = changed((rigs / f"first-build.{kind}.toml").read_text(encoding="utf-8"), position, value)
    with contextlib.suppress(InputRefused):
        (rig_from_text if kind == "rig" else job_from_text)(text, "any.toml")
