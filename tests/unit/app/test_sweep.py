"""A sweep by any crew gives the same answer, and goes on where it was stopped."""

import json
import os

import jsonschema  # type: ignore[import-untyped]
import pytest

from gapwright.app.documents import as_json, file_schema
from gapwright.app.ports import in_turn
from gapwright.app.sweep import SweepWish, sweep
from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import silent
from gapwright.shell.crews import Cluster, Processes, crew
from gapwright.shell.points import KeptPoints
from gapwright.wiring import demo_text

WISH = SweepWish(rig="first-build.rig.toml", axes=("leads.inductance=100nH..1uH:log:4",))


def counting(calls):
    def work(function, items, done):
        calls.append(len(items))
        return in_turn(function, items, done)

    return work


def swept(tmp_path, who=in_turn, *, name="points.jsonl", progress=silent):
    store = KeptPoints(str(tmp_path / name))
    return sweep(WISH, read=demo_text, crew=who, store=store, progress=progress)


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    return swept(tmp_path_factory.mktemp("plain"))


def test_the_answer_keeps_the_order_of_the_axis_and_to_its_schema(plain):
    assert [point.values["leads.inductance"] for point in plain.points] == list(plain.axes[0].values)
    peaks = [point.figures["spark_peak_current_a"] for point in plain.points]
    assert peaks == sorted(peaks, reverse=True)
    jsonschema.validate(json.loads(as_json(plain)), file_schema("sweep"))


def test_what_is_finished_is_not_worked_out_again(tmp_path, plain):
    heard: list[tuple[int, int, str]] = []
    calls: list[int] = []

    def after_two(done, total, what):
        heard.append((done, total, what))
        return done < 2

    with pytest.raises(GapwrightError, match="what is finished is kept"):
        swept(tmp_path, counting(calls), progress=after_two)
    assert heard[-1] == (2, 4, "points")
    assert swept(tmp_path, counting(calls)) == plain
    assert calls == [4, 2]
    assert swept(tmp_path, counting(calls)) == plain
    assert calls == [4, 2]


def test_a_line_cut_off_by_a_power_failure_is_worked_out_again(tmp_path, plain):
    calls: list[int] = []
    swept(tmp_path)
    place = tmp_path / "points.jsonl"
    content = place.read_bytes()
    place.write_bytes(content[:-40])
    assert swept(tmp_path, counting(calls)) == plain
    assert calls == [1]
    assert len(place.read_bytes().splitlines()) == 5


def test_any_number_of_processes_gives_the_same_answer(tmp_path, plain):
    before = os.environ.get("OMP_NUM_THREADS")
    assert swept(tmp_path, Processes(2)) == plain
    assert os.environ.get("OMP_NUM_THREADS") == before


def test_processes_stop_when_asked_to(tmp_path):
    with pytest.raises(GapwrightError, match="stopped"):
        swept(tmp_path, Processes(1), progress=lambda done, *_: done < 1)
    assert (tmp_path / "points.jsonl").read_text().count("\n") == 1


def test_a_crew_is_chosen_by_the_options():
    assert isinstance(crew(workers=None, cluster=None), Processes)
    assert crew(workers=3, cluster=None).count == 3
    assert isinstance(crew(workers=None, cluster="tcp://127.0.0.1:1"), Cluster)
    with pytest.raises(InputRefused, match="at least 1"):
        crew(workers=0, cluster=None)
    with pytest.raises(InputRefused, match="must not stand beside"):
        crew(workers=1, cluster="tcp://127.0.0.1:1")
