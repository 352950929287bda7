"""Charging a store through coupled coils: all the energy passes through the field."""

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Farads, Number, Seconds, Volts
from gapwright.circuit.formulas.charging import stored_energy
from gapwright.circuit.formulas.step_up import CoilDrive, coil_energy, coil_peak


def flyback_periods(voltage: Volts, *, capacitance: Farads, drive: CoilDrive) -> Number:
    r"""How many periods a flyback of fixed on-time needs to charge an empty store.

    Parameters
    ----------
    voltage
        Voltage at the end, above 0. [V]
    capacitance
        Capacitance of the store, above 0. [F]
    drive
        First coil, supply and timing.

    Returns
    -------
    number
        Periods, as a number with a fraction.

    Raises
    ------
    InputRefused
        If a value is not above 0.

    Notes
    -----
    .. math:: N = \frac{C V^2}{L I^2}

    Holds where the coils empty in each period.
    Leaves out: leakage inductance, drops, the first periods into an almost empty store,
    in which they do not empty.

    References
    ----------
    circuit-theory, energy of the store over energy of a period

    Examples
    --------
    >>> drive = CoilDrive(supply=12.0, inductance=47e-6, on_time=12e-6, period=25e-6)
    >>> print(f"{flyback_periods(60.0, capacitance=100e-6, drive=drive):.0f}")
    816
    """
    require_positive("voltage", voltage, "V")
    held = coil_energy(coil_peak(drive), inductance=drive.inductance)
    return stored_energy(voltage, capacitance=capacitance) / held


def boundary_charging_time(
    stop: Volts,
    *,
    start: Volts = 0.0,
    supply: Volts,
    peak: Amperes,
    turns_ratio: Number,
    capacitance: Farads,
) -> Seconds:
    r"""Time in which a flyback charges a store if each period begins just as the coils are empty.

    Parameters
    ----------
    stop
        Voltage at the end, above `start`. [V]
    start
        Voltage at the beginning, at least 0. [V]
    supply
        Voltage of the supply, above 0. [V]
    peak
        Current at which the first coil is switched off, above 0. [A]
    turns_ratio
        Turns of the second coil over those of the first, above 0.
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
    .. math:: t = \frac{1}{I} \left(\frac{C (V_2^2 - V_1^2)}{V_{in}} + 2 n C (V_2 - V_1)\right)

    Holds at the border of emptying, without losses: a charger that waits is slower, one that
    does not let its coils empty is faster.
    Leaves out: leakage inductance, drops, the time that detection takes.

    References
    ----------
    circuit-theory, mean power at the border of emptying, integrated over the voltage

    Examples
    --------
    >>> t = boundary_charging_time(300.0, supply=12.0, peak=7.5, turns_ratio=10.0, capacitance=400e-6)
    >>> print(f"{t:.2f} s")
    0.72 s
    """
    require_not_negative("start", start, "V")
    require_positive("stop", stop, "V")
    if not stop > start:
        raise InputRefused(
            f"stop must be above the start of {start:g} V, got {stop:g} V; charging only raises"
        )
    require_positive("supply", supply, "V")
    require_positive("peak", peak, "A")
    require_positive("turns_ratio", turns_ratio, "")
    through_field = 2.0 * stored_energy(stop, start=start, capacitance=capacitance) / supply
    return (through_field + 2.0 * turns_ratio * capacitance * (stop - start)) / peak
