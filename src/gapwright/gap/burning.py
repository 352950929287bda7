"""The spark while it burns and just after: burning voltage, energy, extinction, deionisation."""

import math
from dataclasses import dataclass
from enum import StrEnum

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import Amperes, Farads, Joules, Number, Seconds, Volts


class Medium(StrEnum):
    """What fills the gap, as far as a burning spark can tell."""

    WATER = "water"
    HYDROCARBON = "hydrocarbon"
    AIR = "air"


@dataclass(frozen=True, slots=True, kw_only=True)
class BurningVoltages:
    """Voltage of a burning spark in each liquid; in air the metal decides.

    `tungsten` is the voltage in a liquid where an electrode is of tungsten.
    """

    water: Volts = 25.0
    hydrocarbon: Volts = 22.0
    tungsten: Volts = 19.0

    def __post_init__(self) -> None:
        """Refuse voltages that are not above 0."""
        require_positive("water", self.water, "V")
        require_positive("hydrocarbon", self.hydrocarbon, "V")
        require_positive("tungsten", self.tungsten, "V")


USUAL = BurningVoltages()
"""Burning voltages of bench experience; common practice and memory."""


def burning_voltage(
    medium: Medium,
    *,
    least_arc_voltage: Volts,
    is_tungsten: bool = False,
    voltages: BurningVoltages = USUAL,
) -> Volts:
    r"""Voltage across a gap while a spark burns.

    Parameters
    ----------
    medium
        What fills the gap.
    least_arc_voltage
        Least arc voltage of the negative metal, above 0; decides in air. [V]
    is_tungsten
        Whether an electrode is of tungsten or mostly so.
    voltages
        Burning voltages in liquids.

    Returns
    -------
    voltage
        Burning voltage. [V]

    Raises
    ------
    InputRefused
        If the least arc voltage is not above 0.

    Notes
    -----
    .. math:: V_b = V_{cathode} + V_{anode} \approx \mathrm{const}

    Holds from about 0.1 µs after breakdown, at any current from about 1 A.
    Leaves out: the first tens of ns, where it is higher; length of the arc.

    References
    ----------
    common practice, no source: 22 V in oil, 25 V in water
    atalla-1953, parts I and II: a short arc has about the ionising potential of its metal
    from memory: tungsten 18 to 20 V

    Examples
    --------
    >>> print(f"{burning_voltage(Medium.WATER, least_arc_voltage=13.0):.0f} V")
    25 V
    """
    require_positive("least_arc_voltage", least_arc_voltage, "V")
    if medium is Medium.AIR:
        return least_arc_voltage
    liquid = voltages.water if medium is Medium.WATER else voltages.hydrocarbon
    return min(liquid, voltages.tungsten) if is_tungsten else liquid


def discharge_energy(capacitance: Farads, *, start: Volts, end: Volts = 0.0) -> Joules:
    r"""Energy that a capacitor gives up between two voltages.

    Parameters
    ----------
    capacitance
        Capacitance of the store, above 0. [F]
    start
        Voltage before the spark, at least 0. [V]
    end
        Voltage after the spark; below 0 if the current has swung through. [V]

    Returns
    -------
    energy
        Energy given up, to the spark and to the loop together. [J]

    Raises
    ------
    InputRefused
        If capacitance or start is not in its stated range.

    Notes
    -----
    .. math:: E = \tfrac12 C (V^2 - V_{end}^2)

    Holds for a capacitor whose value does not change with voltage.
    Leaves out: which part of it the gap gets (half to nine tenths).

    References
    ----------
    circuit-theory, energy of a capacitor

    Examples
    --------
    >>> print(f"{1e6 * discharge_energy(10e-9, start=100.0):.0f} µJ")
    50 µJ
    """
    require_positive("capacitance", capacitance, "F")
    require_not_negative("start", start, "V")
    return 0.5 * capacitance * (start**2 - end**2)


def is_extinguished(current: Amperes, *, hold_current: Amperes) -> bool:
    """Whether a spark goes out because its current has fallen below the hold current.

    In air the hold current is the lower least arc current of the two metals.

    Parameters
    ----------
    current
        Current of the spark. [A]
    hold_current
        Least current that keeps it alive, above 0. [A]

    Raises
    ------
    InputRefused
        If the hold current is not above 0.
    """
    require_positive("hold_current", hold_current, "A")
    return current < hold_current


def deionisation_time(duration: Seconds, *, least: Seconds = 1e-6, share: Number = 0.2) -> Seconds:
    r"""Time constant with which the gap recovers after a spark.

    Parameters
    ----------
    duration
        How long the spark burnt, at least 0. [s]
    least
        Recovery after the shortest spark, above 0. [s]
    share
        Recovery per burning time, at least 0; 0.1 to 0.3.

    Returns
    -------
    time
        Time constant of deionisation. [s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \tau = \tau_0 + s\, t_e

    Holds for sparks from 0.1 µs to 0.5 ms in liquids.
    Leaves out: flushing, debris, the material of the electrodes.

    References
    ----------
    from memory, rule of thumb

    Examples
    --------
    >>> print(f"{1e6 * deionisation_time(5e-6):.1f} µs")
    2.0 µs
    """
    require_not_negative("duration", duration, "s")
    require_positive("least", least, "s")
    require_not_negative("share", share, "")
    return least + share * duration


def ionised_share(since: Seconds, *, deionisation: Seconds) -> Number:
    r"""Share of the last spark's ionisation that is left; above 0.05 the next one strikes the same place.

    Parameters
    ----------
    since
        Time since the spark went out, at least 0. [s]
    deionisation
        Time constant of deionisation, above 0. [s]

    Returns
    -------
    share
        Share left, 0 to 1.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: s = e^{-t/\tau}

    Holds as a working law. Leaves out: a vapour bubble that outlives the ions.

    References
    ----------
    from memory: below three time constants the spark repeats at one place

    Examples
    --------
    >>> print(f"{ionised_share(6e-6, deionisation=2e-6):.2f}")
    0.05
    """
    require_not_negative("since", since, "s")
    require_positive("deionisation", deionisation, "s")
    return math.exp(-since / deionisation)
