"""Leakage through conductive water: past the sparks, and into a false touch."""

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import Conductivity, Metres, Ohms, Seconds, Siemens, SquareMetres, Volts


def conductance(area: SquareMetres, gap: Metres, *, conductivity: Conductivity) -> Siemens:
    r"""Conductance of a thin layer of liquid between two faces.

    Parameters
    ----------
    area
        Area that faces, at least 0. [m²]
    gap
        Distance between the faces, above 0. [m]
    conductivity
        Conductivity of the liquid, at least 0. [S/m]

    Returns
    -------
    conductance
        Conductance of the layer. [S]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: G = \sigma A / g

    Holds where the gap is thin against the faces; add layers by adding conductances.
    Leaves out: debris and bubbles, polarisation at the metal, warming of the liquid.

    References
    ----------
    circuit-theory, Ohm's law

    Examples
    --------
    >>> G = conductance(0.785e-6, 10e-6, conductivity=1e-3)
    >>> print(f"{1e3 * 100 * G:.2f} mA at 100 V")
    7.85 mA at 100 V
    """
    require_not_negative("area", area, "m²")
    require_positive("gap", gap, "m")
    require_not_negative("conductivity", conductivity, "S/m")
    return conductivity * area / gap


def false_touch_resistance(area: SquareMetres, gap: Metres, *, conductivity: Conductivity) -> Ohms:
    r"""Resistance that a meter reads across an open gap full of conductive liquid.

    Parameters
    ----------
    area
        Area that faces, above 0. [m²]
    gap
        Distance between the faces, above 0. [m]
    conductivity
        Conductivity of the liquid, above 0. [S/m]

    Returns
    -------
    resistance
        What the meter reads though nothing touches. [Ω]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: R = \frac{g}{\sigma A}

    Holds where the gap is thin against the faces.
    Leaves out: the side of the electrode, polarisation at the metal.

    References
    ----------
    circuit-theory, Ohm's law

    Examples
    --------
    >>> print(f"{false_touch_resistance(0.785e-6, 10e-6, conductivity=0.01):.0f} Ω")
    1274 Ω
    """
    require_positive("area", area, "m²")
    require_positive("conductivity", conductivity, "S/m")
    return 1.0 / conductance(area, gap, conductivity=conductivity)


def leaked_open_voltage(supply: Volts, *, resistance: Ohms, leakage: Siemens) -> Volts:
    r"""Voltage to which a resistor charges a gap that leaks.

    Parameters
    ----------
    supply
        Voltage behind the resistor, at least 0. [V]
    resistance
        Charging resistance, at least 0. [Ω]
    leakage
        Conductance of the gap, at least 0. [S]

    Returns
    -------
    voltage
        Voltage reached after long charging. [V]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: V_\infty = \frac{V_0}{1 + R G}

    Holds for a steady gap.
    Leaves out: leakage of the capacitor itself.

    References
    ----------
    circuit-theory, voltage divider

    Examples
    --------
    >>> print(f"{leaked_open_voltage(100.0, resistance=1e3, leakage=0.785e-3):.1f} V")
    56.0 V
    """
    require_not_negative("supply", supply, "V")
    require_not_negative("resistance", resistance, "Ω")
    require_not_negative("leakage", leakage, "S")
    return supply / (1.0 + resistance * leakage)


def leaked_time_constant(time_constant: Seconds, *, resistance: Ohms, leakage: Siemens) -> Seconds:
    r"""Time constant of a resistor-charged store across a gap that leaks.

    Parameters
    ----------
    time_constant
        Resistance times capacitance, above 0. [s]
    resistance
        Charging resistance, at least 0. [Ω]
    leakage
        Conductance of the gap, at least 0. [S]

    Returns
    -------
    time_constant
        Time constant with the leak. [s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \tau = \frac{R C}{1 + R G}

    Holds for a steady gap.
    Leaves out: leakage of the capacitor itself.

    References
    ----------
    circuit-theory, voltage divider

    Examples
    --------
    >>> tau = leaked_time_constant(100e-6, resistance=1e3, leakage=0.785e-3)
    >>> print(f"{1e6 * tau:.1f} µs")
    56.0 µs
    """
    require_positive("time_constant", time_constant, "s")
    require_not_negative("resistance", resistance, "Ω")
    require_not_negative("leakage", leakage, "S")
    return time_constant / (1.0 + resistance * leakage)
