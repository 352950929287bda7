"""Files that commands write never land on a file of another kind."""

from collections.abc import Callable
from pathlib import Path

import pytest

from gapwright.base.errors import InputRefused
from gapwright.shell.outputs import require_deck, require_new_rig, require_report
from gapwright.shell.points import KeptPoints


@pytest.mark.parametrize("require", [require_report, require_deck])
def test_a_mistyped_name_never_costs_a_rig(require: Callable[[str], None], tmp_path: Path) -> None:
    rig = tmp_path / "mine.rig.toml"
    rig.write_text("mine")
    with pytest.raises(InputRefused, match="must name a file that ends in"):
        require(str(rig))


def test_files_of_the_right_kind_may_be_replaced(tmp_path: Path) -> None:
    for name, require in (("a.html", require_report), ("a.HTM", require_report), ("a.cir", require_deck)):
        (tmp_path / name).write_text("old")
        require(str(tmp_path / name))


def test_a_rig_file_is_never_overwritten(tmp_path: Path) -> None:
    rig = tmp_path / "mine.rig.toml"
    require_new_rig(str(rig))
    rig.write_text("mine")
    with pytest.raises(InputRefused, match="exists already and is not overwritten"):
        require_new_rig(str(rig))
    with pytest.raises(InputRefused, match=r"--write must name a file that ends in \.toml"):
        require_new_rig(str(tmp_path / "mine.html"))


def test_points_of_a_sweep_are_not_added_to_another_file(tmp_path: Path) -> None:
    job = tmp_path / "mine.job.toml"
    job.write_text('file = "job"\n')
    with pytest.raises(InputRefused, match="holds something else; give a new name"):
        KeptPoints(str(job))
    assert job.read_text() == 'file = "job"\n'


@pytest.mark.parametrize("begun", ["", '{"ta', '{"task": "3'])
def test_a_file_whose_first_point_was_cut_off_goes_on(begun: str, tmp_path: Path) -> None:
    place = tmp_path / "kept"
    place.write_text(begun)
    store = KeptPoints(str(place))
    store.keep("a", ({"x": 1.0}, None))
    assert store.load(["a"]) == {"a": ({"x": 1.0}, None)}
