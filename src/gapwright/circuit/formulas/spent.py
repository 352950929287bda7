"""What one discharge of a loop leaves in the store and sends through the gap."""

from math import exp, expm1, sin, sqrt

from gapwright.base.checks import require_not_negative
from gapwright.base.units import ActionIntegral, Amperes, Coulombs, Seconds, Volts
from gapwright.circuit.formulas.discharge import SeriesLoop, driving_voltage, half_period


def discharge_current(
    elapsed: Seconds, *, voltage: Volts, arc_voltage: Volts = 0.0, loop: SeriesLoop
) -> Amperes:
    r"""Current of a discharge at a time after breakdown, while the arc burns.

    Parameters
    ----------
    elapsed
        Time since breakdown, at least 0 and up to the first zero of the current. [s]
    voltage
        Voltage of the store at breakdown, above `arc_voltage`. [V]
    arc_voltage
        Voltage of the arc while it burns, at least 0. [V]
    loop
        Store, leads and gap.

    Returns
    -------
    current
        Current at that time; 0 once it has come back to zero. [A]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    With :math:`a = R/2L` and :math:`\omega^2 = |\omega_0^2 - a^2|`, ringing, at the border, creeping:

    .. math:: i = \frac UL e^{-a t} \cdot \frac{\sin \omega t}{\omega}, \quad t, \quad
        \frac{\sinh \omega t}{\omega}

    Holds for an arc of constant voltage that goes out at the first zero.
    Leaves out: a second strike in reverse, the hold current, the charger.

    References
    ----------
    circuit-theory, series resonance

    Examples
    --------
    >>> film = SeriesLoop(resistance=0.05, inductance=200e-9, capacitance=1e-6)
    >>> print(f"{discharge_current(0.2e-6, voltage=60.0, arc_voltage=20.0, loop=film):.1f} A")
    37.7 A
    """
    require_not_negative("elapsed", elapsed, "s")
    U = driving_voltage(voltage, arc_voltage)
    a, w0, w = loop.decay, loop.natural, loop.ringing
    if w > 0.0:
        burning = elapsed < half_period(loop)
        return U / (loop.inductance * w) * exp(-a * elapsed) * sin(w * elapsed) if burning else 0.0
    s = sqrt((a - w0) * (a + w0))
    slow = w0**2 / (a + s)  # a - s without the loss of digits
    if s == 0.0:
        return U / loop.inductance * elapsed * exp(-a * elapsed)
    return -U / (2.0 * loop.inductance * s) * exp(-slow * elapsed) * expm1(-2.0 * s * elapsed)


def left_voltage(voltage: Volts, *, arc_voltage: Volts = 0.0, loop: SeriesLoop) -> Volts:
    r"""Voltage that one discharge leaves on the store; below 0 it has reversed.

    Parameters
    ----------
    voltage
        Voltage of the store at breakdown, above `arc_voltage`. [V]
    arc_voltage
        Voltage of the arc while it burns, at least 0. [V]
    loop
        Store, leads and gap.

    Returns
    -------
    voltage
        Voltage when the current has come to zero. [V]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: V_a - (V - V_a) \, e^{-\pi a / \omega}

    and :math:`V_a` where the loop does not ring.
    Holds for an arc of constant voltage that goes out at the first zero.
    Leaves out: the hold current, at which an arc goes out a little earlier.

    References
    ----------
    circuit-theory, series resonance

    Examples
    --------
    >>> film = SeriesLoop(resistance=0.05, inductance=200e-9, capacitance=1e-6)
    >>> print(f"{left_voltage(60.0, arc_voltage=20.0, loop=film):.2f} V")
    -13.55 V
    """
    return arc_voltage - driving_voltage(voltage, arc_voltage) * _swing(loop)


def _swing(loop: SeriesLoop) -> float:
    """How far the store swings past the arc voltage, as a share of how far it started from it."""
    return exp(-loop.decay * half_period(loop)) if loop.ringing > 0.0 else 0.0


def discharge_charge(voltage: Volts, *, arc_voltage: Volts = 0.0, loop: SeriesLoop) -> Coulombs:
    r"""Charge that one discharge sends through the gap; times the arc voltage it is the arc's energy.

    Parameters
    ----------
    voltage
        Voltage of the store at breakdown, above `arc_voltage`. [V]
    arc_voltage
        Voltage of the arc while it burns, at least 0. [V]
    loop
        Store, leads and gap.

    Returns
    -------
    charge
        Charge through the gap until the current has come to zero. [C]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: Q = C (V - V_a) \left(1 + e^{-\pi a / \omega}\right)

    and without the second term where the loop does not ring.
    Holds for an arc of constant voltage that goes out at the first zero.
    Leaves out: what the charger sends through the arc meanwhile.

    References
    ----------
    circuit-theory, capacitance times the fall of voltage

    Examples
    --------
    >>> film = SeriesLoop(resistance=0.05, inductance=200e-9, capacitance=1e-6)
    >>> print(f"{1e6 * discharge_charge(60.0, arc_voltage=20.0, loop=film):.1f} µC")
    73.5 µC
    """
    return loop.capacitance * driving_voltage(voltage, arc_voltage) * (1.0 + _swing(loop))


def loop_action(voltage: Volts, *, arc_voltage: Volts = 0.0, loop: SeriesLoop) -> ActionIntegral:
    r"""Action integral of one discharge, which times a resistance is the heat in it.

    Parameters
    ----------
    voltage
        Voltage of the store at breakdown, above `arc_voltage`. [V]
    arc_voltage
        Voltage of the arc while it burns, at least 0. [V]
    loop
        Store, leads and gap.

    Returns
    -------
    action
        Integral of the current squared until it has come to zero. [A²s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    What the loop loses has gone into its resistance:

    .. math:: \int i^2 dt = \frac{C (V - V_a)^2}{2 R} \left(1 - e^{-2 \pi a / \omega}\right)

    and without the second term where the loop does not ring.
    Holds for an arc of constant voltage that goes out at the first zero, also without resistance.
    Leaves out: what the charger sends through the arc meanwhile.

    References
    ----------
    circuit-theory, energy account of the loop

    Examples
    --------
    >>> big = SeriesLoop(resistance=0.07, inductance=200e-9, capacitance=100e-6)
    >>> print(f"{loop_action(60.0, arc_voltage=20.0, loop=big):.2f} A²s")
    1.14 A²s
    """
    U, C, R = driving_voltage(voltage, arc_voltage), loop.capacitance, loop.resistance
    if loop.ringing == 0.0:
        return 0.5 * C * U**2 / R
    t = half_period(loop)
    if R == 0.0:
        return 0.5 * C * U**2 * t / loop.inductance
    return -0.5 * C * U**2 * expm1(-2.0 * loop.decay * t) / R
