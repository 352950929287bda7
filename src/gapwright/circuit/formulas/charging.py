"""Charging a store through a resistor: time, energy drawn and kept, the mean power it can give."""

from math import log, log1p

from gapwright.base.checks import require_finite, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Farads, Joules, Number, Ohms, Seconds, Volts, Watts


def charging_time(
    stop: Volts, *, start: Volts = 0.0, supply: Volts, resistance: Ohms, capacitance: Farads
) -> Seconds:
    r"""Time in which a resistor charges a store from one voltage to another.

    Parameters
    ----------
    stop
        Voltage at the end, above `start` and below `supply`. [V]
    start
        Voltage at the beginning; below 0 after a discharge that rang. [V]
    supply
        Voltage of the supply, above 0. [V]
    resistance
        Charging resistor, above 0. [Ω]
    capacitance
        Capacitance of the store, above 0. [F]

    Returns
    -------
    time
        Time from `start` to `stop`. [s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: t = R C \ln\frac{V_s - V_1}{V_s - V_2}

    Holds for a stiff supply and a gap that does not conduct meanwhile.
    Leaves out: leakage of gap and capacitor, which bends the end of the curve.

    References
    ----------
    circuit-theory, charging of a capacitor

    Examples
    --------
    >>> t = charging_time(60.0, supply=80.0, resistance=220.0, capacitance=1e-6)
    >>> print(f"{1e6 * t:.0f} µs")
    305 µs
    """
    _require_rising(start, stop, supply)
    require_positive("resistance", resistance, "Ω")
    require_positive("capacitance", capacitance, "F")
    return resistance * capacitance * log((supply - start) / (supply - stop))


def _require_rising(start: Volts, stop: Volts, supply: Volts) -> None:
    """Refuse voltages that a resistor cannot charge between.

    Raises
    ------
    InputRefused
        If the three voltages do not rise in this order.
    """
    require_positive("supply", supply, "V")
    require_finite("start", start, "V")
    require_finite("stop", stop, "V")
    if not start < stop:
        raise InputRefused(
            f"stop must be above the start of {start:g} V, got {stop:g} V; charging only raises the voltage"
        )
    if not stop < supply:
        raise InputRefused(
            f"stop must be below the supply of {supply:g} V, got {stop:g} V; "
            "a resistor never charges that far"
        )


def stored_energy(stop: Volts, *, start: Volts = 0.0, capacitance: Farads) -> Joules:
    r"""Energy that a store gains between two voltages; below 0 if it loses.

    Parameters
    ----------
    stop
        Voltage at the end. [V]
    start
        Voltage at the beginning. [V]
    capacitance
        Capacitance of the store, above 0. [F]

    Returns
    -------
    energy
        Energy in the store at the end less that at the beginning. [J]

    Raises
    ------
    InputRefused
        If the capacitance is not above 0 or a voltage is not finite.

    Notes
    -----
    .. math:: W = \tfrac12 C (V_2^2 - V_1^2)

    Holds by definition for a capacitance that does not change.
    Leaves out: the fall of capacitance with voltage in ceramic capacitors of class 2.

    References
    ----------
    definition

    Examples
    --------
    >>> print(f"{1e3 * stored_energy(60.0, capacitance=1e-6):.1f} mJ")
    1.8 mJ
    """
    require_finite("stop", stop, "V")
    require_finite("start", start, "V")
    require_positive("capacitance", capacitance, "F")
    return 0.5 * capacitance * (stop**2 - start**2)


def drawn_energy(stop: Volts, *, start: Volts = 0.0, supply: Volts, capacitance: Farads) -> Joules:
    r"""Energy that the supply gives while a resistor charges a store.

    Parameters
    ----------
    stop
        Voltage at the end, above `start` and below `supply`. [V]
    start
        Voltage at the beginning; below 0 after a discharge that rang. [V]
    supply
        Voltage of the supply, above 0. [V]
    capacitance
        Capacitance of the store, above 0. [F]

    Returns
    -------
    energy
        Energy from the supply. [J]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: W = V_s C (V_2 - V_1)

    Holds whatever the resistor.
    Leaves out: leakage of gap and capacitor.

    References
    ----------
    circuit-theory, charge times voltage of the supply

    Examples
    --------
    >>> print(f"{1e3 * drawn_energy(60.0, supply=80.0, capacitance=1e-6):.1f} mJ")
    4.8 mJ
    """
    _require_rising(start, stop, supply)
    require_positive("capacitance", capacitance, "F")
    return supply * capacitance * (stop - start)


def stored_share(stop: Volts, *, start: Volts = 0.0, supply: Volts) -> Number:
    r"""Share of the energy drawn that reaches the store; the rest heats the resistor.

    Parameters
    ----------
    stop
        Voltage at the end, above `start` and below `supply`. [V]
    start
        Voltage at the beginning; below 0 after a discharge that rang. [V]
    supply
        Voltage of the supply, above 0. [V]

    Returns
    -------
    share
        Energy gained over energy drawn.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \frac{V_2 + V_1}{2 V_s}

    Holds whatever resistor and capacitance; a full charge from 0 V nears one half.
    Leaves out: leakage of gap and capacitor.

    References
    ----------
    circuit-theory, ratio of the two energies

    Examples
    --------
    >>> print(f"{stored_share(60.0, supply=80.0):.3f}")
    0.375
    """
    _require_rising(start, stop, supply)
    return 0.5 * (stop + start) / supply


def mean_charging_power(stop: Volts, *, supply: Volts, resistance: Ohms) -> Watts:
    r"""Mean power of a store that is charged from 0 V and emptied again and again.

    Parameters
    ----------
    stop
        Voltage at which it is emptied, above 0 and below `supply`. [V]
    supply
        Voltage of the supply, above 0. [V]
    resistance
        Charging resistor, above 0. [Ω]

    Returns
    -------
    power
        Energy of a charge over the time it takes. [W]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: P = \frac{V^2}{2 R \ln\frac{V_s}{V_s - V}}

    Holds where emptying is short against charging and leaves 0 V; the capacitance cancels.
    It is largest at about 0.72 of the supply.
    Leaves out: what the discharge leaves in the store, chance in the breakdown.

    References
    ----------
    circuit-theory, energy of a charge over charging time

    Examples
    --------
    >>> print(f"{mean_charging_power(57.2, supply=80.0, resistance=220.0):.2f} W")
    5.92 W
    """
    _require_rising(0.0, stop, supply)
    require_positive("resistance", resistance, "Ω")
    return -0.5 * stop**2 / (resistance * log1p(-stop / supply))
