"""Axis, control laws and loop: plain behaviour and refusals."""

import math

import pytest

from gapwright.base.errors import InputRefused
from gapwright.motion.axis import Axis, moved, resting_state, ticks_per_step
from gapwright.motion.laws import Proportional, filtered, proportional_speed, retracts
from gapwright.motion.loop import (
    is_stable,
    largest_gain,
    loop_product,
    phase_margin,
    sampled_limit,
    step_hazard_ratio,
)

MILL = {
    "resolution": 10e-6,
    "backlash": 30e-6,
    "feed_limit": 1e-3,
    "retract_limit": 3e-3,
    "acceleration": 0.5,
    "lag": 2e-3,
}
TICKING = Axis(**MILL).constants(1e-3)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("resolution", 0.0),
        ("backlash", -1e-6),
        ("feed_limit", 0.0),
        ("retract_limit", math.nan),
        ("acceleration", -1.0),
        ("lag", math.inf),
    ],
)
def test_an_axis_that_cannot_be_is_refused(name, value):
    with pytest.raises(InputRefused, match=name):
        Axis(**(MILL | {name: value}))


def test_a_tick_must_be_above_zero():
    with pytest.raises(InputRefused, match="tick must be above 0 s"):
        Axis(**MILL).constants(0.0)


def test_resting_where_it_is_told():
    state = resting_state(TICKING, position=120e-6)
    assert moved(state, 0.0, axis=TICKING) == pytest.approx(120e-6, rel=1e-12)
    with pytest.raises(InputRefused, match="whole number of steps"):
        resting_state(TICKING, position=123e-6)


@pytest.mark.parametrize(
    ("mean", "retracting", "answer"),
    [(0.05, False, True), (0.2, False, False), (0.2, True, True), (0.31, True, False)],
)
def test_a_short_sends_the_electrode_back_until_the_gap_has_recovered(mean, retracting, answer):
    assert retracts(mean, retracting=retracting, law=Proportional()) is answer


@pytest.mark.parametrize(
    ("name", "value"),
    [("set_point", 0.0), ("gain", 0.0), ("retract_speed", -1.0), ("resume_above", 1.5), ("short_below", 0.4)],
)
def test_a_law_out_of_order_is_refused(name, value):
    with pytest.raises(InputRefused, match=name):
        Proportional(**{name: value})


@pytest.mark.parametrize(
    ("law", "arguments", "name"),
    [
        (moved, {"state": resting_state(TICKING), "command": math.nan, "axis": TICKING}, "command"),
        (ticks_per_step, {"command": 0.0, "axis": TICKING}, "command"),
        (proportional_speed, {"mean_share": math.inf, "set_point": 0.5, "gain": 1.0}, "mean_share"),
        (proportional_speed, {"mean_share": 0.5, "set_point": 1.0, "gain": 1.0}, "set_point"),
        (filtered, {"previous": 0.0, "sample": 1.0, "interval": 0.0, "time_constant": 1.0}, "interval"),
        (loop_product, {"gain": 1.0, "sensor_slope": 1.0, "lag": -1.0}, "lag"),
        (is_stable, {"product": -0.1}, "product"),
        (phase_margin, {"product": -0.1}, "product"),
        (largest_gain, {"sensor_slope": 0.0, "lag": 1.0}, "sensor_slope"),
        (sampled_limit, {"delay_ticks": -1}, "delay_ticks"),
        (step_hazard_ratio, {"gap": 0.0, "step": 1e-6}, "gap"),
    ],
    ids=lambda value: getattr(value, "__name__", ""),
)
def test_refusals_name_what_was_wrong(law, arguments, name):
    with pytest.raises(InputRefused, match=name):
        law(**arguments)
