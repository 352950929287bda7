"""The compiled cores of removal against plain slow twins."""

import math

import numpy as np
import pytest
from scipy import special, stats

from gapwright.thermal._kernel import (
    Z95,
    crater_depth,
    crater_width,
    normal_quantile,
    normal_share,
    removal_band,
    removal_per_energy,
    scattered,
    split_quantile,
    truncated_quantile,
)
from gapwright.thermal.removal import RemovalLaw

LAW = RemovalLaw().constants


@pytest.mark.parametrize(
    "chance", [1e-300, 1e-40, 1e-12, 1e-6, 0.01, 0.074, 0.0751, 0.3, 0.5, 0.7, 0.926, 0.99]
)
def test_normal_quantile(chance):
    assert normal_quantile(chance) == pytest.approx(special.ndtri(chance), rel=1e-13, abs=0.0)
    assert normal_share(normal_quantile(chance)) == pytest.approx(chance, rel=1e-11)


def test_normal_quantile_of_the_band():
    assert normal_quantile(0.95) == pytest.approx(Z95, rel=1e-15)


@pytest.mark.parametrize("chance", [0.001, 0.05, 0.4, 0.5, 0.6, 0.95, 0.999])
def test_split_quantile(chance):
    z = stats.norm.ppf(chance) / stats.norm.ppf(0.95)
    twin = math.exp(math.log(0.2) + z * (math.log(0.6 / 0.2) if z > 0 else math.log(0.2 / 0.05)))
    assert split_quantile(chance, 0.2, 0.05, 0.6) == pytest.approx(twin, rel=1e-12)


@pytest.mark.parametrize("chance", [0.001, 0.3, 0.5, 0.9, 0.999])
@pytest.mark.parametrize(("low", "high"), [(0.0, 0.4), (0.16, 0.4), (0.05, 0.1)])
def test_truncated_quantile(chance, low, high):
    uncut = stats.lognorm(s=0.489, scale=0.18)
    twin = uncut.ppf(uncut.cdf(low) + chance * (uncut.cdf(high) - uncut.cdf(low)))
    assert truncated_quantile(chance, 0.18, 0.489, low, high) == pytest.approx(twin, rel=1e-10)
    assert low < truncated_quantile(chance, 0.18, 0.489, low, high) < high


def test_a_band_of_no_width_has_one_value():
    assert truncated_quantile(0.3, 0.18, 0.489, 0.4, 0.4) == 0.4


@pytest.mark.parametrize("energy", [1e-6, 1e-4, 2e-4, 7e-4, 1e-3, 1.0])
def test_removal_per_energy(energy):
    band = math.exp(np.interp(math.log(energy), np.log([1e-4, 1e-3]), np.log([4.0, 2.5])))
    assert removal_band(energy, LAW) == pytest.approx(band, rel=1e-12)
    uncut = stats.lognorm(s=math.log(band) / stats.norm.ppf(0.95), scale=4e-12)
    for chance in (0.02, 0.5, 0.98):
        twin = uncut.ppf(chance * uncut.cdf(1e-11))
        assert removal_per_energy(chance, energy, LAW) == pytest.approx(twin, rel=1e-10)


def test_crater():
    assert crater_width(1e-3, LAW) == pytest.approx(6.8e-4 * 10**-1.02, rel=1e-12)
    assert crater_depth(math.pi / 8.0, 1.0) == pytest.approx(1.0, rel=1e-12)


def test_scatter_keeps_the_mean():
    nodes, weights = np.polynomial.hermite_e.hermegauss(40)
    drawn = [scattered(4e-15, float(z), 0.6) for z in nodes]
    assert np.dot(weights, drawn) / weights.sum() == pytest.approx(4e-15, rel=1e-12)
    assert np.std(np.log(drawn)) == pytest.approx(0.6 * np.std(nodes), rel=1e-12)
