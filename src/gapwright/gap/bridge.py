"""The neck of metal where two rough faces touch, and what a store must give to blow it."""

import math

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import ActionIntegral, ActionPerAreaSquared, Farads, Metres, Ohms, Volts


def neck_radius(overlap: Metres, *, asperity_radius: Metres) -> Metres:
    r"""Radius of the neck where a rounded peak is pressed flat by an overlap.

    Parameters
    ----------
    overlap
        How far the two faces would overlap, at least 0. [m]
    asperity_radius
        Radius of the rounded peak, about 5 to 20 µm, above 0. [m]

    Returns
    -------
    radius
        Radius of the touching disc. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: a = \sqrt{2 R \delta}

    Holds for an overlap that is small against the peak's radius.
    Leaves out: springing back, several peaks.

    References
    ----------
    computed from the circle

    Examples
    --------
    >>> print(f"{1e6 * neck_radius(1e-6, asperity_radius=10e-6):.2f} µm")
    4.47 µm
    """
    require_not_negative("overlap", overlap, "m")
    require_positive("asperity_radius", asperity_radius, "m")
    return math.sqrt(2.0 * asperity_radius * overlap)


def discharge_action(voltage: Volts, *, capacitance: Farads, loop_resistance: Ohms) -> ActionIntegral:
    r"""Action that a capacitor can put through a short.

    Parameters
    ----------
    voltage
        Voltage of the store, at least 0. [V]
    capacitance
        Capacitance of the store, above 0. [F]
    loop_resistance
        Resistance of the whole loop, above 0. [Ω]

    Returns
    -------
    action
        Integral of the squared current. [A²s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \int I^2 dt = \frac{C V^2}{2 R}

    Holds for any inductance, as all the energy ends in the resistance.
    Leaves out: an arc that takes part of the energy once the neck has blown.

    References
    ----------
    circuit-theory, energy of a capacitor

    Examples
    --------
    >>> print(f"{discharge_action(60.0, capacitance=10e-6, loop_resistance=0.1):.2f} A²s")
    0.18 A²s
    """
    require_not_negative("voltage", voltage, "V")
    require_positive("capacitance", capacitance, "F")
    require_positive("loop_resistance", loop_resistance, "Ω")
    return 0.5 * capacitance * voltage**2 / loop_resistance


def largest_blown_radius(action: ActionIntegral, *, metal: ActionPerAreaSquared) -> Metres:
    r"""Radius of the thickest neck that an action melts through; a thicker one stays a short.

    Parameters
    ----------
    action
        Integral of the squared current, at least 0. [A²s]
    metal
        Action that melts the metal, per square of its section: 0.8e17 for
        copper, above 0. [A²s/m⁴]

    Returns
    -------
    radius
        Radius of the thickest neck that blows. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: a = \sqrt{\frac{1}{\pi}\sqrt{\frac{1}{k}\int I^2 dt}}

    Holds for pulses too short for the neck to cool (below about 0.1 ms).
    Leaves out: heat lost to the bodies; bursting takes about twice as much as melting.

    References
    ----------
    onderdonk, fuse relation

    Examples
    --------
    >>> print(f"{1e6 * largest_blown_radius(0.18, metal=0.8e17):.1f} µm")
    21.9 µm
    """
    require_not_negative("action", action, "A²s")
    require_positive("metal", metal, "A²s/m⁴")
    return math.sqrt(math.sqrt(action / metal) / math.pi)
