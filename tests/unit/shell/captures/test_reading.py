"""Every kind of file gives the same samples; what cannot be answered is refused in one line."""

import gzip
import json
import zipfile
from pathlib import Path

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.shell.captures.reading import recording_at
from tests.unit.shell.captures import files


def check(recording, *, timed: bool = True) -> None:
    gap, loop = recording.channels
    assert (gap.unit, loop.unit) == ("V", "A")
    np.testing.assert_allclose(gap.codes * gap.scale + gap.offset, files.VOLTS, rtol=1e-6, atol=0)
    np.testing.assert_allclose(loop.codes * loop.scale + loop.offset, files.AMPERES, rtol=1e-6, atol=0)
    assert recording.rate == pytest.approx(files.RATE, rel=1e-9)
    if timed:
        assert recording.start == pytest.approx(files.START, rel=1e-9)
    assert recording.segments.starts.tolist() == [0]


@pytest.mark.parametrize("name", files.TEXTS)
def test_a_dialect_is_understood(name, tmp_path) -> None:
    place = tmp_path / "run.csv"
    text = files.TEXTS[name]
    place.write_bytes(text if isinstance(text, bytes) else text.encode())
    check(recording_at(str(place), {}))


@pytest.mark.parametrize("name", files.UNTIMED)
def test_a_rate_in_the_head_is_understood(name, tmp_path) -> None:
    place = tmp_path / "run.csv"
    place.write_text(files.UNTIMED[name], encoding="utf-8")
    check(recording_at(str(place), {}), timed=False)


@pytest.mark.parametrize("name", files.FORMS)
def test_every_kind_of_file_gives_the_same_samples(name, tmp_path) -> None:
    place = tmp_path / name
    files.FORMS[name](place)
    check(recording_at(str(place), {}), timed=name in {"run.csv", "run.bin", "run.parquet"})


def test_remarks_beside_the_samples(tmp_path) -> None:
    place = tmp_path / "run.csv"
    place.write_text(files.beside(), encoding="utf-8")
    recording = recording_at(str(place), {})
    assert len(recording.channels) == 1
    np.testing.assert_allclose(recording.channels[0].codes, files.VOLTS, rtol=1e-6, atol=0)
    assert recording.rate == pytest.approx(files.RATE, rel=1e-9)


def test_what_was_understood_is_said(tmp_path) -> None:
    place = tmp_path / "run.csv"
    text = files.TEXTS["decimal comma"]
    assert isinstance(text, str)
    place.write_text(text, encoding="utf-8")
    assert recording_at(str(place), {}).understood == (
        "UTF-8, columns parted by semicolon, decimal comma, samples from line 2",
        "names of the columns from line 1",
        "times from column 1",
    )


def test_options_and_side_car_overrule_the_file(tmp_path) -> None:
    place = tmp_path / "run.csv"
    place.write_text(files.PLAIN, encoding="utf-8")
    assert recording_at(str(place), {"rate": 5.0}).rate == 5.0
    files.side_car(place, rate_hz=7.0, start_s=2.0, channels=[files.volts(scale=3.0), {"unit": "mA"}])
    recording = recording_at(str(place), {"rate": None})
    assert (recording.rate, recording.start) == (7.0, 2.0)
    assert [channel.scale for channel in recording.channels] == [3.0, 1e-3]


def test_a_side_car_says_how_the_recorder_was_hooked_up(tmp_path) -> None:
    place = tmp_path / "run.csv"
    place.write_text(files.PLAIN, encoding="utf-8")
    said = {"voltage_channel": "Gap", "shunt_ohm": 0.02, "current_delay_s": "find", "voltage_inverted": True}
    files.side_car(place, hookup=said)
    assert recording_at(str(place), {}).hookup == {
        "voltage_channel": "Gap",
        "shunt": 0.02,
        "current_delay": "find",
        "voltage_inverted": True,
    }
    files.side_car(place, hookup={"shunt_ohm": -1})
    with pytest.raises(InputRefused, match="hookup.shunt_ohm in the side-car"):
        recording_at(str(place), {})


