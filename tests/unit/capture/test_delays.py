"""Ignition delays: survivor curve, censored mean and fits recover what was put in."""

import numpy as np
import pytest

from gapwright.capture.delays import censored_mean, delay_statistics, survivor_curve
from tests.made_captures import drawn

ON = 50e-6


def censored_exponential(count: int = 20_000, mean: float = 20e-6, formative: float = 1e-6):
    t = formative + drawn(3).exponential(mean, count)
    return np.minimum(t, ON), t > ON


def test_the_censored_mean_is_that_of_the_law() -> None:
    # 20 µs in pulses of 50 µs: 8.21 % stay open; the mean of those that fired alone is 15.53 µs.
    t, late = censored_exponential(100_000, formative=0.0)
    assert np.mean(late) == pytest.approx(0.0821, rel=0.04)
    assert np.mean(t[~late]) == pytest.approx(15.53e-6, rel=0.01)
    assert censored_mean(t, late)[0] == pytest.approx(20e-6, rel=0.01)


def test_no_ignition_has_no_mean() -> None:
    assert np.isnan(censored_mean(np.array([ON]), np.array([True]))[0])


def test_the_survivor_curve_counts_who_was_at_risk() -> None:
    t, share = survivor_curve(np.array([1.0, 2.0, 3.0, 4.0]), np.array([False, True, False, False]))
    assert list(t) == [1.0, 3.0, 4.0]
    assert share == pytest.approx([0.75, 0.375, 0.0])


def test_an_exponential_is_recovered() -> None:
    found = delay_statistics(*censored_exponential())
    fit = found.fits[0]
    assert fit.parameters["mean_after_s"] == pytest.approx(20e-6, rel=0.03)
    assert fit.parameters["formative_s"] == pytest.approx(1e-6, rel=0.05)
    assert fit.distance < 0.02
    assert found.censored == pytest.approx(20_000 * np.exp(-49 / 20), rel=0.05)


def test_two_weibull_laws_are_recovered_and_preferred() -> None:
    rng = drawn(4)
    first = rng.random(8000) < 0.4
    t = np.where(first, 3e-6 * rng.weibull(2.5, 8000), 25e-6 * rng.weibull(1.8, 8000))
    found = delay_statistics(t, np.zeros(8000, dtype=bool))
    best = found.best
    assert best is not None
    assert best.law == "two Weibull"
    parts = sorted(
        [
            (best.parameters["scale_first_s"], best.parameters["weight"], best.parameters["shape_first"]),
            (
                best.parameters["scale_second_s"],
                1 - best.parameters["weight"],
                best.parameters["shape_second"],
            ),
        ]
    )
    assert parts[0] == pytest.approx((3e-6, 0.4, 2.5), rel=0.1)
    assert parts[1] == pytest.approx((25e-6, 0.6, 1.8), rel=0.1)
    assert best.distance < 0.02


def test_few_delays_are_not_fitted() -> None:
    found = delay_statistics(np.full(5, 1e-6), np.zeros(5, dtype=bool))
    assert found.fits == ()
    assert found.best is None
