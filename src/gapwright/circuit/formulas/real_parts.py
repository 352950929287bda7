"""What a part has beside its name: the inductance of a shunt or lead, the loss of a capacitor."""

from math import pi

from gapwright.base.checks import require_finite, require_not_negative, require_positive
from gapwright.base.units import Amperes, AmperesPerSecond, Farads, Henries, Hertz, Number, Ohms, Volts


def shunt_voltage(current: Amperes, *, resistance: Ohms) -> Volts:
    r"""Voltage across a shunt that stands for the current.

    Parameters
    ----------
    current
        Current through the shunt. [A]
    resistance
        Resistance of the shunt, above 0. [Ω]

    Returns
    -------
    voltage
        Resistive voltage across the shunt. [V]

    Raises
    ------
    InputRefused
        If the current is not finite or the resistance not above 0.

    Notes
    -----
    .. math:: V = R I

    Holds for a current that hardly changes.
    Leaves out: the shunt's inductance, which adds its own voltage while the current changes.

    References
    ----------
    circuit-theory, Ohm's law

    Examples
    --------
    >>> print(f"{shunt_voltage(82.0, resistance=10e-3):.2f} V")
    0.82 V
    """
    require_finite("current", current, "A")
    require_positive("resistance", resistance, "Ω")
    return resistance * current


def stray_voltage(slope: AmperesPerSecond, *, inductance: Henries) -> Volts:
    r"""Voltage along a piece of conductor that stands only for the change of the current.

    Parameters
    ----------
    slope
        Change of the current with time. [A/s]
    inductance
        Inductance of shunt or lead, at least 0. [H]

    Returns
    -------
    voltage
        Inductive voltage; in a shunt a false reading, in a shared lead a disturbance. [V]

    Raises
    ------
    InputRefused
        If the slope is not finite or the inductance below 0.

    Notes
    -----
    .. math:: V = L \frac{dI}{dt}

    Holds for a conductor short against the wavelength.
    Leaves out: what couples from other conductors.

    References
    ----------
    circuit-theory, law of induction

    Examples
    --------
    >>> print(f"{stray_voltage(200e6, inductance=10e-9):.1f} V")
    2.0 V
    """
    require_finite("slope", slope, "A/s")
    require_not_negative("inductance", inductance, "H")
    return inductance * slope


def loss_resistance(loss_tangent: Number, *, capacitance: Farads, frequency: Hertz) -> Ohms:
    r"""Series resistance of a capacitor from the loss tangent on its sheet.

    Parameters
    ----------
    loss_tangent
        Tangent of the loss angle at `frequency`, at least 0.
    capacitance
        Capacitance, above 0. [F]
    frequency
        Frequency at which the loss was measured, mostly 100 or 120 Hz, above 0. [Hz]

    Returns
    -------
    resistance
        Equivalent series resistance at that frequency. [Ω]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: R = \frac{\tan\delta}{2 \pi f C}

    Holds at the frequency of the measurement.
    Leaves out: its fall with frequency; an electrolytic of 100 µF has 0.1 to 0.5 Ω for short pulses.

    References
    ----------
    definition

    Examples
    --------
    >>> print(f"{loss_resistance(0.10, capacitance=100e-6, frequency=120.0):.2f} Ω")
    1.33 Ω
    """
    require_not_negative("loss_tangent", loss_tangent, "")
    require_positive("capacitance", capacitance, "F")
    require_positive("frequency", frequency, "Hz")
    return loss_tangent / (2.0 * pi * frequency * capacitance)