def test_times_printed_too_coarsely_still_give_the_rate(tmp_path) -> None:
    place = tmp_path / "run.csv"
    text = "".join(f"{k * 3e-7:.5f},{k % 7}\n" for k in range(50_000))
    place.write_text("Time,V\n" + text, encoding="utf-8")
    # The times are known to 10 µs in 15 ms.
    assert recording_at(str(place), {}).rate == pytest.approx(1 / 3e-7, rel=1e-3)


def test_a_gap_in_time_parts_segments(tmp_path) -> None:
    place = tmp_path / "run.csv"
    rows = files.PLAIN.splitlines()
    place.write_text("\n".join(rows[:101] + rows[151:]), encoding="utf-8")
    recording = recording_at(str(place), {})
    assert recording.segments.starts.tolist() == [0, 100]
    assert recording.segments.times == pytest.approx([0.0, 150 / files.RATE], rel=1e-9)
    assert recording.rate == pytest.approx(files.RATE, rel=1e-9)


@pytest.mark.parametrize("mark", ["OL", "nan", "inf", "9.9e37", ""])
def test_a_missing_sample_is_refused_or_a_gap(mark, tmp_path) -> None:
    place = tmp_path / "run.csv"
    rows = files.PLAIN.splitlines()
    rows[301] = rows[301].rsplit(",", 1)[0] + "," + mark
    place.write_text("\n".join(rows), encoding="utf-8")
    with pytest.raises(InputRefused, match="must hold a number in every sample, .* 302"):
        recording_at(str(place), {})
    recording = recording_at(str(place), {"missing": "gaps"})
    assert recording.count == files.COUNT - 1
    assert recording.segments.starts.tolist() == [0, 300]
    assert recording.segments.times == pytest.approx([0.0, 301 / files.RATE], rel=1e-9)


@pytest.mark.parametrize("places", [[0], [0, 1, 2], [599], [10, 11, 300], [0, 299, 599]])
def test_gaps_without_times_keep_the_clock(places, tmp_path) -> None:
    place = tmp_path / "run.npy"
    volts = files.VOLTS.copy()
    volts[places] = np.nan
    np.save(place, volts)
    recording = recording_at(str(place), {"rate": 1.0, "missing": "gaps"})
    kept = np.flatnonzero(np.isfinite(volts))
    segments = recording.segments
    within = np.arange(recording.count)
    of = np.searchsorted(segments.starts, within, side="right") - 1
    times = segments.times[of] + within - segments.starts[of]
    assert times.tolist() == (kept - kept[0]).tolist()


def body(*rows: str) -> str:
    return "Time (s),Gap (V)\n" + "\n".join(rows)


STEADY = [f"{k * 1e-6:.8f},{k % 5}" for k in range(50)]

