"""From a wish to a rig file, by any crew."""

import json

import jsonschema  # type: ignore[import-untyped]
import pytest

from gapwright.app.documents import as_json, file_schema
from gapwright.app.ports import in_turn
from gapwright.app.size import SizeWish, rig_file_of, size
from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import silent
from gapwright.rig.reading import rig_from_text
from gapwright.study.sizing.sizing_wish import Wish
from gapwright.wiring import demo_text

NAME = "first-build.rig.toml"


def wish(**changes):
    wanted = Wish(energy_j=0.8e-3, rate_hz=5e3, kinds=("relaxation",))
    return SizeWish(wish=wanted, like=NAME, text=demo_text(NAME), **({"members": 4} | changes))


@pytest.fixture(scope="module")
def found():
    return size(wish(), crew=in_turn, progress=silent)


def test_the_answer_keeps_to_its_schema(found):
    jsonschema.validate(json.loads(as_json(found)), file_schema("size"))


def test_a_rig_file_may_be_taken_by_its_rank(found):
    first = rig_from_text(rig_file_of(found, rank=1))
    assert first.name.startswith("relaxation")
    with pytest.raises(InputRefused, match="--take must be between 1 and 4"):
        rig_file_of(found, rank=5)


def test_another_supply_takes_the_place_of_the_files():
    lower = size(wish(supply_v=60.0, supply_a=3.0), crew=in_turn, progress=silent)
    rig = rig_from_text(rig_file_of(lower, rank=1))
    assert rig.supply.voltage == 60.0
    assert rig.supply.current_limit == 3.0


def test_nothing_is_written_of_nothing():
    wanted = Wish(energy_j=0.8e-3, rate_hz=5e3, voltage_v=100.0, kinds=("relaxation",))
    none = size(
        SizeWish(wish=wanted, like=NAME, text=demo_text(NAME), members=1), crew=in_turn, progress=silent
    )
    with pytest.raises(InputRefused, match="no candidate was found"):
        rig_file_of(none, rank=1)


def test_a_listener_may_stop_it_and_counts_are_checked():
    with pytest.raises(GapwrightError, match="stopped as asked"):
        size(wish(), crew=in_turn, progress=lambda *_: False)
    with pytest.raises(InputRefused, match="--members must be between 1 and 4096"):
        wish(members=0)
