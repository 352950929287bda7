from pathlib import Path

import pytest

from gapwright.shell.folder import Folder, NotThere, ReadOnly, Stale, Taken, mark
from gapwright.wiring import demo_text

RIG = demo_text("first-build.rig.toml")


@pytest.fixture
def place(tmp_path: Path) -> Path:
    (tmp_path / "mine.rig.toml").write_text(RIG, encoding="utf-8")
    (tmp_path / "mine.job.toml").write_text(demo_text("first-build.job.toml"), encoding="utf-8")
    (tmp_path / "notes.toml").write_text("file = 'rig'", encoding="utf-8")
    (tmp_path / "a b.rig.toml").write_text(RIG, encoding="utf-8")
    return tmp_path


def test_only_files_with_plain_names_are_listed(place: Path) -> None:
    assert Folder(place).listed() == [("job", "mine"), ("rig", "mine")]


def test_the_demonstration_is_read_but_not_written() -> None:
    folder = Folder(None)
    assert ("rig", "second-build") in folder.listed()
    kept = folder.kept("rig", "first-build")
    assert kept.text == RIG
    with pytest.raises(ReadOnly, match="demonstration cannot be changed"):
        folder.save("rig", "first-build", RIG, etag=kept.etag)


@pytest.mark.parametrize(
    "name", ["../mine", "mine.rig.toml", "", "a b", "x" * 61, "mine\0", "/etc/passwd", "..", "mine/../mine"]
)
def test_a_name_that_is_none_is_not_there(place: Path, name: str) -> None:
    folder = Folder(place)
    with pytest.raises(NotThere):
        folder.kept("rig", name)
    with pytest.raises(NotThere):
        folder.create("rig", name, RIG)


def test_a_link_out_of_the_folder_is_not_followed(
    place: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    outside = tmp_path_factory.mktemp("outside") / "secret.txt"
    outside.write_text("secret", encoding="utf-8")
    (place / "out.rig.toml").symlink_to(outside)
    folder = Folder(place)
    with pytest.raises(NotThere, match="leads out of the folder"):
        folder.kept("rig", "out")
    with pytest.raises(NotThere):
        folder.create("rig", "out", RIG)
    assert outside.read_text(encoding="utf-8") == "secret"


def test_a_file_is_saved_only_onto_the_one_that_was_opened(place: Path) -> None:
    folder = Folder(place)
    opened = folder.kept("rig", "mine")
    saved = folder.save("rig", "mine", RIG + "# mine\n", etag=opened.etag)
    assert saved.etag == mark(RIG + "# mine\n") != opened.etag
    with pytest.raises(Stale, match="changed elsewhere"):
        folder.save("rig", "mine", RIG, etag=opened.etag)
    assert (place / "mine.rig.toml").read_text(encoding="utf-8") == RIG + "# mine\n"
    assert [each.name for each in place.iterdir() if each.name.startswith(".")] == []


def test_a_new_file_never_covers_another(place: Path) -> None:
    folder = Folder(place)
    folder.create("rig", "copy", RIG)
    with pytest.raises(Taken, match="'copy' already"):
        folder.create("rig", "copy", RIG)
    assert ("rig", "copy") in folder.listed()


def test_a_dropped_file_is_kept_beside_the_others_under_a_free_name(place: Path) -> None:
    folder = Folder(place)
    kept = folder.drop("rig", "mine", RIG)
    assert (kept.name, kept.dropped) == ("mine-2", True)
    assert folder.drop("rig", "../../etc/pass wd", RIG).name == "etc-pass-wd"
    assert folder.kept("rig", "mine-2").text == RIG
    assert not (place / "mine-2.rig.toml").exists()
    folder.create("rig", "mine-2", RIG)
    assert folder.kept("rig", "mine-2").dropped is False


def test_few_dropped_files_are_kept(place: Path) -> None:
    folder = Folder(place)
    for number in range(20):
        folder.drop("job", f"d{number}", "x = 1")
    with pytest.raises(Exception, match="at most 20 dropped files"):
        folder.drop("job", "one-more", "x = 1")
