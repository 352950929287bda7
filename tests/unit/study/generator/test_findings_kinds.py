"""Findings over every kind of generator that a rig file may hold."""

import pytest

from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import generator_alone
from tests.house.code import ROOT

EXAMPLES = ("flyback", "iso-pulse", "current-source", "own-circuit")


@pytest.fixture(scope="module")
def told():
    files = {name: ROOT / "examples" / f"{name}.rig.toml" for name in EXAMPLES}
    return {
        name: generator_alone(rig_from_text(place.read_text(encoding="utf-8"), name))
        for name, place in files.items()
    }


def one(found, part, quantity):
    (each,) = [each for each in found.findings if (each.part, each.quantity) == (part, quantity)]
    return each


def test_every_kind_is_told_in_all_scenes(told):
    for found in told.values():
        assert len(found.scenes) == 4
        assert abs(found.ledger.balance_error) < 1e-6
        assert all(each.text.endswith(".") and each.remedy.endswith(".") for each in found.findings)


def test_a_flyback_keeps_to_its_peak_current_where_a_step_up_does_not(told):
    surge = one(told["flyback"], "coil", "refill surge after a spark")
    assert surge.within
    assert surge.found == pytest.approx(surge.limit / 1.01, rel=1e-3)


def test_a_ballast_or_a_coil_feeds_no_ringing_loop(told):
    assert told["iso-pulse"].halved_loop is None
    assert told["flyback"].halved_loop is not None
    quantities = {each.quantity for each in told["current-source"].findings}
    assert "damping of the loop" not in quantities


def test_a_fuse_is_judged_by_what_the_supply_gives(told):
    ratio = one(told["flyback"], "fuse", "short-circuit current over its rating")
    assert 0.0 < ratio.found < 2.0
    assert "from the supply" in ratio.text


def test_advice_speaks_of_parts_that_are_there(told):
    for name in ("flyback", "current-source"):
        arc = one(told[name], "gap", "current that feeds a standing arc")
        assert "charge through more than" not in arc.remedy
