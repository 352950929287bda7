"""Limits: which side is safe."""

import pytest

from gapwright.base.errors import FactMissing
from gapwright.facts.limits import Sense, limit, limits


@pytest.mark.parametrize("key", limits())
def test_every_limit_says_what_it_bounds(key):
    one = limit(key)
    assert one.title
    assert one.value > 0
    assert (one.unit, one.source, one.status) == (one.fact.unit, one.fact.source, one.fact.status)


@pytest.mark.parametrize("key", limits())
def test_the_limit_itself_is_allowed_unless_a_hazard_begins_there(key):
    one = limit(key)
    assert one.broken_by(one.value) is (one.sense is Sense.FROM)


@pytest.mark.parametrize(
    ("key", "value", "broken"),
    [
        ("touch-wet-dc", 31.0, True),
        ("touch-wet-dc", 29.0, False),
        ("liquid-cover", 0.039, True),
        ("liquid-cover", 0.041, False),
        ("stored-energy-caution", 0.99, False),
        ("spindle-insulation", 0.5e6, True),
    ],
)
def test_sides(key, value, broken):
    assert limit(key).broken_by(value) is broken


def test_wet_is_stricter_than_dry():
    assert limit("touch-wet-dc").value < limit("touch-dry-dc").value < limit("selv-dc").value
    assert limit("residual-voltage-wet").value < limit("residual-voltage").value


def test_the_stricter_threshold_warns_of_shock():
    assert limit("shock-energy").value < limit("shock-energy-lab").value


def test_an_unknown_limit_is_refused():
    with pytest.raises(FactMissing, match="the limit must be one of .*did you mean 'run-out'"):
        limit("runout")
