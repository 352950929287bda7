"""A charged store emptied through a loop: three regimes, peak, duration, what is left, what passed."""

from dataclasses import dataclass
from math import asinh, atan2, exp, pi, sqrt

from gapwright.base.checks import require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused, OutOfRange
from gapwright.base.units import Amperes, Farads, Henries, Number, Ohms, PerSecond, Seconds, Volts


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesLoop:
    """Store, leads and gap in one loop; resistance at least 0, the others above 0."""

    resistance: Ohms
    inductance: Henries
    capacitance: Farads

    def __post_init__(self) -> None:
        """Refuse parts that make no loop."""
        require_not_negative("resistance", self.resistance, "Ω")
        require_positive("inductance", self.inductance, "H")
        require_positive("capacitance", self.capacitance, "F")

    @property
    def decay(self) -> PerSecond:
        """Rate at which a ringing dies away, R/(2L) [1/s]."""
        return 0.5 * self.resistance / self.inductance

    @property
    def natural(self) -> PerSecond:
        """Angular frequency without resistance, 1/√(LC) [1/s]."""
        return 1.0 / sqrt(self.inductance * self.capacitance)

    @property
    def ringing(self) -> PerSecond:
        """Angular frequency with resistance [1/s]; 0 where the loop does not ring."""
        a, w0 = self.decay, self.natural
        return sqrt((w0 - a) * (w0 + a)) if a < w0 else 0.0


def damping_ratio(loop: SeriesLoop) -> Number:
    r"""Damping of a loop: below 1 it rings, from 1 on it does not.

    Parameters
    ----------
    loop
        Store, leads and gap.

    Returns
    -------
    ratio
        Resistance over that at which ringing just stops.

    Notes
    -----
    .. math:: \zeta = \frac R2 \sqrt{\frac CL}

    Holds for parts that do not change with current.
    Leaves out: skin effect, which raises the resistance of a fast ringing.

    References
    ----------
    circuit-theory, series resonance

    Examples
    --------
    >>> film = SeriesLoop(resistance=0.05, inductance=200e-9, capacitance=1e-6)
    >>> print(f"{damping_ratio(film):.3f}")
    0.056
    """
    return loop.decay / loop.natural


def peak_time(loop: SeriesLoop) -> Seconds:
    r"""Time from breakdown to the peak of the current.

    Parameters
    ----------
    loop
        Store, leads and gap.

    Returns
    -------
    time
        Time of the peak. [s]

    Notes
    -----
    With :math:`a = R/2L`, :math:`\omega_0 = 1/\sqrt{LC}` and
    :math:`\omega^2 = |\omega_0^2 - a^2|`, for a loop that rings, one at the border, one that creeps:

    .. math:: t = \frac1\omega \arctan\frac\omega a, \quad \frac1a, \quad
        \frac1\omega \operatorname{arsinh}\frac{\omega}{\omega_0}

    Holds for an arc of constant voltage, whatever the voltage.
    Leaves out: the first nanoseconds, in which the arc voltage still falls.

    References
    ----------
    circuit-theory, series resonance

    Examples
    --------
    >>> film = SeriesLoop(resistance=0.05, inductance=200e-9, capacitance=1e-6)
    >>> print(f"{1e9 * peak_time(film):.1f} ns")
    678.5 ns
    """
    a, w0, w = loop.decay, loop.natural, loop.ringing
    if w > 0.0:
        return atan2(w, a) / w
    s = sqrt((a - w0) * (a + w0))
    return asinh(s / w0) / s if s > 0.0 else 1.0 / a


def peak_current(voltage: Volts, *, arc_voltage: Volts = 0.0, loop: SeriesLoop) -> Amperes:
    r"""Largest current of a discharge.

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
    current
        Current at the peak. [A]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    With the time of the peak :math:`t` and :math:`a = R/2L`, in all three regimes:

    .. math:: I = (V - V_a) \sqrt{\frac CL} \, e^{-a t}

    Voltage over resistance always overstates it; at the border by e/2.
    Holds for an arc of constant voltage.
    Leaves out: the charger, which adds its own current.

    References
    ----------
    circuit-theory, series resonance

    Examples
    --------
    >>> film = SeriesLoop(resistance=0.05, inductance=200e-9, capacitance=1e-6)
    >>> print(f"{peak_current(60.0, arc_voltage=20.0, loop=film):.1f} A")
    82.2 A
    """
    U = driving_voltage(voltage, arc_voltage)
    return U * sqrt(loop.capacitance / loop.inductance) * exp(-loop.decay * peak_time(loop))


def driving_voltage(voltage: Volts, arc_voltage: Volts) -> Volts:
    r"""Voltage that drives the current through the loop.

    Parameters
    ----------
    voltage
        Voltage of the store at breakdown, above `arc_voltage`. [V]
    arc_voltage
        Voltage of the arc while it burns, at least 0. [V]

    Returns
    -------
    voltage
        What the arc leaves for resistance and inductance. [V]

    Raises
    ------
    InputRefused
        If the store is not above the arc, or the arc is below 0.

    Notes
    -----
    .. math:: U = V - V_a

    Holds for an arc of constant voltage.
    Leaves out: the fall of the arc voltage in its first nanoseconds.

    References
    ----------
    circuit-theory, voltages around the loop

    Examples
    --------
    >>> driving_voltage(60.0, 20.0)
    40.0
    """
    require_finite("voltage", voltage, "V")
    require_not_negative("arc_voltage", arc_voltage, "V")
    if not voltage > arc_voltage:
        raise InputRefused(
            f"voltage must be above the arc voltage {arc_voltage:g} V, got {voltage:g} V; "
            "a store below it drives no current through the arc"
        )
    return voltage - arc_voltage


def half_period(loop: SeriesLoop) -> Seconds:
    r"""Time until the current of a ringing loop first comes back to zero and the arc goes out.

    Parameters
    ----------
    loop
        Store, leads and gap, with a damping ratio below 1.

    Returns
    -------
    time
        Time from breakdown to the first zero. [s]

    Raises
    ------
    OutOfRange
        If the loop does not ring; its current only creeps towards zero.

    Notes
    -----
    .. math:: t = \frac{\pi}{\sqrt{\omega_0^2 - a^2}}

    Holds for an arc of constant voltage.
    Leaves out: the hold current, at which an arc goes out a little earlier.

    References
    ----------
    circuit-theory, series resonance

    Examples
    --------
    >>> film = SeriesLoop(resistance=0.05, inductance=200e-9, capacitance=1e-6)
    >>> print(f"{1e6 * half_period(film):.3f} µs")
    1.407 µs
    """
    if loop.ringing == 0.0:
        raise OutOfRange(
            f"a half period needs a loop that rings, with a damping ratio below 1, got "
            f"{damping_ratio(loop):.4g}; ask for the current at a time instead"
        )
    return pi / loop.ringing
