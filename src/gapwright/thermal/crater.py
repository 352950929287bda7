"""The crater of one spark: width, depth, and the largest spark that an electrode can bear."""

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import CubicMetres, Joules, Metres, Number
from gapwright.thermal import _kernel
from gapwright.thermal.removal import USUAL, RemovalLaw

ROD_SHARE = 0.2
"""Largest crater on a rod, as a share of its diameter (common practice)."""

WALL_SHARE = 0.5
"""Largest crater on a tube, as a share of its wall (common practice)."""


def crater_width(energy: Joules, *, law: RemovalLaw = USUAL) -> Metres:
    r"""Width of the crater of one spark.

    Parameters
    ----------
    energy
        Gap energy of the spark, above 0. [J]
    law
        The law's constants.

    Returns
    -------
    width
        Width of the crater, rim to rim. [m]

    Raises
    ------
    InputRefused
        If the energy is not above 0.

    Notes
    -----
    .. math:: d = 6.8 \times 10^{-4}\, (E / 1\,\mathrm{J})^{0.34}

    Holds for steel in a liquid from 0.5 µJ to 0.1 J, give or take 40 %.
    Leaves out: material, current, overlap of craters.

    References
    ----------
    from memory, composite of crater studies

    Examples
    --------
    >>> print(f"{1e6 * crater_width(1e-3):.0f} µm")
    65 µm
    """
    require_positive("energy", energy, "J")
    return _kernel.crater_width(energy, law.constants)


def crater_depth(volume: CubicMetres, *, width: Metres) -> Metres:
    r"""Depth of a crater from its volume and width.

    Parameters
    ----------
    volume
        Volume of the crater, at least 0. [m³]
    width
        Width of the crater, above 0. [m]

    Returns
    -------
    depth
        Depth in the middle. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: h = \frac{8 V}{\pi d^2}

    Holds for a parabolic bowl. Leaves out: the rim, metal that freezes again.

    References
    ----------
    computed from the paraboloid

    Examples
    --------
    >>> print(f"{1e6 * crater_depth(4e-15, width=65e-6):.1f} µm")
    2.4 µm
    """
    require_not_negative("volume", volume, "m³")
    require_positive("width", width, "m")
    return _kernel.crater_depth(volume, width)


def energy_of_width(width: Metres, *, law: RemovalLaw = USUAL) -> Joules:
    r"""Spark energy whose crater has a given width.

    Parameters
    ----------
    width
        Width of the crater, above 0. [m]
    law
        The law's constants.

    Returns
    -------
    energy
        Gap energy of the spark. [J]

    Raises
    ------
    InputRefused
        If the width is not above 0.

    Notes
    -----
    .. math:: E = \left(\frac{d}{6.8 \times 10^{-4}}\right)^{1/0.34}

    Holds where `crater_width` does; 40 % of width is a factor 2.7 of energy.
    Leaves out: material, current.

    References
    ----------
    from memory, composite of crater studies

    Examples
    --------
    >>> print(f"{1e3 * energy_of_width(100e-6):.1f} mJ")
    3.6 mJ
    """
    require_positive("width", width, "m")
    energy: Joules = (width / law.width_scale) ** (1.0 / law.width_exponent)
    return energy


def largest_crater_on_rod(diameter: Metres, *, share: Number = ROD_SHARE) -> Metres:
    r"""Largest crater that a rod electrode bears.

    Parameters
    ----------
    diameter
        Diameter of the rod, above 0. [m]
    share
        Largest crater as a share of the diameter, above 0.

    Returns
    -------
    width
        Largest width of a crater. [m]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: d \le 0.2\, D

    Holds as a rule of the trade. Leaves out: the finish that is wanted.

    References
    ----------
    common practice, no source

    Examples
    --------
    >>> print(f"{1e3 * energy_of_width(largest_crater_on_rod(0.5e-3)):.1f} mJ")
    3.6 mJ
    """
    require_positive("diameter", diameter, "m")
    require_positive("share", share, "")
    return share * diameter


def largest_crater_on_tube(wall: Metres, *, share: Number = WALL_SHARE) -> Metres:
    r"""Largest crater that a tube electrode bears.

    Parameters
    ----------
    wall
        Thickness of the tube's wall, above 0. [m]
    share
        Largest crater as a share of the wall, above 0.

    Returns
    -------
    width
        Largest width of a crater. [m]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: d \le 0.5\, w

    Holds as a rule of the trade. Leaves out: the finish that is wanted.

    References
    ----------
    common practice, no source

    Examples
    --------
    >>> print(f"{1e3 * energy_of_width(largest_crater_on_tube(0.15e-3)):.1f} mJ")
    1.5 mJ
    """
    require_positive("wall", wall, "m")
    require_positive("share", share, "")
    return share * wall
