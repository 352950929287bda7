"""Ignition delays: survivor curve, censored mean, and how well one exponential or two Weibull laws fit.

A pulse that ended without a spark says only that its delay was longer: it is
censored. The survivor curve is that of Kaplan and Meier; fits are by greatest
likelihood on all delays, censored ones included.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import expit

Numbers = NDArray[np.float64]
Claims = NDArray[np.bool_]

POINTS = 200
"""Points of the survivor curve that are kept."""
MOST = 20_000
"""Delays that a fit looks at; more are thinned evenly."""
FEWEST = 30
"""Ignitions below which nothing is fitted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DelayFit:
    """One law fitted to delays."""

    law: str
    """`exponential`, or `two Weibull`."""
    parameters: dict[str, float]
    """By name, units at the end of the names."""
    log_likelihood: float
    information: float
    """Akaike's criterion: lower is better."""
    distance: float
    """Greatest distance between fitted and measured survivor curve, as a share."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DelayStatistics:
    """What the ignition delays of a capture say."""

    ignitions: int
    censored: int
    """Pulses without a spark."""
    mean_s: float
    """Censored mean: all time with voltage over the number of ignitions. NaN without one."""
    mean_uncertainty_s: float
    times_s: Numbers
    """Times of the survivor curve."""
    survivor: Numbers
    """Share of pulses that had not yet ignited."""
    fits: tuple[DelayFit, ...]

    @property
    def best(self) -> DelayFit | None:
        """Law with the lowest information criterion."""
        return min(self.fits, key=lambda fit: fit.information, default=None)


def survivor_curve(delays: Numbers, censored: Claims) -> tuple[Numbers, Numbers]:
    """Times of ignition in order, and the share that had not ignited just after each."""
    order = np.argsort(delays, kind="stable")
    t, gone = delays[order], ~censored[order]
    at_risk = delays.size - np.arange(delays.size)
    share: Numbers = np.cumprod(np.where(gone, 1.0 - 1.0 / at_risk, 1.0)).astype(np.float64)
    return t[gone], share[gone]


def censored_mean(delays: Numbers, censored: Claims) -> tuple[float, float]:
    """Mean delay in seconds, time of pulses that stayed open counted, and its standard uncertainty."""
    ignitions = int(np.count_nonzero(~censored))
    if ignitions == 0:
        return float("nan"), float("nan")
    mean = float(delays.sum()) / ignitions
    return mean, mean / float(np.sqrt(ignitions))


def delay_statistics(delays: Numbers, censored: Claims) -> DelayStatistics:
    """Survivor curve, censored mean and fits of ignition delays in seconds."""
    known = np.isfinite(delays) & (delays >= 0.0)
    delays, censored = delays[known], censored[known]
    mean, spread = censored_mean(delays, censored)
    t, share = survivor_curve(delays, censored)
    ignitions = int(np.count_nonzero(~censored))
    keep = np.unique(np.linspace(0, max(t.size - 1, 0), min(POINTS, max(t.size, 1))).astype(int))
    fits: tuple[DelayFit, ...] = ()
    if ignitions >= FEWEST and np.ptp(delays[~censored]) > 0.0:
        step = max(1, delays.size // MOST)
        fits = (
            _exponential(delays[::step], censored[::step], (t, share)),
            _two_weibull(delays[::step], censored[::step], (t, share)),
        )
    return DelayStatistics(
        ignitions=ignitions,
        censored=int(np.count_nonzero(censored)),
        mean_s=mean,
        mean_uncertainty_s=spread,
        times_s=t[keep] if t.size else t,
        survivor=share[keep] if t.size else share,
        fits=fits,
    )


def _exponential(delays: Numbers, censored: Claims, curve: tuple[Numbers, Numbers]) -> DelayFit:
    """Fit a formative time and an exponential law after it."""
    formative = float(np.min(delays[~censored]))
    after = np.maximum(delays - formative, 0.0)
    mean = float(after.sum()) / np.count_nonzero(~censored)
    likelihood = -float(np.count_nonzero(~censored)) * np.log(mean) - float(after.sum()) / mean
    fitted = np.exp(-np.maximum(curve[0] - formative, 0.0) / mean)
    return DelayFit(
        law="exponential",
        parameters={"formative_s": formative, "mean_after_s": mean},
        log_likelihood=float(likelihood),
        information=4.0 - 2.0 * float(likelihood),
        distance=float(np.max(np.abs(fitted - curve[1]))),
    )


def weibull_pair(t: Numbers, parameters: Numbers) -> tuple[Numbers, Numbers]:
    """Survivor share and density of a mixture of two Weibull laws.

    The parameters are free numbers: logit of the first law's weight, then the
    logarithms of both scales and both shapes.
    """
    weight = expit(parameters[0])
    survivor, density = np.zeros(t.size), np.zeros(t.size)
    for part, log_scale, log_shape in ((weight, *parameters[[1, 3]]), (1.0 - weight, *parameters[[2, 4]])):
        scale, shape = np.exp(log_scale), np.exp(log_shape)
        x = np.maximum(t / scale, 1e-12)
        power = np.minimum(x**shape, 700.0)
        survivor += part * np.exp(-power)
        density += part * shape / scale * x ** (shape - 1.0) * np.exp(-power)
    return survivor, density


def _two_weibull(delays: Numbers, censored: Claims, curve: tuple[Numbers, Numbers]) -> DelayFit:
    """Fit a mixture of two Weibull laws, from two beginnings."""
    unit = float(np.median(delays))
    unit = unit if unit > 0.0 else float(delays.max())
    t = np.maximum(delays / unit, 1e-6)

    def loss(parameters: Numbers) -> float:
        survivor, density = weibull_pair(t, parameters)
        chance = np.where(censored, survivor, density)
        return -float(np.sum(np.log(np.maximum(chance, 1e-300))))

    low, high = np.log(np.quantile(t, [0.25, 0.75]))
    starts = [np.array([0.0, low, high, 0.3, 0.3]), np.array([1.5, 0.0, high + 1.0, 0.0, 0.7])]
    bounds = [(-6.0, 6.0), (-9.0, 9.0), (-9.0, 9.0), (-2.0, 3.0), (-2.0, 3.0)]
    found = min(
        (minimize(loss, start, bounds=bounds, method="L-BFGS-B") for start in starts), key=lambda f: f.fun
    )
    likelihood = -float(found.fun) - np.count_nonzero(~censored) * np.log(unit)
    fitted, _ = weibull_pair(curve[0] / unit, found.x)
    p = found.x
    return DelayFit(
        law="two Weibull",
        parameters={
            "weight": float(expit(p[0])),
            "scale_first_s": unit * float(np.exp(p[1])),
            "scale_second_s": unit * float(np.exp(p[2])),
            "shape_first": float(np.exp(p[3])),
            "shape_second": float(np.exp(p[4])),
        },
        log_likelihood=float(likelihood),
        information=10.0 - 2.0 * float(likelihood),
        distance=float(np.max(np.abs(fitted - curve[1]))),
    )
