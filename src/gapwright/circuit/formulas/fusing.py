"""How deep alternating current goes into a wire, and at what current it melts."""

from math import log10, pi, sqrt

from scipy.constants import inch, mu_0, zero_Celsius

from gapwright.base.checks import require_positive
from gapwright.base.errors import OutOfRange
from gapwright.base.units import (
    ActionIntegral,
    Amperes,
    HenriesPerMetre,
    Hertz,
    Kelvins,
    Metres,
    Resistivity,
    Seconds,
    SquareMetres,
)

CIRCULAR_MIL: SquareMetres = pi / 4.0 * (inch / 1000.0) ** 2
"""Area of a circle of a thousandth of an inch [m²]."""

COPPER_MELTS: Kelvins = 1083.0 + zero_Celsius
"""Melting point of copper as Onderdonk's equation takes it [K]."""

_MU: HenriesPerMetre = mu_0

_PREECE = 10244.0 / inch**1.5
"""Preece's constant of copper, 10244 for amperes and inches, in A/m^1.5."""


def skin_depth(frequency: Hertz, *, resistivity: Resistivity) -> Metres:
    r"""Depth at which alternating current has fallen to 1/e of that at the surface.

    Parameters
    ----------
    frequency
        Frequency of the current, above 0. [Hz]
    resistivity
        Resistivity of the metal, above 0; the metal is not magnetic. [Ω·m]

    Returns
    -------
    depth
        Depth below the surface. [m]

    Raises
    ------
    InputRefused
        If a value is not above 0.

    Notes
    -----
    .. math:: \delta = \sqrt{\frac{\rho}{\pi f \mu_0}}

    Holds for a sine and a conductor thick against the depth.
    Leaves out: magnetic metals; pulses, which hold many frequencies.

    References
    ----------
    circuit-theory, diffusion of a field into a plane conductor

    Examples
    --------
    >>> print(f"{1e3 * skin_depth(40e3, resistivity=1.7241e-8):.2f} mm")
    0.33 mm
    """
    require_positive("frequency", frequency, "Hz")
    require_positive("resistivity", resistivity, "Ω·m")
    return sqrt(resistivity / (pi * frequency * _MU))


def skin_frequency(depth: Metres, *, resistivity: Resistivity) -> Hertz:
    r"""Frequency at which the skin depth has a given size, such as the radius of a wire.

    Parameters
    ----------
    depth
        Skin depth, above 0. [m]
    resistivity
        Resistivity of the metal, above 0; the metal is not magnetic. [Ω·m]

    Returns
    -------
    frequency
        Frequency of a sine with that depth. [Hz]

    Raises
    ------
    InputRefused
        If a value is not above 0.

    Notes
    -----
    .. math:: f = \frac{\rho}{\pi \mu_0 \delta^2}

    Holds for a sine and a conductor thick against the depth.
    Leaves out: magnetic metals.

    References
    ----------
    circuit-theory, diffusion of a field into a plane conductor

    Examples
    --------
    >>> print(f"{1e-3 * skin_frequency(0.2553e-3, resistivity=1.7241e-8):.0f} kHz")
    67 kHz
    """
    require_positive("depth", depth, "m")
    require_positive("resistivity", resistivity, "Ω·m")
    return resistivity / (pi * _MU * depth**2)


def slow_fusing_current(diameter: Metres) -> Amperes:
    r"""Steady current at which a copper wire in still air melts in the end.

    Parameters
    ----------
    diameter
        Diameter of the wire, above 0. [m]

    Returns
    -------
    current
        Least current that melts it. [A]

    Raises
    ------
    InputRefused
        If the diameter is not above 0.

    Notes
    -----
    With the diameter in inches:

    .. math:: I = 10244 \, d^{3/2}

    Holds for bare wires of some centimetres in air.
    Leaves out: insulation, bundles, clamps that cool a short wire; wires below some 0.1 mm.

    References
    ----------
    preece

    Examples
    --------
    >>> print(f"{slow_fusing_current(0.5106e-3):.1f} A")
    29.2 A
    """
    require_positive("diameter", diameter, "m")
    current: Amperes = _PREECE * diameter**1.5
    return current


