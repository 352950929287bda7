"""Cables whose field stays near: coaxial, twisted; the resistance of a round wire with skin effect."""

from math import acosh, log, pi, sqrt

from scipy.constants import mu_0
from scipy.special import ive

from gapwright.base.checks import require_between, require_not_negative, require_positive
from gapwright.base.errors import OutOfRange
from gapwright.base.units import Henries, HenriesPerMetre, Hertz, Metres, Number, Ohms, Resistivity
from gapwright.circuit.formulas.fusing import skin_depth
from gapwright.circuit.formulas.wire import FILLED

_MU: HenriesPerMetre = mu_0

STEEPEST = 45.0
"""Angle of a twist beyond which a pair is no longer nearly straight [°]."""


def coaxial_inductance(
    length: Metres, *, radius: Metres, shield_radius: Metres, internal: Number = FILLED
) -> Henries:
    r"""Inductance of a coaxial cable, go inside and return in the shield.

    Parameters
    ----------
    length
        Length of the cable, above 0. [m]
    radius
        Radius of the inner conductor, above 0. [m]
    shield_radius
        Inner radius of the shield, above `radius`. [m]
    internal
        Internal part of the inner conductor, from 0 (current on the skin) to 0.25 (current fills it).

    Returns
    -------
    inductance
        Inductance of both conductors together. [H]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.
    OutOfRange
        If the shield does not lie outside the inner conductor.

    Notes
    -----
    .. math:: L = \frac{\mu_0 l}{2 \pi} \left(\ln\frac{b}{a} + \lambda\right)

    Holds for a thin shield and a cable long against its radius.
    Leaves out: the field inside the shield's own metal, the open ends.

    References
    ----------
    from memory; Ampère's law between two cylinders

    Examples
    --------
    >>> print(f"{1e9 * coaxial_inductance(1.0, radius=0.45e-3, shield_radius=1.5e-3, internal=0.0):.0f} nH")
    241 nH
    """
    require_positive("length", length, "m")
    require_positive("radius", radius, "m")
    require_positive("shield_radius", shield_radius, "m")
    require_between("internal", internal, 0.0, FILLED, "")
    if shield_radius <= radius:
        raise OutOfRange(
            f"shield_radius must be above the inner radius of {radius:g} m, got {shield_radius:g} m; "
            "it is measured to the inside of the shield"
        )
    return _MU * length / (2.0 * pi) * (log(shield_radius / radius) + internal)


def twisted_inductance(length: Metres, *, spacing: Metres, radius: Metres, lay: Metres) -> Henries:
    r"""Inductance of a twisted pair at high frequency.

    Parameters
    ----------
    length
        Length of the twisted pair, above 0. [m]
    spacing
        Distance of the axes of the wires: for touching wires the diameter over their insulation. [m]
    radius
        Radius of the metal of each wire, above 0 and below half of `spacing`. [m]
    lay
        Length in which the pair makes one whole turn, above 0. [m]

    Returns
    -------
    inductance
        Inductance of both wires together. [H]

    Raises
    ------
    InputRefused
        If a value is not above 0.
    OutOfRange
        If the wires would overlap, or the twist is steeper than 45°.

    Notes
    -----
    .. math:: L = \frac{\mu_0 l}{\pi} \operatorname{arcosh}\frac{D}{2 r}
        \sqrt{1 + (\pi D / p)^2}

    Holds where the current flows on the skin, for twists up to 45°: each wire is longer than the pair
    by the root, and neighbouring turns of the twist hardly act on each other.
    Leaves out: what is inside the metal, which adds at most 25 % of a straight wire's own part.

    References
    ----------
    from memory; line of two round wires, made longer by its twist

    Examples
    --------
    >>> print(f"{1e9 * twisted_inductance(0.15, spacing=2.4e-3, radius=0.69e-3, lay=30e-3):.0f} nH")
    71 nH
    """
    require_positive("length", length, "m")
    require_positive("spacing", spacing, "m")
    require_positive("radius", radius, "m")
    require_positive("lay", lay, "m")
    if spacing <= 2.0 * radius:
        raise OutOfRange(
            f"spacing must be above {2.0 * radius:g} m, twice the radius, got {spacing:g} m; "
            "it is measured from axis to axis"
        )
    if lay < pi * spacing:
        raise OutOfRange(
            f"lay must be at least {pi * spacing:g} m, a twist of {STEEPEST:g}°, got {lay:g} m; "
            "this law takes the wires as nearly straight"
        )
    return _MU * length / pi * acosh(0.5 * spacing / radius) * sqrt(1.0 + (pi * spacing / lay) ** 2)


def skin_factor(radius: Metres, *, frequency: Hertz, resistivity: Resistivity) -> Number:
    r"""Resistance of a round wire at a frequency, over its resistance to direct current.

    Parameters
    ----------
    radius
        Radius of the metal, above 0. [m]
    frequency
        Frequency of the current, at least 0. [Hz]
    resistivity
        Resistivity of the metal, above 0. [Ω·m]

    Returns
    -------
    factor
        At least 1; 1 for direct current.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    With the skin depth :math:`\delta` and modified Bessel functions:

    .. math:: \frac{R}{R_0} = \operatorname{Re} \frac{k a \, I_0(k a)}{2 \, I_1(k a)}, \quad
        k = \frac{1 + j}{\delta}

    Holds for a single straight wire without magnetic properties.
    Leaves out: crowding by a wire near by, which adds some tens of percent in a tight pair.

    References
    ----------
    rosa-grover-1912

    Examples
    --------
    >>> print(f"{skin_factor(0.69e-3, frequency=400e3, resistivity=1.7241e-8):.2f}")
    3.57
    """
    require_positive("radius", radius, "m")
    require_not_negative("frequency", frequency, "Hz")
    require_positive("resistivity", resistivity, "Ω·m")
    if frequency == 0.0:
        return 1.0
    z = (1.0 + 1.0j) * radius / skin_depth(frequency, resistivity=resistivity)
    return float((0.5 * z * ive(0, z) / ive(1, z)).real)


def round_wire_resistance(
    length: Metres, *, radius: Metres, frequency: Hertz, resistivity: Resistivity
) -> Ohms:
    r"""Resistance of a round wire at a frequency, skin effect included.

    Parameters
    ----------
    length
        Length of the wire, above 0. [m]
    radius
        Radius of the metal, above 0. [m]
    frequency
        Frequency of the current, at least 0. [Hz]
    resistivity
        Resistivity of the metal, above 0. [Ω·m]

    Returns
    -------
    resistance
        Resistance from end to end. [Ω]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: R = \frac{\rho l}{\pi a^2} \cdot \frac{R}{R_0}

    with the skin factor of `skin_factor`.
    Holds for a single straight wire without magnetic properties.
    Leaves out: crowding by a wire near by; joints and terminals.

    References
    ----------
    rosa-grover-1912

    Examples
    --------
    >>> ohms = round_wire_resistance(0.3, radius=0.69e-3, frequency=400e3, resistivity=1.7241e-8)
    >>> print(f"{1e3 * ohms:.1f} mΩ")
    12.3 mΩ
    """
    require_positive("length", length, "m")
    factor = skin_factor(radius, frequency=frequency, resistivity=resistivity)
    return resistivity * length / (pi * radius**2) * factor
