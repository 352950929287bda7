"""The share of a spark's energy that the workpiece absorbs, and what conduction can melt with it."""

from gapwright.base.checks import require_between, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import CubicMetres, Joules, Number, RemovalPerEnergy
from gapwright.thermal._kernel import truncated_quantile
from gapwright.thermal.quantiles import require_chance

CEILING: RemovalPerEnergy = 25e-12
"""Most iron that conduction melts per joule absorbed, at the best radius of the channel [m³/J]."""

MEDIAN_SHARE = 0.18
"""Absorbed share of gap energy, median; from memory."""

SHARE_SPREAD = 0.4892
"""Spread of the logarithm of the absorbed share, for a 90 % band of 0.08 to 0.40."""

LARGEST_SHARE = 0.40
"""Largest absorbed share that is believed."""


def absorbed_share_quantile(chance: Number, removal: RemovalPerEnergy) -> Number:
    r"""Share of gap energy that the workpiece absorbs, at a chance, given what is removed.

    Parameters
    ----------
    chance
        Share of members that absorb less, strictly between 0 and 1.
    removal
        Metal removed per joule of gap energy, above 0 and at most 1e-11. [m³/J]

    Returns
    -------
    share
        Absorbed share, enough that conduction allows the removal.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    Log-normal, median 0.18, cut to

    .. math:: \frac{\kappa}{25 \times 10^{-12}} \le F \le 0.40

    Holds for steel in liquid. Leaves out: dependence on current and duration;
    published shares disagree by a factor of five.

    References
    ----------
    dibitonto-1989, share of the negative side, from memory
    computed, the ceiling of conduction

    Examples
    --------
    >>> print(f"{absorbed_share_quantile(0.5, 4e-12):.3f}")
    0.225
    """
    require_chance(chance)
    require_positive("removal", removal, "m³/J")
    least = removal / CEILING
    if least > LARGEST_SHARE * (1.0 + 1e-12):
        raise InputRefused(
            f"removal must be at most {CEILING * LARGEST_SHARE:g} m³/J, got {removal:g} m³/J: "
            "no believable absorbed share melts that much"
        )
    return truncated_quantile(chance, MEDIAN_SHARE, SHARE_SPREAD, least, LARGEST_SHARE)


def melt_ceiling(energy: Joules, *, absorbed_share: Number, material_factor: Number = 1.0) -> CubicMetres:
    r"""Most metal that conduction can melt with one spark.

    Parameters
    ----------
    energy
        Gap energy of the spark, at least 0. [J]
    absorbed_share
        Share of it that this side absorbs, 0 to 1.
    material_factor
        Melt volume of the metal relative to steel, above 0.

    Returns
    -------
    volume
        Most metal molten. [m³]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: V \le 25 \times 10^{-12}\, F E f_{mat}

    Holds for the best radius of the channel, give or take a fifth.
    Leaves out: metal torn off as vapour or by the bursting melt.

    References
    ----------
    computed, enthalpy method on iron

    Examples
    --------
    >>> V = melt_ceiling(1e-3, absorbed_share=0.18)
    >>> print(f"{1e18 * V:.0f} µm³")
    4500 µm³
    """
    require_not_negative("energy", energy, "J")
    require_between("absorbed_share", absorbed_share, 0.0, 1.0, "")
    require_positive("material_factor", material_factor, "")
    return CEILING * absorbed_share * energy * material_factor


def is_beyond_conduction(volume: CubicMetres, *, ceiling: CubicMetres) -> bool:
    """Whether more is removed than conduction can melt, so that the answer needs a flag.

    Parameters
    ----------
    volume
        Volume removed, at least 0. [m³]
    ceiling
        Most that conduction melts, at least 0. [m³]

    Raises
    ------
    InputRefused
        If a volume is below 0.
    """
    require_not_negative("volume", volume, "m³")
    require_not_negative("ceiling", ceiling, "m³")
    return volume > ceiling * (1.0 + 1e-9)
