"""The gap loop: where it becomes unstable, and what a step of the axis does."""

import math

import numpy as np
import pytest

from gapwright.motion.axis import Axis, moved, resting_state, ticks_per_step
from gapwright.motion.laws import Hysteresis, filtered, hysteresis_speed, proportional_speed
from gapwright.motion.loop import (
    is_stable,
    largest_gain,
    loop_product,
    phase_margin,
    sampled_limit,
    step_hazard_ratio,
)
from tests.printed import printed

POINTS = 400
"""Steps per lag in the simulated continuous loop."""


def continuous_swing(product: float) -> float:
    """Late swing over early swing of g' = -x g(t - 1), by Heun's rule."""
    h = 1.0 / POINTS
    g = np.ones(POINTS * 81)
    for k in range(POINTS, len(g) - 1):
        g[k + 1] = g[k] - 0.5 * h * product * (g[k - POINTS] + g[k + 1 - POINTS])
    early, late = g[POINTS * 20 : POINTS * 30], g[POINTS * 70 : POINTS * 80]
    return float(np.max(np.abs(late)) / np.max(np.abs(early)))


def sampled_swing(product: float, delay: int) -> float:
    """Late swing over early swing of g[k+1] = g[k] - x g[k - delay]."""
    g = np.ones(2000)
    for k in range(delay, len(g) - 1):
        g[k + 1] = g[k] - product * g[k - delay]
    return float(np.max(np.abs(g[-200:])) / np.max(np.abs(g[:200])))


@pytest.mark.source("feedback-theory", "integrator with dead time: 1.5 stable, 1.65 unstable, limit π/2")
@pytest.mark.parametrize(("product", "stable"), [(1.5, True), (1.65, False)])
def test_continuous_loop(product, stable):
    assert is_stable(product) is stable
    assert (continuous_swing(product) < 1.0) is stable
    assert math.pi / 2.0 == printed("1.571")


@pytest.mark.source(
    "feedback-theory", "sampled with one tick of delay: 0.95 stable, 1.05 unstable; without: 2"
)
@pytest.mark.parametrize(
    ("product", "delay", "stable"),
    [(0.95, 1, True), (1.05, 1, False), (1.95, 0, True), (2.05, 0, False)],
)
def test_sampled_loop(product, delay, stable):
    assert (product < sampled_limit(delay)) is stable
    assert (sampled_swing(product, delay) < 1.0) is stable


@pytest.mark.source("feedback-theory", "60° of phase margin at 0.524")
def test_phase_margin():
    assert math.degrees(phase_margin(0.5236)) == printed("60.0")
    assert math.degrees(phase_margin(0.524)) == printed("60")


@pytest.mark.source("computed", "2 mm/s at 0.045 /µm: gain 90 /s, so the limit of lag is 17 ms")
def test_limit_of_lag():
    per_second = loop_product(2e-3, sensor_slope=0.045e6, lag=1.0)
    assert per_second == printed("90")
    assert 1e3 * (math.pi / 2.0) / per_second == printed("17")


@pytest.mark.source("feedback-theory", "calm at a product of 0.52")
def test_largest_calm_gain():
    gain = largest_gain(0.045e6, lag=4e-3)
    assert loop_product(gain, sensor_slope=0.045e6, lag=4e-3) == printed("0.52")


@pytest.mark.source(
    "computed", "hazard to the fifth power: steps of 2.5 and 0.1 µm at 10 µm, 2.5 µm at 4.6 µm"
)
@pytest.mark.parametrize(
    ("gap", "step", "ratio"), [(10e-6, 2.5e-6, "3.05"), (10e-6, 0.1e-6, "1.051"), (4.6e-6, 2.5e-6, "8.8")]
)
def test_step_hazard_ratio(gap, step, ratio):
    assert step_hazard_ratio(gap, step=step) == printed(ratio)


@pytest.mark.source("common-practice", "proportional law: at the set point the electrode stands")
def test_proportional_law():
    assert 1e6 * proportional_speed(0.55, set_point=0.5, gain=2e-3) == printed("100")
    assert 1e6 * proportional_speed(0.40, set_point=0.5, gain=2e-3) == printed("-200")
    assert proportional_speed(0.5, set_point=0.5, gain=2e-3) == 0.0


@pytest.mark.source(
    "circuit-theory", "first-order filter: 63.2 % after one time constant, 95.0 % after three"
)
def test_filter():
    assert filtered(0.0, sample=1.0, interval=2e-3, time_constant=2e-3) == printed("0.632")
    assert filtered(0.0, sample=1.0, interval=6e-3, time_constant=2e-3) == printed("0.950")


@pytest.mark.source("common-practice", "a cheap mill: 10 µm steps and 30 µm of backlash")
def test_a_cheap_mill_turning_round():
    mill = Axis(
        resolution=10e-6,
        backlash=30e-6,
        feed_limit=1e-3,
        retract_limit=3e-3,
        acceleration=10.0,
        lag=0.0,
    ).constants(10e-3)
    assert ticks_per_step(1e-3, axis=mill) == printed("1.0")
    state = resting_state(mill)
    fed = [moved(state, 1e-3, axis=mill) for _ in range(10)][-1]
    back = [moved(state, -1e-3, axis=mill) for _ in range(6)]
    assert 1e6 * fed == printed("100")
    # The first three steps back only take up the backlash.
    assert [round(1e6 * (fed - z)) for z in back] == [0, 0, 0, 10, 20, 30]


@pytest.mark.source("from-memory", "band of 0.05 either way, 20 µm/s into the work and 100 µm/s out of it")
def test_the_law_with_hysteresis_has_two_speeds_and_a_band():
    law, speed, found = Hysteresis(), 0.0, []
    for share in (0.5, 0.56, 0.46, 0.44, 0.54, 0.551):
        speed = hysteresis_speed(share, before=speed, law=law)
        found.append(1e6 * speed)
    assert found[0] == 0.0
    assert found[1:] == [printed(x) for x in ("20", "20", "-100", "-100", "20")]


@pytest.mark.source("computed", "a slide that sticks by 15 µm on steps of 10 µm moves by two at a time")
def test_a_slide_that_sticks_moves_in_jumps():
    axis = Axis(
        resolution=10e-6, backlash=0.0, feed_limit=1e-3, retract_limit=3e-3, acceleration=10.0, lag=0.0,
        stiction=15e-6,
    ).constants(10e-3)  # fmt: skip
    state = resting_state(axis)
    places = [moved(state, 1e-3, axis=axis) for _ in range(6)]
    assert [round(1e6 * z) for z in places] == [0, 20, 20, 40, 40, 60]
