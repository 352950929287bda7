"""Feeding an arc straight from a bus: through a ballast resistor, or through a coil between two currents."""

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Henries, Number, Ohms, Seconds, Volts


def ballast_current(supply: Volts, *, arc_voltage: Volts, resistance: Ohms) -> Amperes:
    r"""Current of an arc fed through a ballast resistor; with an arc of 0 V that of a dead short.

    Parameters
    ----------
    supply
        Voltage of the bus, above the arc voltage. [V]
    arc_voltage
        Voltage of the arc while it burns, at least 0. [V]
    resistance
        Ballast resistor, above 0. [Ω]

    Returns
    -------
    current
        Current once it has settled. [A]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: I = \frac{V_s - V_a}{R}

    Holds after a few times L/R of the leads.
    Leaves out: the rise of the current, drops of switch and diode.

    References
    ----------
    circuit-theory, Ohm's law

    Examples
    --------
    >>> print(f"{ballast_current(80.0, arc_voltage=25.0, resistance=6.8):.3f} A")
    8.088 A
    """
    _require_above(supply, arc_voltage)
    require_positive("resistance", resistance, "Ω")
    return (supply - arc_voltage) / resistance


def _require_above(supply: Volts, arc_voltage: Volts) -> None:
    """Refuse a bus that cannot feed the arc."""
    require_positive("supply", supply, "V")
    require_not_negative("arc_voltage", arc_voltage, "V")
    if not supply > arc_voltage:
        raise InputRefused(
            f"supply must be above the arc voltage {arc_voltage:g} V, got {supply:g} V; "
            "a bus below it drives no current through the arc"
        )


def arc_share(supply: Volts, *, arc_voltage: Volts) -> Number:
    r"""Share of the energy drawn that an arc gets when a resistor feeds it, at once or through a store.

    Parameters
    ----------
    supply
        Voltage of the bus, above the arc voltage. [V]
    arc_voltage
        Voltage of the arc while it burns, at least 0. [V]

    Returns
    -------
    share
        Energy of the arc over energy drawn.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    Every coulomb drawn at the supply's voltage passes the arc at its own:

    .. math:: \frac{V_a}{V_s}

    Holds whatever resistor, store and breakdown voltage, over many sparks.
    Leaves out: leakage of the gap, shorts, in which the gap gets nothing.

    References
    ----------
    circuit-theory, charge times voltage

    Examples
    --------
    >>> arc_share(80.0, arc_voltage=20.0)
    0.25
    """
    _require_above(supply, arc_voltage)
    return arc_voltage / supply


def chopper_on_time(supply: Volts, *, arc_voltage: Volts, inductance: Henries, swing: Amperes) -> Seconds:
    r"""Time in which a coil between bus and arc lifts the current through its band.

    Parameters
    ----------
    supply
        Voltage of the bus, above the arc voltage. [V]
    arc_voltage
        Voltage of the arc while it burns, at least 0. [V]
    inductance
        Inductance of the coil, above 0. [H]
    swing
        Upper less lower current of the band, above 0. [A]

    Returns
    -------
    time
        Time for which the switch is on in each cycle. [s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: t = \frac{L \, \Delta I}{V_s - V_a}

    Holds for a comparator without delay.
    Leaves out: delay, which widens the band; drops of switch and diode.

    References
    ----------
    circuit-theory, law of induction

    Examples
    --------
    >>> t = chopper_on_time(80.0, arc_voltage=25.0, inductance=100e-6, swing=2.0)
    >>> print(f"{1e6 * t:.2f} µs")
    3.64 µs
    """
    _require_above(supply, arc_voltage)
    require_positive("inductance", inductance, "H")
    require_positive("swing", swing, "A")
    return inductance * swing / (supply - arc_voltage)


def chopper_off_time(arc_voltage: Volts, *, inductance: Henries, swing: Amperes) -> Seconds:
    r"""Time in which the arc draws the current of a freewheeling coil down through its band.

    Parameters
    ----------
    arc_voltage
        Voltage of the arc while it burns, above 0; over a short the current hardly falls. [V]
    inductance
        Inductance of the coil, above 0. [H]
    swing
        Upper less lower current of the band, above 0. [A]

    Returns
    -------
    time
        Time for which the switch is off in each cycle. [s]

    Raises
    ------
    InputRefused
        If a value is not above 0.

    Notes
    -----
    .. math:: t = \frac{L \, \Delta I}{V_a}

    Holds for a comparator without delay.
    Leaves out: delay, which widens the band; drops of diode and coil, which shorten the fall.

    References
    ----------
    circuit-theory, law of induction

    Examples
    --------
    >>> print(f"{1e6 * chopper_off_time(25.0, inductance=100e-6, swing=2.0):.2f} µs")
    8.00 µs
    """
    require_positive("arc_voltage", arc_voltage, "V")
    require_positive("inductance", inductance, "H")
    require_positive("swing", swing, "A")
    return inductance * swing / arc_voltage
