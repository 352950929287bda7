"""Meters of one step beside plain sums: integrals of products, and steps that are left alone."""

import numpy as np
import pytest
from numpy.polynomial.legendre import leggauss

from gapwright.circuit.engine._calm_kernel import ROWS, calm
from gapwright.circuit.engine._meter_kernel import add_products, carried, inverse_rates

H = 1.0
QUANTITIES = 9


def drawn(
    draw: np.random.Generator, reals: int, pairs: int, *, most: float, spikes: bool = False
) -> np.ndarray:
    """Rates of so many real terms, the last a constant, and of so many pairs."""
    own = -(10.0 ** draw.uniform(-12.0, np.log10(most), reals - 1))
    if spikes and reals > 1:
        own[0] = -(10.0 ** draw.uniform(7.0, 12.0))
    turning = np.column_stack([-draw.uniform(0.0, 2.0, pairs), draw.uniform(0.01, 0.75, pairs)])
    return np.concatenate([own, [0.0], turning.ravel()])


def terms_at(q: np.ndarray, rates: np.ndarray, reals: int, times: np.ndarray) -> np.ndarray:
    """(terms, times) terms at some times, in complex numbers."""
    grown = np.exp(np.outer(rates[:reals], times)) * q[:reals, None]
    pairs = [
        (q[k] + 1j * q[k + 1]) * np.exp((rates[k] + 1j * rates[k + 1]) * times)
        for k in range(reals, len(rates), 2)
    ]
    return np.vstack([grown, *(np.vstack([pair.real, pair.imag]) for pair in pairs)])


@pytest.mark.parametrize(("reals", "pairs"), [(1, 0), (3, 0), (2, 1), (1, 2), (3, 2)])
def test_integrals_of_products_are_those_of_a_quadrature(reals: int, pairs: int) -> None:
    nodes, weights = leggauss(40)
    times, weights = 0.5 * H * (nodes + 1.0), 0.5 * H * weights
    draw = np.random.default_rng(reals + 10 * pairs)
    for _ in range(40):
        rates = drawn(draw, reals, pairs, most=10.0)
        m = len(rates)
        q, q1 = draw.normal(size=m), np.zeros(m)
        inverse, got = np.zeros((m, m)), np.full((m, m), 1.0)
        inverse_rates(rates, reals, inverse)
        carried(q, rates, reals, H, q1)
        add_products(q, q1, rates, inverse, reals, H, got)
        terms = terms_at(q, rates, reals, times)
        wanted = (terms * weights) @ terms.T
        assert np.abs(got - 1.0 - wanted).max() <= 1e-12 * (1.0 + np.abs(wanted).max())


def is_calm(rows: np.ndarray, q: np.ndarray, rates: np.ndarray, reals: int, peaks: np.ndarray) -> bool:
    """What the kernel says of a step."""
    q1 = np.zeros(len(q))
    carried(q, rates, reals, H, q1)
    return bool(calm(rows, q, q1, rates, reals, H, peaks, np.zeros((ROWS, 40))))


@pytest.mark.parametrize("spikes", [False, True])
@pytest.mark.parametrize(("reals", "pairs"), [(2, 0), (3, 0), (4, 0), (1, 1), (2, 1), (5, 0), (3, 1)])
def test_a_calm_step_stays_within_its_peaks(reals: int, pairs: int, spikes: bool) -> None:
    """Two slow terms may turn a quantity once; with more, decays are kept apart, so that one turn is left."""
    draw = np.random.default_rng(7 + reals + 10 * pairs)
    times = np.concatenate([[0.0], np.geomspace(1e-15, 1.0, 4000), np.linspace(0.0, 1.0, 4000)]) * H
    said = 0
    for _ in range(60):
        rates = drawn(draw, reals, pairs, most=200.0, spikes=spikes)
        q, rows = draw.normal(size=len(rates)), draw.normal(size=(len(rates), QUANTITIES))
        values = rows.T @ terms_at(q, rates, reals, times)
        high, low = values.max(axis=1), values.min(axis=1)
        room = (high - low) * draw.choice([0.0, 1e-6, 1e-2, 0.5, 3.0])
        assert is_calm(rows, q, rates, reals, np.array([high + 6.0 * room + 60.0, low - 60.0]))
        said += is_calm(rows, q, rates, reals, np.array([high + room, low - room]))
        within = np.array([high - 1e-6 * (high - low) - 1e-9, low])
        assert not is_calm(rows, q, rates, reals, within)
    assert said > 0