def slow_fusing_diameter(current: Amperes) -> Metres:
    r"""Diameter of a copper wire that a steady current in still air melts in the end.

    Parameters
    ----------
    current
        Steady current, above 0. [A]

    Returns
    -------
    diameter
        Diameter of the thickest wire that melts. [m]

    Raises
    ------
    InputRefused
        If the current is not above 0.

    Notes
    -----
    In inches:

    .. math:: d = (I / 10244)^{2/3}

    Holds for bare wires of some centimetres in air.
    Leaves out: insulation, bundles, clamps that cool a short wire; wires below some 0.1 mm.

    References
    ----------
    preece

    Examples
    --------
    >>> print(f"{1e3 * slow_fusing_diameter(10.0):.2f} mm")
    0.25 mm
    """
    require_positive("current", current, "A")
    diameter: Metres = (current / _PREECE) ** (2.0 / 3.0)
    return diameter


def fusing_action(area: SquareMetres, *, ambient: Kelvins = 298.15) -> ActionIntegral:
    r"""Action integral that melts a copper wire which has no time to cool.

    Parameters
    ----------
    area
        Cross-section of the metal, above 0. [m²]
    ambient
        Temperature before, above 0 and below the melting point. [K]

    Returns
    -------
    action
        Integral of the current squared up to melting. [A²s]

    Raises
    ------
    InputRefused
        If a value is not above 0.
    OutOfRange
        If the wire is at its melting point already.

    Notes
    -----
    With the area in circular mils and temperatures in °C:

    .. math:: \int I^2 dt = \frac{A^2}{33} \log_{10}\left(\frac{1083 - T}{234 + T} + 1\right)

    Holds for up to about ten seconds, since no heat is to leave the wire.
    Leaves out: latent heat and all cooling. Some prints have 234 - T, which is wrong.

    References
    ----------
    onderdonk

    Examples
    --------
    >>> print(f"{fusing_action(0.2047e-6):.0f} A²s")
    3493 A²s
    """
    require_positive("area", area, "m²")
    require_positive("ambient", ambient, "K")
    if ambient >= COPPER_MELTS:
        raise OutOfRange(
            f"ambient must be below the melting point {COPPER_MELTS:g} K, got {ambient:g} K; "
            "the wire is molten"
        )
    T = ambient - zero_Celsius
    rise = log10((COPPER_MELTS - ambient) / (234.0 + T) + 1.0)
    return (area / CIRCULAR_MIL) ** 2 * rise / 33.0


def fast_fusing_current(area: SquareMetres, *, duration: Seconds, ambient: Kelvins = 298.15) -> Amperes:
    r"""Current that melts a copper wire within a short time.

    Parameters
    ----------
    area
        Cross-section of the metal, above 0. [m²]
    duration
        Time to melting, above 0 and at most 10 s. [s]
    ambient
        Temperature before, above 0 and below the melting point. [K]

    Returns
    -------
    current
        Steady current that melts it in that time. [A]

    Raises
    ------
    InputRefused
        If a value is not above 0.
    OutOfRange
        If the wire is at its melting point already, or the time is above 10 s.

    Notes
    -----
    .. math:: I = \sqrt{\frac1t \int I^2 dt}

    with the action integral that melts the wire.
    Holds for up to about ten seconds (from memory); afterwards a wire loses heat.
    Leaves out: latent heat and all cooling.

    References
    ----------
    onderdonk

    Examples
    --------
    >>> print(f"{fast_fusing_current(0.2047e-6, duration=1.0):.1f} A")
    59.1 A
    """
    require_positive("duration", duration, "s")
    if duration > 10.0:
        raise OutOfRange(
            f"duration must be at most 10 s, got {duration:g} s; a wire then loses heat: "
            "take the slow fusing current"
        )
    return sqrt(fusing_action(area, ambient=ambient) / duration)
