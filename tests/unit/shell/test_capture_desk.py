from pathlib import Path
from threading import Event

import pytest

from gapwright.base.errors import InputRefused
from gapwright.base.progress import Stopped
from gapwright.shell import capture_desk
from gapwright.shell.capture_desk import CaptureDesk, Far, ReadCall
from gapwright.shell.folder import NotThere
from gapwright.wiring import demo_text
from tests.captured_files import text_capture


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> CaptureDesk:
    """A desk with two captures; what it lays out lies below the test's own folder."""
    (tmp_path / "captures").mkdir()
    for name in ("one.csv", "two.csv"):
        (tmp_path / "captures" / name).write_bytes(text_capture(60))
    (tmp_path / "scratch").mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "scratch"))
    return CaptureDesk(tmp_path)


def scratch(tmp_path: Path) -> list[str]:
    return [path.name for path in (tmp_path / "scratch").iterdir()]


def test_small_captures_stay_in_memory_and_large_ones_are_mapped(
    desk: CaptureDesk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    small = desk.read(ReadCall(names=("one.csv",)), stop=Event())
    assert scratch(tmp_path) == []
    monkeypatch.setattr(capture_desk, "MAPPED_FROM", 10)
    large = desk.read(ReadCall(names=("two.csv",)), stop=Event())
    assert len(scratch(tmp_path)) == 1
    assert small.found.answer.sparks == large.found.answer.sparks
    assert small.found.answer.energy_j is not None
    assert large.found.answer.energy_j is not None
    # Mapped samples are whole steps of the converter again, which the text had rounded.
    assert large.found.answer.energy_j.total == pytest.approx(small.found.answer.energy_j.total, rel=1e-3)
    assert large.found.answer.files == ("two.csv",)
    desk.close()
    assert scratch(tmp_path) == []


def test_the_reading_not_asked_for_longest_goes_with_its_samples(
    desk: CaptureDesk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(capture_desk, "MAPPED_FROM", 10)
    monkeypatch.setattr(capture_desk, "MOST_READ", 2)
    first, second, third = (
        desk.read(ReadCall(names=("one.csv",), said={"voltage_probe": ratio}), stop=Event())
        for ratio in ("1", "2", "3")
    )
    assert len(scratch(tmp_path)) == 2
    with pytest.raises(NotThere, match="not kept"):
        desk.found(first.reading)
    assert desk.found(second.reading) is second
    assert desk.read(third.call, stop=Event()) is third
    desk.close()


def test_a_reading_is_stopped_when_nobody_waits_and_leaves_nothing(desk: CaptureDesk, tmp_path: Path) -> None:
    stop = Event()
    stop.set()
    with pytest.raises(Stopped):
        desk.read(ReadCall(names=("one.csv",)), stop=stop)
    assert scratch(tmp_path) == []
    assert desk.far("one.csv") == Far(says="", done=0, total=0)
    assert desk.read(ReadCall(names=("one.csv",)), stop=Event()).found.answer.sparks.count > 0


def test_the_rig_that_was_recorded_makes_another_reading(desk: CaptureDesk) -> None:
    alone = desk.read(ReadCall(names=("one.csv",)), stop=Event())
    rig = demo_text("first-build.rig.toml")
    known = desk.read(ReadCall(names=("one.csv",), rig=rig, rig_name="mine"), stop=Event())
    assert alone.reading != known.reading
    assert (alone.found.rig, known.found.rig is None) == (None, False)


def test_a_refusal_names_the_file_and_not_where_it_lies(desk: CaptureDesk, tmp_path: Path) -> None:
    (tmp_path / "captures" / "cut.npy").write_bytes(b"\x93NUMPY\x01\0")
    with pytest.raises(InputRefused, match=r"'cut\.npy'") as refused:
        desk.read(ReadCall(names=("cut.npy",)), stop=Event())
    assert str(tmp_path) not in str(refused.value)


def test_a_capture_is_kept_beside_the_others_and_never_over_one(desk: CaptureDesk) -> None:
    read = desk.read(ReadCall(names=("one.csv",)), stop=Event())
    assert [desk.keep(read), desk.keep(read)] == ["one-kept", "one-kept-2"]
    again = desk.read(ReadCall(names=("one-kept",)), stop=Event())
    assert again.found.answer.sparks == read.found.answer.sparks
