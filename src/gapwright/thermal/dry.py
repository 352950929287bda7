"""Removal by the short sparks of a rig without liquid."""

from gapwright.base.checks import require_between
from gapwright.base.errors import InputRefused
from gapwright.base.units import Number, RemovalPerEnergy
from gapwright.thermal.quantiles import banded_quantile, require_chance


def dry_removal_quantile(
    chance: Number,
    *,
    median: RemovalPerEnergy = 3.2e-13,
    low: RemovalPerEnergy = 5e-14,
    high: RemovalPerEnergy = 2e-12,
) -> RemovalPerEnergy:
    r"""Steel loosened per joule of gap energy in air, at a chance.

    Parameters
    ----------
    chance
        Share of members that loosen less, strictly between 0 and 1.
    median
        Median removal, above 0. [m³/J]
    low
        5th percentile, above 0. [m³/J]
    high
        95th percentile. [m³/J]

    Returns
    -------
    removal
        Volume per joule, before what settles again. [m³/J]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \kappa = m (h/m)^{z/z_{95}}

    with l for h below the median.
    Holds for short arcs of about 1 µs, workpiece positive; a guess around
    4e-13 m³/J, which was palladium. Leaves out: metal that settles again.

    References
    ----------
    common practice, no source
    atalla-1953, part II: palladium

    Examples
    --------
    >>> print(f"{dry_removal_quantile(0.5):.1e} m³/J")
    3.2e-13 m³/J
    """
    return banded_quantile(chance, median=median, low=low, high=high)


def kept_share_quantile(chance: Number, *, low: Number = 0.3, high: Number = 0.9) -> Number:
    r"""Share of the metal loosened in air that does not settle again, at a chance.

    Parameters
    ----------
    chance
        Share of members below the value, strictly between 0 and 1.
    low
        Least share, 0 to 1.
    high
        Largest share, from `low` to 1.

    Returns
    -------
    share
        Share that is gone for good.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: s = l + p (h - l)

    Holds as a guess, even between the ends. Leaves out: a jet of air, which helps.

    References
    ----------
    common practice, no source

    Examples
    --------
    >>> print(f"{kept_share_quantile(0.5):.1f}")
    0.6
    """
    require_chance(chance)
    require_between("low", low, 0.0, 1.0, "")
    require_between("high", high, 0.0, 1.0, "")
    if high < low:
        raise InputRefused(f"high must be at least low {low:g}, got {high:g}")
    return low + chance * (high - low)
