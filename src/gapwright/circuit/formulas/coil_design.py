"""A coil from core data or from air: turns, flux, gap, and the inductance of a winding without a core."""

from math import sqrt

from scipy.constants import mu_0

from gapwright.base.checks import require_finite, require_positive
from gapwright.base.errors import OutOfRange
from gapwright.base.units import Amperes, Henries, Metres, Number, SquareMetres, Teslas

_INCH: Metres = 0.0254
STOUTEST = 0.8
"""Length over radius of a winding from which on Wheeler's formula is good to about a percent."""


def winding_turns(inductance: Henries, *, core_factor: Henries) -> Number:
    r"""Turns that give an inductance on a core.

    Parameters
    ----------
    inductance
        Inductance wanted, above 0. [H]
    core_factor
        Inductance of a single turn, the core's A_L, above 0. [H]

    Returns
    -------
    turns
        Turns as a number with a fraction; wind the next whole one.

    Raises
    ------
    InputRefused
        If a value is not above 0.

    Notes
    -----
    .. math:: N = \sqrt{L / A_L}

    Holds while the core is far from saturation.
    Leaves out: tolerance of the core factor, 20 to 30 % without a ground gap.

    References
    ----------
    definition

    Examples
    --------
    >>> print(f"{winding_turns(47e-6, core_factor=250e-9):.2f}")
    13.71
    """
    require_positive("inductance", inductance, "H")
    require_positive("core_factor", core_factor, "H")
    return sqrt(inductance / core_factor)


def core_flux(current: Amperes, *, inductance: Henries, turns: Number, area: SquareMetres) -> Teslas:
    r"""Flux density in a core at a current.

    Parameters
    ----------
    current
        Current through the winding. [A]
    inductance
        Inductance of the winding, above 0. [H]
    turns
        Turns of the winding, above 0.
    area
        Cross-section of the core, above 0. [m²]

    Returns
    -------
    flux
        Flux density; ferrite for power saturates at 0.3 to 0.4 T when warm. [T]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: B = \frac{L I}{N A_e}

    Holds while the inductance does not fall.
    Leaves out: fringing, and the smaller cross-section at the narrowest place.

    References
    ----------
    circuit-theory, flux of a winding

    Examples
    --------
    >>> print(f"{1e3 * core_flux(3.0638, inductance=49e-6, turns=14, area=97e-6):.1f} mT")
    110.5 mT
    """
    require_finite("current", current, "A")
    require_positive("inductance", inductance, "H")
    require_positive("turns", turns, "")
    require_positive("area", area, "m²")
    return inductance * current / (turns * area)


def core_gap(inductance: Henries, *, turns: Number, area: SquareMetres) -> Metres:
    r"""Air gap in a core that gives a winding its inductance.

    Parameters
    ----------
    inductance
        Inductance wanted, above 0. [H]
    turns
        Turns of the winding, above 0.
    area
        Cross-section of the core, above 0. [m²]

    Returns
    -------
    gap
        Whole length of air in the way of the flux; two legs share it. [m]

    Raises
    ------
    InputRefused
        If a value is not above 0.

    Notes
    -----
    .. math:: l_g = \frac{\mu_0 N^2 A_e}{L}

    Holds for a gap small against its width and a core that takes little field.
    Leaves out: fringing, which asks for a longer gap; the core's own path.

    References
    ----------
    circuit-theory, magnetic circuit

    Examples
    --------
    >>> print(f"{1e3 * core_gap(49e-6, turns=14, area=97e-6):.3f} mm")
    0.488 mm
    """
    require_positive("inductance", inductance, "H")
    require_positive("turns", turns, "")
    require_positive("area", area, "m²")
    gap: Metres = mu_0 * turns**2 * area / inductance
    return gap


def sheet_inductance(radius: Metres, *, length: Metres, turns: Number) -> Henries:
    r"""Inductance of a single layer of wire without a core.

    Parameters
    ----------
    radius
        Radius to the middle of the wire, above 0. [m]
    length
        Length of the winding, at least 0.8 of the radius. [m]
    turns
        Turns of the winding, above 0.

    Returns
    -------
    inductance
        Inductance of the winding. [H]

    Raises
    ------
    InputRefused
        If a value is not above 0.
    OutOfRange
        If the winding is too short for the formula.

    Notes
    -----
    With lengths in inches:

    .. math:: L = \frac{r^2 N^2}{9 r + 10 l} \; \mu\mathrm{H}

    Holds within about 1 % for windings longer than 0.8 of their radius, wound closely.
    Leaves out: metal near by, leads, the space between thick turns.

    References
    ----------
    wheeler-1928

    Examples
    --------
    >>> print(f"{1e6 * sheet_inductance(10e-3, length=30e-3, turns=30):.2f} µH")
    9.09 µH
    """
    require_positive("radius", radius, "m")
    require_positive("length", length, "m")
    require_positive("turns", turns, "")
    if length < STOUTEST * radius:
        raise OutOfRange(
            f"length must be at least {STOUTEST:g} of the radius of {radius:g} m, got {length:g} m; "
            "for a flatter winding this formula is off by more than a percent"
        )
    r, l = radius / _INCH, length / _INCH  # noqa: E741 - the letters of the formula
    return 1e-6 * r**2 * turns**2 / (9.0 * r + 10.0 * l)


def sheet_turns(inductance: Henries, *, radius: Metres, pitch: Metres) -> Number:
    r"""Turns of a single layer without a core that give an inductance, wound at a pitch.

    Parameters
    ----------
    inductance
        Inductance wanted, above 0. [H]
    radius
        Radius to the middle of the wire, above 0. [m]
    pitch
        Distance from turn to turn, above 0; for a close winding the diameter over the insulation. [m]

    Returns
    -------
    turns
        Turns as a number with a fraction.

    Raises
    ------
    InputRefused
        If a value is not above 0.
    OutOfRange
        If so few turns are needed that the winding is too short for the formula.

    Notes
    -----
    Wheeler's formula with :math:`l = N p`, solved for the turns:

    .. math:: r^2 N^2 - 10 p L N - 9 r L = 0

    with lengths in inches and microhenries.

    Holds within about 1 % like `sheet_inductance`.
    Leaves out: metal near by, leads.

    References
    ----------
    wheeler-1928

    Examples
    --------
    >>> print(f"{sheet_turns(9.0854e-6, radius=10e-3, pitch=1e-3):.1f}")
    30.0
    """
    require_positive("inductance", inductance, "H")
    require_positive("radius", radius, "m")
    require_positive("pitch", pitch, "m")
    r, p, L = radius / _INCH, pitch / _INCH, 1e6 * inductance
    turns = (5.0 * p * L + sqrt((5.0 * p * L) ** 2 + 9.0 * r**3 * L)) / r**2
    if turns * pitch < STOUTEST * radius:
        raise OutOfRange(
            f"the winding must be at least {STOUTEST:g} of its radius of {radius:g} m long, got "
            f"{turns * pitch:g} m; take a smaller radius"
        )
    return turns
