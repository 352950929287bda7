"""A coil that is switched on for a fixed time and gives what it holds to a store: peak, energy, border."""

from dataclasses import dataclass

from gapwright.base.checks import require_finite, require_positive
from gapwright.base.errors import InputRefused, OutOfRange
from gapwright.base.units import Amperes, Farads, Henries, Joules, Seconds, Volts


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilDrive:
    """A coil on a supply, switched on for `on_time` in every `period`; all above 0."""

    supply: Volts
    inductance: Henries
    on_time: Seconds
    period: Seconds

    def __post_init__(self) -> None:
        """Refuse a drive that never switches off."""
        require_positive("supply", self.supply, "V")
        require_positive("inductance", self.inductance, "H")
        require_positive("on_time", self.on_time, "s")
        require_positive("period", self.period, "s")
        if not self.on_time < self.period:
            raise InputRefused(
                f"on_time must be below the period of {self.period:g} s, got {self.on_time:g} s; "
                "the coil needs time to empty"
            )


def coil_peak(drive: CoilDrive) -> Amperes:
    r"""Current that a coil reaches from empty in its on-time.

    Parameters
    ----------
    drive
        Coil, supply and timing.

    Returns
    -------
    current
        Current at the end of the on-time. [A]

    Notes
    -----
    .. math:: I = \frac{V_{in} t_{on}}{L}

    Holds where the coil was empty and far from saturation.
    Leaves out: resistance of coil and switch; a coil that was not empty, which goes higher.

    References
    ----------
    circuit-theory, law of induction

    Examples
    --------
    >>> drive = CoilDrive(supply=12.0, inductance=47e-6, on_time=12e-6, period=25e-6)
    >>> print(f"{coil_peak(drive):.3f} A")
    3.064 A
    """
    return drive.supply * drive.on_time / drive.inductance


def coil_energy(current: Amperes, *, inductance: Henries) -> Joules:
    r"""Energy in a coil that carries a current.

    Parameters
    ----------
    current
        Current through the coil. [A]
    inductance
        Inductance of the coil, above 0. [H]

    Returns
    -------
    energy
        Energy of its field. [J]

    Raises
    ------
    InputRefused
        If the inductance is not above 0 or the current is not finite.

    Notes
    -----
    .. math:: W = \tfrac12 L I^2

    Holds by definition for an inductance that does not change with current.
    Leaves out: saturation.

    References
    ----------
    definition

    Examples
    --------
    >>> print(f"{1e6 * coil_energy(3.06383, inductance=47e-6):.1f} µJ")
    220.6 µJ
    """
    require_finite("current", current, "A")
    require_positive("inductance", inductance, "H")
    return 0.5 * inductance * current**2


def border_voltage(drive: CoilDrive) -> Volts:
    r"""Store voltage below which the coil of a step-up no longer empties in each period.

    Parameters
    ----------
    drive
        Coil, supply and timing.

    Returns
    -------
    voltage
        Border of the store's voltage; below it the current climbs from period to period. [V]

    Notes
    -----
    .. math:: V = \frac{V_{in} T}{T - t_{on}}

    Holds for a step-up without drops.
    Leaves out: diode and resistances, which lower it a little.

    References
    ----------
    circuit-theory, balance of voltage and time over the coil

    Examples
    --------
    >>> drive = CoilDrive(supply=12.0, inductance=47e-6, on_time=12e-6, period=25e-6)
    >>> print(f"{border_voltage(drive):.2f} V")
    23.08 V
    """
    return drive.supply * drive.period / (drive.period - drive.on_time)


