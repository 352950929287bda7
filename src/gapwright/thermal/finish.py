"""What sparks leave on the wall: roughness and recast layer, with their bands."""

import math

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import Joules, Metres, Number
from gapwright.thermal.quantiles import banded_quantile

ROUGHNESS_BAND = 2.0
"""Factor of the 90 % band of roughness."""

RECAST_BAND = 0.6
"""Share by which the recast layer may be off either way, in 90 % of cases."""

THINNEST_RECAST: Metres = 0.5e-6
"""Thinnest recast layer [m]."""


def roughness(energy: Joules, *, coefficient: Metres = 0.20e-6, exponent: Number = 0.34) -> Metres:
    r"""Mean roughness Ra of a surface made by sparks of one energy.

    Parameters
    ----------
    energy
        Gap energy of each spark, above 0. [J]
    coefficient
        Roughness that 1 µJ leaves, above 0. [m]
    exponent
        Exponent of energy, above 0.

    Returns
    -------
    roughness
        Mean roughness Ra. [m]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: R_a = 0.20\,\mathrm{µm}\, (E / 1\,\mathrm{µJ})^{0.34}

    Holds from 1 µJ to 0.1 J within a factor of two.
    Leaves out: flushing, polarity, material, sparks of mixed size.

    References
    ----------
    from memory, composite of roughness studies

    Examples
    --------
    >>> print(f"{1e6 * roughness(1e-3):.1f} µm")
    2.1 µm
    """
    require_positive("energy", energy, "J")
    require_positive("coefficient", coefficient, "m")
    require_positive("exponent", exponent, "")
    height: Metres = coefficient * (energy / 1e-6) ** exponent
    return height


def roughness_quantile(chance: Number, energy: Joules, *, band: Number = ROUGHNESS_BAND) -> Metres:
    r"""Mean roughness Ra at a chance.

    Parameters
    ----------
    chance
        Share of members that are smoother, strictly between 0 and 1.
    energy
        Gap energy of each spark, above 0. [J]
    band
        Factor of the 90 % band, at least 1.

    Returns
    -------
    roughness
        Mean roughness Ra. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: R_a\, b^{z/z_{95}}

    Holds within the band in nine cases of ten. Leaves out: calibration.

    References
    ----------
    from memory, composite of roughness studies

    Examples
    --------
    >>> print(f"{1e6 * roughness_quantile(0.95, 1e-3):.1f} µm")
    4.2 µm
    """
    median = roughness(energy)
    return banded_quantile(chance, median=median, low=median / band, high=median * band)


def recast_depth(
    energy: Joules,
    *,
    coefficient: Metres = 3.0e-6,
    exponent: Number = 0.35,
    thinnest: Metres = THINNEST_RECAST,
) -> Metres:
    r"""Mean thickness of the layer that melted and froze again.

    Parameters
    ----------
    energy
        Gap energy of each spark, above 0. [J]
    coefficient
        Thickness that 1 mJ leaves, above 0. [m]
    exponent
        Exponent of energy, above 0.
    thinnest
        Thinnest layer, above 0. [m]

    Returns
    -------
    depth
        Mean thickness; peaks are about twice that. [m]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: t = \max(3.0\,\mathrm{µm}\, (E / 1\,\mathrm{mJ})^{0.35},\; 0.5\,\mathrm{µm})

    Holds for steel within 60 %. Leaves out: the zone below that heat changed.

    References
    ----------
    from memory, practical prior
    yildiz-2017, rises with roughness

    Examples
    --------
    >>> print(f"{1e6 * recast_depth(8e-3):.1f} µm")
    6.2 µm
    """
    require_positive("energy", energy, "J")
    require_positive("coefficient", coefficient, "m")
    require_positive("exponent", exponent, "")
    require_positive("thinnest", thinnest, "m")
    depth: Metres = coefficient * (energy / 1e-3) ** exponent
    return max(depth, thinnest)


def recast_quantile(chance: Number, energy: Joules, *, band: Number = RECAST_BAND) -> Metres:
    r"""Mean thickness of the recast layer at a chance.

    Parameters
    ----------
    chance
        Share of members with a thinner layer, strictly between 0 and 1.
    energy
        Gap energy of each spark, above 0. [J]
    band
        Share by which it may be off either way, 0 to below 1.

    Returns
    -------
    depth
        Mean thickness. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    A log-normal with its own spread on each side, so that

    .. math:: t_{05} = (1 - b)\, t, \quad t_{95} = (1 + b)\, t

    Holds for steel. Leaves out: calibration.

    References
    ----------
    from memory, practical prior

    Examples
    --------
    >>> print(f"{1e6 * recast_quantile(0.05, 1e-3):.1f} {1e6 * recast_quantile(0.95, 1e-3):.1f}")
    1.2 4.8
    """
    median = recast_depth(energy)
    return banded_quantile(chance, median=median, low=(1.0 - band) * median, high=(1.0 + band) * median)


def touching_crater_roughness(depth: Metres) -> Metres:
    r"""Mean roughness Ra of parabolic craters that just touch.

    Parameters
    ----------
    depth
        Depth of the craters, at least 0. [m]

    Returns
    -------
    roughness
        Mean roughness Ra; the peak height Rz is the depth itself. [m]

    Raises
    ------
    InputRefused
        If the depth is below 0.

    Notes
    -----
    .. math:: R_a = \frac{4}{9\sqrt3}\, h \approx 0.2566\, h

    Holds for a profile through the craters' middles.
    Leaves out: rims, overlap and lumps; measured roughness is 2 to 4 times this.

    References
    ----------
    computed from the parabola

    Examples
    --------
    >>> print(f"{1e6 * touching_crater_roughness(10e-6):.2f} µm")
    2.57 µm
    """
    require_not_negative("depth", depth, "m")
    return 4.0 / (9.0 * math.sqrt(3.0)) * depth
