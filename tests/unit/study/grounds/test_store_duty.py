"""Bleeding and ripple of a store."""

import pytest

from gapwright.base.errors import InputRefused
from gapwright.study.grounds.store_duty import bleed_time, largest_bleeder, ripple_current


def test_the_largest_bleeder_just_makes_it():
    ohms = largest_bleeder(90.0, left=30.0, time=1.0, capacitance=47e-6)
    assert bleed_time(90.0, left=30.0, resistance=ohms, capacitance=47e-6) == pytest.approx(1.0, rel=1e-12)


def test_a_store_never_above_needs_no_time():
    assert bleed_time(20.0, left=30.0, resistance=1e3, capacitance=1e-6) == 0.0
    assert bleed_time(31.0, left=30.0, resistance=1e3, capacitance=1e-6) > 0.0


def test_no_bleeder_is_asked_for_where_none_is_needed():
    with pytest.raises(InputRefused, match="above the 30 V that may be left, got 30 V; no bleeder is needed"):
        largest_bleeder(30.0, left=30.0, time=1.0, capacitance=1e-6)


@pytest.mark.parametrize("name", ["left", "resistance", "capacitance"])
def test_bleeding_refuses_nothing(name):
    given = {"left": 30.0, "resistance": 1e3, "capacitance": 1e-6} | {name: 0.0}
    with pytest.raises(InputRefused, match=f"{name} must be above 0"):
        bleed_time(60.0, **given)


@pytest.mark.parametrize("name", ["left", "time", "capacitance"])
def test_sizing_refuses_nothing(name):
    given = {"left": 30.0, "time": 1.0, "capacitance": 1e-6} | {name: 0.0}
    with pytest.raises(InputRefused, match=f"{name} must be above 0"):
        largest_bleeder(60.0, **given)


def test_four_times_the_sparks_ripple_twice():
    assert ripple_current(1e-3, rate=400.0) == pytest.approx(2 * ripple_current(1e-3, rate=100.0), rel=1e-12)


def test_ripple_refuses_less_than_nothing():
    with pytest.raises(InputRefused, match="action must be at least 0"):
        ripple_current(-1.0, rate=1.0)
    with pytest.raises(InputRefused, match="rate must be at least 0"):
        ripple_current(1.0, rate=-1.0)