REFUSED: dict[str, tuple[str | bytes, str]] = {
    "cut off": (body(*STEADY)[:-9], "must have 2 columns in every line, but line 51 has 1"),
    "a line too wide": (body(*STEADY[:20], "1,2,3", *STEADY[20:]), "but line 22 has 3"),
    "an empty line within": (body(*STEADY[:20], "", *STEADY[20:]), "but line 22 has 1"),
    "same time twice": (body(*STEADY[:21], *STEADY[20:]), "row 23 has the same time as the row before"),
    "backward": (body(*STEADY[:21], *STEADY[10:]), "row 23 goes back in time"),
    "uneven": (body(*STEADY[:20], "0.00002030,1", *STEADY[21:]), "row 22 is unevenly spaced in time"),
    "binary": (b"\0\1\2\3" * 50, "must be text, got binary data"),
    "huge line": ("1" * 300_000, "lines of at most 65536 characters"),
    "two clocks": (
        "Time (s),Gap (V),Time (s),Loop (A)\n"
        + "".join(f"{k * 1e-6:.8f},{k},{k * 1e-6 + 4e-7:.8f},1\n" for k in range(30)),
        "columns 1 and 3 hold other times; export them on one clock",
    ),
    "no numbers": ("one\ntwo\nthree\n", "must hold columns of numbers, got none"),
    "no rate": ("5\n6\n7\n", "must say how fast its samples were taken"),
    "one time alone": (body("0,1"), "at least two times"),
    "times alone": ("Time (s)\n0\n1\n2\n", "a channel beside the times"),
    "empty": (b"", "must hold samples, got an empty file"),
    "utf-16": ("a;b\n1;2\n".encode("utf-16"), "got UTF-16; save it as UTF-8"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_wrong_text_is_refused_in_one_line(name, tmp_path) -> None:
    content, said = REFUSED[name]
    place = tmp_path / "run.csv"
    place.write_bytes(content if isinstance(content, bytes) else content.encode())
    with pytest.raises(InputRefused, match=said) as caught:
        recording_at(str(place), {})
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("name", [name for name in files.FORMS if name not in {"run.csv", "run.raw"}])
@pytest.mark.parametrize("share", [0.3, 0.97])
def test_a_file_cut_off_is_refused_in_one_line(name, share, tmp_path) -> None:
    place = tmp_path / name
    files.FORMS[name](place)
    content = place.read_bytes()
    place.write_bytes(content[: int(share * len(content)) | 1])
    with pytest.raises(InputRefused) as caught:
        recording_at(str(place), {})
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("name", ["run.npy", "run.npz", "run.parquet", "run.h5", "run.wav"])
def test_text_posing_as_something_else_is_refused(name, tmp_path) -> None:
    place = tmp_path / name
    place.write_text(files.PLAIN, encoding="utf-8")
    with pytest.raises(InputRefused, match="is it cut off"):
        recording_at(str(place), {})


def gz_bomb(path: Path) -> None:
    with gzip.open(path, "wb") as stream:
        for _ in range(80):
            stream.write(b"0" * (1 << 20))


def npz_bomb(path: Path) -> None:
    np.savez_compressed(path, dt=1.0, v=np.zeros(40 << 20, dtype=np.int16))


def hdf5_bomb(path: Path) -> None:
    import h5py

    with h5py.File(path, "w") as file:
        file.create_dataset("v", shape=(10**12,), dtype="f4", chunks=(1000,))


@pytest.mark.parametrize(("name", "write"), [("a.csv.gz", gz_bomb), ("a.npz", npz_bomb), ("a.h5", hdf5_bomb)])
def test_a_bomb_is_refused(name, write, tmp_path) -> None:
    write(tmp_path / name)
    with pytest.raises(InputRefused, match="must unpack to at most 200 times its size"):
        recording_at(str(tmp_path / name), {"rate": 1.0})


def test_archives_that_are_no_file_are_refused(tmp_path) -> None:
    place = tmp_path / "a.zip"
    with zipfile.ZipFile(place, "w") as archive:
        archive.writestr("a.csv", files.PLAIN)
        archive.writestr("b.csv", files.PLAIN)
    with pytest.raises(InputRefused, match="must hold one file, got 2"):
        recording_at(str(place), {})
    nested = tmp_path / "b.gz"
    nested.write_bytes(gzip.compress(place.read_bytes()))
    with pytest.raises(InputRefused, match="an archive within an archive"):
        recording_at(str(nested), {})


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ({"file": "rig", "schema": 1}, "file in the side-car"),
        ({"file": "capture samples", "schema": 1, "speed": 3}, "speed in the side-car .* extra inputs"),
        ({"file": "capture samples", "schema": 1, "rate_hz": -3}, "rate_hz in the side-car"),
        ({"file": "capture samples", "schema": 1, "channels": [{}]}, "as many as in the file"),
        ({"file": "capture samples", "schema": 1, "type": "int16"}, "must give type, channels and rate_hz"),
        ([], "the whole in the side-car"),
    ],
)
def test_a_wrong_side_car_is_refused(content, said, tmp_path) -> None:
    place = tmp_path / "run.csv"
    place.write_text(files.PLAIN, encoding="utf-8")
    Path(f"{place}.json").write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(InputRefused, match=said) as caught:
        recording_at(str(place), {})
    assert "\n" not in str(caught.value)


def test_a_broken_side_car_is_refused(tmp_path) -> None:
    place = tmp_path / "run.csv"
    place.write_text(files.PLAIN, encoding="utf-8")
    Path(f"{place}.json").write_text('{"file', encoding="utf-8")
    with pytest.raises(InputRefused, match="must be JSON"):
        recording_at(str(place), {})


@pytest.mark.parametrize(("name", "said"), [("none.csv", "there is no file"), (".", "is a folder")])
def test_a_place_without_a_file_is_refused(name, said, tmp_path) -> None:
    with pytest.raises(InputRefused, match=said):
        recording_at(str(tmp_path / name), {})
