"""Members: which constants spread, and how evenly."""

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.rig.priors import OwnPrior
from gapwright.study.grounds.assemble import usual
from gapwright.study.grounds.uncertain import (
    REMOVAL,
    is_calibrated,
    median_member,
    members,
    uncertain_constants,
)
from tests.unit.study.benches import DRY, FIRST, demo


def test_liquid_and_contact_rigs_have_their_own_constants() -> None:
    wet, dry = demo(FIRST), demo(DRY)
    assert "ignition-exponent" in uncertain_constants(wet.rig, wet.job)
    assert "contact-field" in uncertain_constants(dry.rig, dry.job)
    assert "contact-field" not in uncertain_constants(wet.rig, wet.job)


def test_the_median_member_has_every_constant_at_its_middle() -> None:
    made = demo(FIRST)
    constants = uncertain_constants(made.rig, made.job)
    middle = median_member(constants)
    assert set(middle.value) == set(constants)
    assert middle.chance[REMOVAL] == 0.5


def test_members_spread_evenly_over_each_constant() -> None:
    made = demo(FIRST)
    drawn = members(uncertain_constants(made.rig, made.job), count=64, seed=1)
    chances = np.sort([member.chance["effective-share"] for member in drawn])
    assert (np.floor(chances * 64) == np.arange(64)).all()


def test_members_depend_on_the_seed_alone() -> None:
    made = demo(FIRST)
    constants = uncertain_constants(made.rig, made.job)
    assert members(constants, count=8, seed=1) == members(constants, count=8, seed=1)
    assert members(constants, count=8, seed=1) != members(constants, count=8, seed=2)


def test_what_the_rig_file_says_takes_the_place_of_the_table() -> None:
    own = OwnPrior.model_validate({"median": 0.3, "low": 0.2, "high": 0.4, "status": "measured"})
    made = demo(FIRST, {"priors": {"effective-share": own}})
    constants = uncertain_constants(made.rig, made.job)
    assert constants["effective-share"].quantile(0.05) == pytest.approx(0.2, rel=1e-3)
    assert is_calibrated(made.rig)
    assert not is_calibrated(demo(FIRST).rig)


def test_a_fixed_constant_of_the_rig_file_is_used() -> None:
    own = OwnPrior.model_validate({"median": "15 V"})
    made = demo(FIRST, {"priors": {"ignition-headroom": own}})
    assert usual(made, "ignition-headroom") == 15.0
    assert usual(demo(FIRST), "ignition-headroom") == 10.0


def test_no_member_is_refused() -> None:
    with pytest.raises(InputRefused, match="members must be at least 1, got 0"):
        members({}, count=0, seed=0)