def release_time(voltage: Volts, *, drive: CoilDrive) -> Seconds:
    r"""Time in which the coil of a step-up gives all it holds to the store.

    Parameters
    ----------
    voltage
        Voltage of the store, at least the border voltage. [V]
    drive
        Coil, supply and timing.

    Returns
    -------
    time
        Time from switching off to an empty coil. [s]

    Raises
    ------
    OutOfRange
        If the voltage is below the border voltage.

    Notes
    -----
    .. math:: t = \frac{L I}{V - V_{in}}

    Holds where the coil empties in each period.
    Leaves out: the drop of the diode, which shortens it.

    References
    ----------
    circuit-theory, law of induction

    Examples
    --------
    >>> drive = CoilDrive(supply=12.0, inductance=47e-6, on_time=12e-6, period=25e-6)
    >>> print(f"{1e6 * release_time(60.0, drive=drive):.1f} µs")
    3.0 µs
    """
    _require_emptying(voltage, drive, "voltage")
    return drive.supply * drive.on_time / (voltage - drive.supply)


def _require_emptying(voltage: Volts, drive: CoilDrive, name: str) -> None:
    """Refuse a store at which the coil would not empty."""
    require_finite(name, voltage, "V")
    border = border_voltage(drive)
    if voltage < border:
        raise OutOfRange(
            f"{name} must be at least the border voltage {border:.4g} V, got {voltage:g} V; "
            "below it the coil does not empty and this law has no answer: simulate the circuit instead"
        )


def delivered_energy(voltage: Volts, *, drive: CoilDrive) -> Joules:
    r"""Energy that one period of a step-up brings to the store.

    Parameters
    ----------
    voltage
        Voltage of the store, at least the border voltage. [V]
    drive
        Coil, supply and timing.

    Returns
    -------
    energy
        What the coil held and what the supply added while it emptied. [J]

    Raises
    ------
    OutOfRange
        If the voltage is below the border voltage.

    Notes
    -----
    .. math:: W = \tfrac12 L I^2 \frac{V}{V - V_{in}}

    Holds where the coil empties in each period and the store hardly moves meanwhile.
    Leaves out: drops and resistances.

    References
    ----------
    circuit-theory, energy of coil and supply

    Examples
    --------
    >>> drive = CoilDrive(supply=12.0, inductance=47e-6, on_time=12e-6, period=25e-6)
    >>> print(f"{1e6 * delivered_energy(60.0, drive=drive):.1f} µJ")
    275.7 µJ
    """
    _require_emptying(voltage, drive, "voltage")
    held = coil_energy(coil_peak(drive), inductance=drive.inductance)
    return held * voltage / (voltage - drive.supply)


def step_up_charging_time(stop: Volts, *, start: Volts, capacitance: Farads, drive: CoilDrive) -> Seconds:
    r"""Time in which a step-up charges a store from one voltage to another.

    Parameters
    ----------
    stop
        Voltage at the end, above `start`. [V]
    start
        Voltage at the beginning, at least the border voltage. [V]
    capacitance
        Capacitance of the store, above 0. [F]
    drive
        Coil, supply and timing.

    Returns
    -------
    time
        Time from `start` to `stop`. [s]

    Raises
    ------
    InputRefused
        If `stop` is not above `start` or the capacitance not above 0.
    OutOfRange
        If `start` is below the border voltage.

    Notes
    -----
    .. math:: t = \frac{C T}{L I^2} \left((V_2 - V_{in})^2 - (V_1 - V_{in})^2\right)

    Holds for many periods, each of which empties the coil.
    Leaves out: drops and resistances; the faster climb below the border voltage.

    References
    ----------
    circuit-theory, energy by period integrated over the voltage

    Examples
    --------
    >>> drive = CoilDrive(supply=12.0, inductance=47e-6, on_time=12e-6, period=25e-6)
    >>> t = step_up_charging_time(60.0, start=24.0, capacitance=100e-6, drive=drive)
    >>> print(f"{1e3 * t:.2f} ms")
    12.24 ms
    """
    require_positive("capacitance", capacitance, "F")
    _require_emptying(start, drive, "start")
    require_finite("stop", stop, "V")
    if not stop > start:
        raise InputRefused(
            f"stop must be above the start of {start:g} V, got {stop:g} V; charging only raises"
        )
    rise = (stop - drive.supply) ** 2 - (start - drive.supply) ** 2
    return capacitance * drive.period * rise / (drive.inductance * coil_peak(drive) ** 2)
