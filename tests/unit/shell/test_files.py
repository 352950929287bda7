"""Reading and writing the files of the user."""

from pathlib import Path

import pytest

from gapwright.base.errors import InputRefused, StoreFault
from gapwright.shell import files


def test_text_is_read_without_its_mark(tmp_path):
    place = tmp_path / "rig.toml"
    place.write_bytes(b'\xef\xbb\xbfname = "\xc2\xb5"\n')
    assert files.read_text(str(place)) == 'name = "µ"\n'


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a\0b", "binary"),
        (b"name = 1\n\xff\xfe", "line 2"),
        (b"#" * (files.LARGEST_TEXT + 1), "at most"),
    ],
)
def test_what_is_not_a_text_is_refused_in_one_line(tmp_path, content, said):
    place = tmp_path / "rig.toml"
    place.write_bytes(content)
    with pytest.raises(InputRefused, match=said) as caught:
        files.read_text(str(place))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("name", "said"), [("nothing.toml", "no file"), (".", "folder"), ("a\0b", "cannot be read")]
)
def test_a_place_without_a_file_is_refused(tmp_path, name, said):
    with pytest.raises(InputRefused, match=said):
        files.read_text(str(tmp_path / name))


def test_a_file_is_replaced_whole(tmp_path):
    place = tmp_path / "report.html"
    place.write_text("old")
    files.write_whole(str(place), "new µ")
    assert place.read_text(encoding="utf-8") == "new µ"
    assert [each.name for each in tmp_path.iterdir()] == ["report.html"]


@pytest.mark.parametrize("interruption", [KeyboardInterrupt, OSError])
def test_an_interruption_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch, interruption):
    place = tmp_path / "report.html"
    place.write_text("old")

    def interrupted(handle):
        raise interruption

    monkeypatch.setattr("os.fsync", interrupted)
    with pytest.raises((KeyboardInterrupt, StoreFault)):
        files.write_whole(str(place), "new")
    assert place.read_text() == "old"
    assert [each.name for each in tmp_path.iterdir()] == ["report.html"]


def test_a_link_keeps_pointing_at_its_file(tmp_path):
    (tmp_path / "real.html").write_text("old")
    (tmp_path / "link.html").symlink_to(tmp_path / "real.html")
    files.write_whole(str(tmp_path / "link.html"), "new")
    assert (tmp_path / "link.html").is_symlink()
    assert (tmp_path / "real.html").read_text() == "new"


@pytest.mark.parametrize("place", ["missing/report.html", ".", "/dev/null", "a\0b"])
def test_a_place_that_cannot_hold_a_file_is_refused_early(tmp_path, monkeypatch, place):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(InputRefused, match="cannot be written"):
        files.require_writable(place)


def test_a_folder_is_filled_once(tmp_path):
    folder = tmp_path / "new" / "demo"
    written = files.write_into_folder(str(folder), {"a.toml": "a", "b.toml": "b"})
    assert [Path(place).name for place in written] == ["a.toml", "b.toml"]
    with pytest.raises(InputRefused, match="exists already"):
        files.write_into_folder(str(folder), {"c.toml": "c", "b.toml": "other"})
    assert not (folder / "c.toml").exists()
    (tmp_path / "plain").write_text("")
    with pytest.raises(InputRefused, match="cannot be used as a folder"):
        files.write_into_folder(str(tmp_path / "plain"), {"a": ""})
