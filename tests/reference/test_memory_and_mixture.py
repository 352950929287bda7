"""Memory of a ring and delays of two kinds: kernels beside their laws and beside integrals."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import i0e

from gapwright.gap._kernel_memory import mixture_need, scaled_bessel
from gapwright.gap.memory import ring_memory_share
from gapwright.gap.mixture import TwoWeibull, mixture_waiting_share, prompt_share

LAW = TwoWeibull()


@pytest.mark.source("abramowitz-stegun", "9.8.1 and 9.8.2: below 2e-7")
@pytest.mark.parametrize("x", [0.0, 0.3, 2.0, 3.7499, 3.7501, 10.0, 200.0])
def test_bessel_function_is_as_good_as_printed(x: float) -> None:
    assert abs(scaled_bessel(x) - i0e(x)) < 2e-7


@pytest.mark.source("computed", "mean over the angles by quadrature")
@pytest.mark.parametrize(
    ("radius", "depth"), [(0.0, 0.0), (0.1e-3, 0.0), (0.25e-3, 30e-6), (0.27e-3, 0.2e-3)]
)
def test_a_ring_remembers_the_mean_over_its_angles(radius: float, depth: float) -> None:
    spot, reach = 0.24e-3, 60e-6

    def at(angle: float) -> float:
        d2 = depth**2 + radius**2 + spot**2 - 2.0 * radius * spot * np.cos(angle)
        return float(np.exp(-d2 / reach**2))

    mean = quad(at, 0.0, np.pi, epsrel=1e-10)[0] / np.pi
    share = ring_memory_share(radius, depth, spot_radius=spot, spot_depth=0.0, reach=reach)
    assert share == pytest.approx(mean, rel=1e-5)


@pytest.mark.source("computed", "60 000 draws against the law")
@pytest.mark.parametrize("gap", [4e-6, 9e-6, 15e-6])
def test_needs_scatter_as_the_mixture_says(gap: float) -> None:
    rng = np.random.default_rng(12)
    k = LAW.constants(on=True)
    needs = np.array(
        [
            mixture_need(u, e, gap, k)
            for u, e in zip(rng.random(60_000), rng.exponential(size=60_000), strict=True)
        ]
    )
    for exposure in (0.1, 0.5, 1.0, 2.0):
        expected = mixture_waiting_share(exposure, gap=gap, law=LAW)
        error = np.sqrt(expected * (1.0 - expected) / needs.size)
        assert abs(float(np.mean(needs > exposure)) - expected) < 4.0 * error
    assert abs(needs.mean() - 1.0) < 4.0 * needs.std() / np.sqrt(needs.size)


@pytest.mark.source("borges-esteves-2023", "two regimes that part at 8 to 10 µm")
def test_narrow_gaps_ignite_promptly() -> None:
    assert prompt_share(5e-6, law=LAW) > 0.9 > 0.1 > prompt_share(20e-6, law=LAW)
    assert prompt_share(LAW.critical_gap, law=LAW) == pytest.approx(0.5)


@pytest.mark.source("computed", "mean of the waiting by quadrature")
@pytest.mark.parametrize("gap", [3e-6, 30e-6])
def test_the_mixture_has_the_mean_of_the_hazard(gap: float) -> None:
    mean = quad(lambda x: mixture_waiting_share(x, gap=gap, law=LAW), 0.0, 60.0, limit=200)[0]
    assert mean == pytest.approx(1.0, rel=1e-5)
