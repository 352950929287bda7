import json
from pathlib import Path

import pytest

from gapwright.base.errors import StoreFault
from gapwright.shell.capture_place import CapturePlace, NotSamples
from gapwright.shell.folder import NotThere, ReadOnly

ROWS = b"0,1.5\n1e-6,2.5\n2e-6,3.5\n"
CAR = json.dumps({"file": "capture samples", "schema": 1, "type": "int16", "rate_hz": 1e6}).encode()


def took(place: CapturePlace, label: str, content: bytes = ROWS) -> str:
    with place.incoming() as arriving:
        arriving.write_bytes(content)
        return place.take(arriving, label)[0]


def names(place: CapturePlace) -> list[str]:
    return [each.name for each in place.listed()]


@pytest.mark.parametrize(
    ("label", "name"),
    [
        ("run.csv", "run.csv"),
        ("C:\\scope\\Run 1 (gap).CSV", "Run-1-gap.csv"),
        ("../../etc/passwd", "passwd"),
        ("a.b.c.csv.gz", "a-b-c.csv.gz"),
        ("/", "capture"),
        ("..", "capture"),
        ("spéctre\0.csv", "sp-ctre.csv"),
        ("x" * 300 + ".csv", "x" * 50 + ".csv"),
    ],
)
def test_a_file_gets_a_sound_name_near_its_label(tmp_path: Path, label: str, name: str) -> None:
    place = CapturePlace(tmp_path)
    assert took(place, label) == name
    assert (tmp_path / "captures" / name).read_bytes() == ROWS
    assert place.found(name).name == name


def test_nothing_is_overwritten_and_nothing_is_left_behind(tmp_path: Path) -> None:
    place = CapturePlace(tmp_path)
    assert [took(place, "run.csv", ROWS + b"%d,1\n" % k) for k in range(3)] == [
        "run.csv",
        "run-2.csv",
        "run-3.csv",
    ]
    assert sorted(path.name for path in (tmp_path / "captures").iterdir()) == [
        "run-2.csv",
        "run-3.csv",
        "run.csv",
    ]
    assert (tmp_path / "captures" / "run.csv").read_bytes().endswith(b"0,1\n")


def test_a_name_among_the_rigs_is_taken_too(tmp_path: Path) -> None:
    (tmp_path / "run.csv").write_bytes(ROWS)
    place = CapturePlace(tmp_path)
    assert names(place) == ["run.csv"]
    assert took(place, "run.csv") == "run-2.csv"


def test_links_that_lead_out_are_not_served(tmp_path: Path) -> None:
    secret = tmp_path / "secret.csv"
    secret.write_bytes(ROWS)
    folder = tmp_path / "rigs"
    (folder / "captures").mkdir(parents=True)
    (folder / "captures" / "inside.csv").symlink_to(secret)
    place = CapturePlace(folder)
    assert names(place) == []
    for name in ("inside.csv", "../secret.csv", "/etc/passwd", "..", "", "a/b.csv", "x\0.csv"):
        with pytest.raises(NotThere, match="there is no capture called"):
            place.found(name)


@pytest.mark.parametrize(
    ("label", "content", "says"),
    [
        ("photo.csv", b"\x89PNG\r\n\x1a\n....", "got a PNG picture"),
        ("empty.csv", b" \n", "got an empty file"),
        ("words.csv", b"dear reader\nthis is a letter\nbye\n", "got other text"),
        ("raw.bin", b"\0\1\2\3" * 100, "drop that first"),
        ("raw.bin.json", b'{"file": "journal"}', "is wrong"),
        ("raw.bin.json", b"[" * 70_000, "must be JSON"),
    ],
)
def test_what_holds_no_samples_is_refused_in_one_line(
    tmp_path: Path, label: str, content: bytes, says: str
) -> None:
    place = CapturePlace(tmp_path)
    with pytest.raises(NotSamples, match=says) as refused:
        took(place, label, content)
    assert "\n" not in str(refused.value)
    assert str(tmp_path) not in str(refused.value)
    assert list((tmp_path / "captures").iterdir()) == []


def test_raw_samples_are_taken_after_their_side_car(tmp_path: Path) -> None:
    place = CapturePlace(tmp_path)
    assert took(place, "run.bin.json", CAR) == "run.bin.json"
    assert took(place, "run.bin", b"\0\1\2\3" * 100) == "run.bin"
    assert [(each.name, each.described) for each in place.listed()] == [("run.bin", True)]
    with pytest.raises(NotSamples, match="not overwritten"):
        took(place, "run.bin.json", CAR)


def test_the_demonstration_keeps_captures_until_it_ends() -> None:
    place = CapturePlace(None)
    assert not place.stays
    name = took(place, "run.csv")
    path = place.found(name)
    place.close()
    assert not path.exists()


def test_a_closed_folder_says_so(tmp_path: Path) -> None:
    (tmp_path / "captures").write_text("a file stands here")
    with pytest.raises(ReadOnly, match="cannot be written"), CapturePlace(tmp_path).incoming():
        pass


def test_a_full_disk_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    place = CapturePlace(tmp_path)
    with pytest.raises(StoreFault, match="no space left on device"), place.incoming():
        raise OSError(28, "No space left on device")
    assert list((tmp_path / "captures").iterdir()) == []
