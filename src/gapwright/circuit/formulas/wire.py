"""Inductance of wires: straight, as a pair, as a loop; with current inside the metal or on its skin.

`internal` tells the two apart: 0.25 where the current fills the wire, as at low
frequency, 0 where it flows on the skin.
"""

from math import acosh, log, pi

from scipy.constants import mu_0

from gapwright.base.checks import require_between, require_positive
from gapwright.base.errors import OutOfRange
from gapwright.base.units import Henries, HenriesPerMetre, Metres, Number

_MU: HenriesPerMetre = mu_0

FILLED: Number = 0.25
"""Internal part of a wire that the current fills evenly."""

SLENDER = 10.0
"""Length over diameter, or loop over wire radius, from which on the laws leave out little."""


def straight_inductance(length: Metres, *, diameter: Metres, internal: Number = FILLED) -> Henries:
    r"""Inductance of a straight round wire by itself.

    Parameters
    ----------
    length
        Length of the wire, at least ten diameters. [m]
    diameter
        Diameter of the metal, above 0. [m]
    internal
        Internal part, from 0 (current on the skin) to 0.25 (current fills the wire).

    Returns
    -------
    inductance
        Part of the inductance of a whole loop that this wire makes. [H]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.
    OutOfRange
        If the wire is shorter than ten diameters.

    Notes
    -----
    .. math:: L = \frac{\mu_0 l}{2 \pi} \left(\ln\frac{4 l}{d} - 1 + \lambda\right)

    Holds for a slender wire far from its return.
    Leaves out: terms of the ends, 0.1 % at a hundred diameters; the return, which lowers the sum.

    References
    ----------
    grover
    rosa-1908

    Examples
    --------
    >>> print(f"{1e9 * straight_inductance(0.1, diameter=1e-3):.1f} nH")
    104.8 nH
    """
    _require_slender("length", length, "diameter", diameter)
    require_between("internal", internal, 0.0, FILLED, "")
    return _MU * length / (2.0 * pi) * (log(4.0 * length / diameter) - 1.0 + internal)


def _require_slender(name: str, long: Metres, other: str, thick: Metres) -> None:
    """Refuse a conductor too stout for the expansion in its slenderness."""
    require_positive(name, long, "m")
    require_positive(other, thick, "m")
    if long < SLENDER * thick:
        raise OutOfRange(
            f"{name} must be at least {SLENDER:g} times the {other} of {thick:g} m, got {long:g} m; "
            "ends and bends of so stout a conductor are not in this law"
        )


def _require_apart(spacing: Metres, radius: Metres) -> None:
    """Refuse wires that would overlap."""
    require_positive("spacing", spacing, "m")
    require_positive("radius", radius, "m")
    if spacing <= 2.0 * radius:
        raise OutOfRange(
            f"spacing must be above {2.0 * radius:g} m, twice the radius, got {spacing:g} m; "
            "it is measured from axis to axis"
        )


def pair_inductance(length: Metres, *, spacing: Metres, radius: Metres, internal: Number = FILLED) -> Henries:
    r"""Inductance of a go and a return wire side by side.

    Parameters
    ----------
    length
        Length of the pair, one way, at least ten times `spacing`. [m]
    spacing
        Distance from axis to axis, above twice the radius. [m]
    radius
        Radius of the metal of each wire, above 0. [m]
    internal
        Internal part, from 0 (current on the skin) to 0.25 (current fills the wires).

    Returns
    -------
    inductance
        Inductance of both wires together. [H]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.
    OutOfRange
        If the wires would overlap, or the pair is too short for its spacing.

    Notes
    -----
    .. math:: L = \frac{\mu_0 l}{\pi} \left(\ln\frac Dr + \lambda - \frac Dl\right)

    Holds for a pair long against its spacing.
    Leaves out: the wires that close its ends; currents that crowd where wires lie close.

    References
    ----------
    rosa-1908

    Examples
    --------
    >>> print(f"{1e9 * pair_inductance(1.0, spacing=10e-3, radius=0.5e-3):.0f} nH")
    1294 nH
    """
    _require_apart(spacing, radius)
    _require_slender("length", length, "spacing", spacing)
    require_between("internal", internal, 0.0, FILLED, "")
    return _MU * length / pi * (log(spacing / radius) + internal - spacing / length)


def line_inductance(spacing: Metres, *, radius: Metres) -> HenriesPerMetre:
    r"""Inductance of a metre of go and return wire at high frequency.

    Parameters
    ----------
    spacing
        Distance from axis to axis, above twice the radius. [m]
    radius
        Radius of the metal of each wire, above 0. [m]

    Returns
    -------
    inductance
        Inductance of both wires for a metre of the pair. [H/m]

    Raises
    ------
    InputRefused
        If a value is not above 0.
    OutOfRange
        If the wires would overlap.

    Notes
    -----
    .. math:: L' = \frac{\mu_0}{\pi} \operatorname{arcosh}\frac{D}{2 r}

    Holds where the current flows on the skin, also for wires that lie close.
    Leaves out: the ends; what is inside the metal at low frequency.

    References
    ----------
    from memory; line of two round wires

    Examples
    --------
    >>> print(f"{1e9 * line_inductance(10e-3, radius=0.5e-3):.0f} nH/m")
    1197 nH/m
    """
    _require_apart(spacing, radius)
    return _MU / pi * acosh(0.5 * spacing / radius)


def loop_inductance(radius: Metres, *, wire_radius: Metres, internal: Number = FILLED) -> Henries:
    r"""Inductance of a round loop of wire.

    Parameters
    ----------
    radius
        Radius of the loop to the axis of the wire, at least ten times `wire_radius`. [m]
    wire_radius
        Radius of the metal of the wire, above 0. [m]
    internal
        Internal part, from 0 (current on the skin) to 0.25 (current fills the wire).

    Returns
    -------
    inductance
        Inductance of the loop. [H]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.
    OutOfRange
        If the wire is too thick for the loop.

    Notes
    -----
    .. math:: L = \mu_0 R \left(\ln\frac{8 R}{a} - 2 + \lambda\right)

    Holds for a wire thin against the loop.
    Leaves out: terms of the square of wire over loop radius, metal near by.

    References
    ----------
    rosa-1908

    Examples
    --------
    >>> print(f"{1e9 * loop_inductance(50e-3, wire_radius=0.5e-3):.0f} nH")
    310 nH
    """
    _require_slender("radius", radius, "wire_radius", wire_radius)
    require_between("internal", internal, 0.0, FILLED, "")
    return _MU * radius * (log(8.0 * radius / wire_radius) - 2.0 + internal)
