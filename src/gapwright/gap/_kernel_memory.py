"""Compiled cores of what a gap remembers of its last spark, and of delays that are not exponential.

A spark leaves a spot where the next one is likelier until the channel has
deionised. On a surface turned about an axis the spot stands at one angle; a
ring remembers the mean over its angles. SI units throughout.
"""

from typing import NamedTuple

import numpy as np

from gapwright.base.compiled import compiled

SPLIT = 3.75  # argument at which the two polynomials of the Bessel function meet


class MixtureConstants(NamedTuple):
    """Two Weibull laws of the waiting, as the kernels take them; made by `gapwright.gap.mixture`."""

    on: float
    critical_gap: float
    steepness: float
    prompt_shape: float
    prompt_mean: float
    prompt_scale: float
    late_shape: float
    late_mean: float
    late_scale: float


@compiled
def scaled_bessel(x: float) -> float:
    """Modified Bessel function of order 0 times exp(-x), for x from 0 on; good to 2e-7."""
    if x < SPLIT:
        t = (x / SPLIT) ** 2
        series = 1.0 + t * (
            3.5156229 + t * (3.0899424 + t * (1.2067492 + t * (0.2659732 + t * (0.0360768 + t * 0.0045813))))
        )
        return series * np.exp(-x)  # type: ignore[no-any-return]
    t = SPLIT / x
    series = 0.39894228 + t * (
        0.01328592
        + t
        * (
            0.00225319
            + t
            * (
                -0.00157565
                + t * (0.00916281 + t * (-0.02057706 + t * (0.02635537 + t * (-0.01647633 + t * 0.00392377))))
            )
        )
    )
    return series / np.sqrt(x)  # type: ignore[no-any-return]


@compiled
def concentration(radius: float, spot_radius: float, reach: float) -> float:
    """How closely a remembered spark keeps to the angle of the spot (of a von Mises distribution)."""
    return 2.0 * radius * spot_radius / (reach * reach)


@compiled
def ring_memory(radius: float, depth: float, spot_radius: float, spot_depth: float, reach: float) -> float:
    """Mean over a ring's angles of exp(-d²/reach²), with d the distance from a spot."""
    dr, dz = radius - spot_radius, depth - spot_depth
    near = np.exp(-(dr * dr + dz * dz) / (reach * reach))
    return near * scaled_bessel(concentration(radius, spot_radius, reach))  # type: ignore[no-any-return]


@compiled
def prompt_share(gap: float, mixture: MixtureConstants) -> float:
    """Share of ignitions that belong to the prompt one of two laws."""
    return 1.0 / (1.0 + (gap / mixture.critical_gap) ** mixture.steepness)  # type: ignore[no-any-return]


@compiled
def mixture_need(chance: float, need: float, gap: float, mixture: MixtureConstants) -> float:
    """Exposure until ignition, with mean 1, from a draw between 0 and 1 and an exponential one."""
    share = prompt_share(gap, mixture)
    mean = share * mixture.prompt_mean + (1.0 - share) * mixture.late_mean
    if chance < share:
        return mixture.prompt_scale * need ** (1.0 / mixture.prompt_shape) / mean  # type: ignore[no-any-return]
    return mixture.late_scale * need ** (1.0 / mixture.late_shape) / mean  # type: ignore[no-any-return]
