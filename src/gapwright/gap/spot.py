"""A small touching spot under steady current: its voltage, resistance and what melts it."""

import math

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Kelvins, LorenzNumber, Metres, Ohms, Resistivity, Volts

LORENZ: LorenzNumber = 2.45e-8
"""Lorenz number of a metal, after Wiedemann and Franz [V²/K²]."""

ROOM: Kelvins = 293.0
"""Temperature of cold contacts [K]."""


def contact_voltage(
    temperature: Kelvins, *, ambient: Kelvins = ROOM, lorenz_number: LorenzNumber = LORENZ
) -> Volts:
    r"""Voltage across a touching spot that heats its middle to a temperature.

    With the melting point it is the melting voltage, with the boiling point the
    boiling voltage.

    Parameters
    ----------
    temperature
        Temperature of the middle, at least the ambient. [K]
    ambient
        Temperature of the metal far away, above 0. [K]
    lorenz_number
        Lorenz number of the metal, above 0. [V²/K²]

    Returns
    -------
    voltage
        Voltage across the spot. [V]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: V = 2 \sqrt{L (T^2 - T_0^2)}

    Holds for steady current through a spot that is small against the bodies.
    Leaves out: films and oxides, metals whose Lorenz number drifts, graphite.

    References
    ----------
    kohlrausch, voltage and temperature of a contact

    Examples
    --------
    Copper melts at:

    >>> print(f"{contact_voltage(1357.77):.3f} V")
    0.415 V
    """
    require_positive("ambient", ambient, "K")
    require_positive("lorenz_number", lorenz_number, "V²/K²")
    if not temperature >= ambient:
        raise InputRefused(f"temperature must be at least the ambient {ambient:g} K, got {temperature:g} K")
    return 2.0 * math.sqrt(lorenz_number * (temperature**2 - ambient**2))


def spot_resistance(radius: Metres, *, resistivity: Resistivity) -> Ohms:
    r"""Resistance of a round touching spot between two cold bodies.

    Parameters
    ----------
    radius
        Radius of the spot, above 0. [m]
    resistivity
        Resistivity of the cold metal, above 0. [Ω·m]

    Returns
    -------
    resistance
        Resistance of the constriction on both sides together. [Ω]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: R = \frac{\rho}{2 a}

    Holds for a spot that is small against the bodies and cold.
    Leaves out: films, several spots, spots below the electrons' free path (0.04 µm).

    References
    ----------
    holm, constriction resistance

    Examples
    --------
    >>> print(f"{1e3 * spot_resistance(1e-6, resistivity=1.7e-8):.1f} mΩ")
    8.5 mΩ
    """
    require_positive("radius", radius, "m")
    require_positive("resistivity", resistivity, "Ω·m")
    return resistivity / (2.0 * radius)


def melting_current(
    radius: Metres, *, resistivity: Resistivity, melting_point: Kelvins, ambient: Kelvins = ROOM
) -> Amperes:
    r"""Steady current that melts a round touching spot.

    Parameters
    ----------
    radius
        Radius of the spot, above 0. [m]
    resistivity
        Resistivity of the cold metal, above 0. [Ω·m]
    melting_point
        Melting point of the metal, above the ambient. [K]
    ambient
        Temperature of the metal far away, above 0. [K]

    Returns
    -------
    current
        Current at which the middle of the spot melts. [A]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    With a resistivity that grows as the temperature,

    .. math:: I = \frac{4 a \sqrt{L} T_0}{\rho_0} \arccos\frac{T_0}{T_m}

    Holds for steady current through a spot that is small against the bodies.
    Leaves out: films, a softening metal that widens the spot.

    References
    ----------
    kohlrausch, integrated over the constriction (computed)

    Examples
    --------
    >>> print(f"{melting_current(1e-6, resistivity=1.7e-8, melting_point=1357.77):.1f} A")
    14.6 A
    """
    require_positive("radius", radius, "m")
    require_positive("resistivity", resistivity, "Ω·m")
    require_positive("ambient", ambient, "K")
    if not melting_point > ambient:
        raise InputRefused(f"melting_point must be above the ambient {ambient:g} K, got {melting_point:g} K")
    return 4.0 * radius * math.sqrt(LORENZ) * ambient / resistivity * math.acos(ambient / melting_point)
