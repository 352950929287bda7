"""What the store goes through: how fast it empties after the supply is off, and the ripple it carries."""

from math import log, sqrt

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import ActionIntegral, Amperes, Farads, Hertz, Ohms, Seconds, Volts


def bleed_time(voltage: Volts, *, left: Volts, resistance: Ohms, capacitance: Farads) -> Seconds:
    r"""Time in which a bleeder brings a store down to a voltage.

    Parameters
    ----------
    voltage
        Voltage of the store when the supply goes off, above 0. [V]
    left
        Voltage that may be left, above 0. [V]
    resistance
        Bleeder across the store, above 0. [Ω]
    capacitance
        Capacitance of the store, above 0. [F]

    Returns
    -------
    time
        Time until the store has fallen to that voltage; 0 if it is never above. [s]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: t = R C \ln(V_0 / V)

    Holds with the supply cut off from the store.
    Leaves out: leakage of the capacitor, the way back through charger and supply.

    References
    ----------
    circuit-theory, discharge of a capacitor

    Examples
    --------
    >>> print(f"{bleed_time(100.0, left=60.0, resistance=19.6e3, capacitance=100e-6):.2f} s")
    1.00 s
    """
    require_positive("voltage", voltage, "V")
    require_positive("left", left, "V")
    require_positive("resistance", resistance, "Ω")
    require_positive("capacitance", capacitance, "F")
    return max(0.0, resistance * capacitance * log(voltage / left))


def largest_bleeder(voltage: Volts, *, left: Volts, time: Seconds, capacitance: Farads) -> Ohms:
    r"""Largest bleeder that brings a store down to a voltage in time.

    Parameters
    ----------
    voltage
        Voltage of the store when the supply goes off, above `left`. [V]
    left
        Voltage that may be left, above 0. [V]
    time
        Time allowed, above 0. [s]
    capacitance
        Capacitance of the store, above 0. [F]

    Returns
    -------
    resistance
        Largest resistance across the store. [Ω]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: R = \frac{t}{C \ln(V_0 / V)}

    Holds with the supply cut off from the store.
    Leaves out: leakage of the capacitor, tolerance of capacitor and bleeder.

    References
    ----------
    circuit-theory, discharge of a capacitor

    Examples
    --------
    >>> print(f"{largest_bleeder(100.0, left=60.0, time=5.0, capacitance=100e-6) / 1e3:.1f} kΩ")
    97.9 kΩ
    """
    require_positive("left", left, "V")
    require_positive("time", time, "s")
    require_positive("capacitance", capacitance, "F")
    if not voltage > left:
        raise InputRefused(
            f"voltage must be above the {left:g} V that may be left, got {voltage:g} V; no bleeder is needed"
        )
    return time / (capacitance * log(voltage / left))


def ripple_current(action: ActionIntegral, *, rate: Hertz) -> Amperes:
    r"""R.m.s. current that the sparks draw from the store.

    Parameters
    ----------
    action
        Action integral of one spark, at least 0. [A²s]
    rate
        Sparks per second, at least 0. [Hz]

    Returns
    -------
    current
        R.m.s. current in the store's terminals. [A]

    Raises
    ------
    InputRefused
        If a value above is below 0.

    Notes
    -----
    .. math:: I_{rms} = \sqrt{f \int I^2 dt}

    Holds over many sparks of like size.
    Leaves out: the charging current, small against that of the sparks.

    References
    ----------
    circuit-theory, definition of the r.m.s. value

    Examples
    --------
    >>> print(f"{ripple_current(1.144, rate=75.0):.2f} A")
    9.26 A
    """
    require_not_negative("action", action, "A²s")
    require_not_negative("rate", rate, "Hz")
    return sqrt(action * rate)
