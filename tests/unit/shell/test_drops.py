from pathlib import Path

import pytest

from gapwright.shell.drops import recognised
from gapwright.wiring import demo_text


def dropped(tmp_path: Path, content: bytes, label: str = "thing.bin"):
    place = tmp_path / "dropped"
    place.write_bytes(content)
    return recognised(label, place)


def test_a_rig_is_known_by_its_first_key_whatever_its_name(tmp_path: Path) -> None:
    found = dropped(tmp_path, demo_text("dry-start.rig.toml").encode(), "C:\\rigs\\Holiday.JOB.txt")
    assert found.kind == "rig"
    assert found.text is not None


def test_the_name_is_the_label_without_its_endings(tmp_path: Path) -> None:
    assert dropped(tmp_path, b'file = "job"', "plate.job.toml").name == "plate"


@pytest.mark.parametrize(
    ("content", "kind", "says"),
    [
        (b"\x89PNG\r\n\x1a\n....", "picture", "a PNG picture"),
        (b"\xff\xd8\xff\xe0", "picture", "a JPEG picture"),
        (b"t,v\n0,1.5\n1e-6,2.5\n2e-6,3.0\n", "capture", "columns of numbers"),
        (b"", "unknown", "an empty file"),
        (b"\0\1\2", "unknown", "got a binary file"),
        (b"\xff\xfe\x00a", "unknown", "must be text in UTF-8"),
        (b"hello", "unknown", "neither a rig nor a job"),
        (b'file = "journal"', "unknown", "neither a rig nor a job"),
        (b"a = [[[[", "unknown", "neither a rig nor a job"),
    ],
)
def test_anything_else_is_told_in_one_line(tmp_path: Path, content: bytes, kind: str, says: str) -> None:
    found = dropped(tmp_path, content)
    assert found.kind == kind
    assert says in found.says
    assert "\n" not in found.says
