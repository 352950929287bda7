"""An arc that the charger itself feeds and that stands: graded, never ruled out."""

from enum import StrEnum

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import Amperes, Field, Metres, Ohms, Volts


class StandingArc(StrEnum):
    """How readily the charger itself can feed an arc that stands; never ruled out."""

    UNLIKELY = "unlikely"
    POSSIBLE = "possible"
    LIKELY = "likely"


def standing_resistance(voltage: Volts, *, least_arc_current: Amperes) -> Ohms:
    r"""Charging resistance below which the charger alone could feed a standing arc.

    Parameters
    ----------
    voltage
        Voltage behind the resistor, above 0. [V]
    least_arc_current
        Least current that keeps an arc alive, above 0. [A]

    Returns
    -------
    resistance
        Ideal limit of the charging resistance. [Ω]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: R = V_0 / I_{min}

    Holds as an ideal limit; grade it with `standing_arc`.
    Leaves out: vapour of the liquid and debris, which lower the least current;
    published rules differ by ten.

    References
    ----------
    computed from the least arc current
    common practice, no source

    Examples
    --------
    >>> print(f"{standing_resistance(60.0, least_arc_current=0.43):.0f} Ω")
    140 Ω
    """
    require_positive("voltage", voltage, "V")
    require_positive("least_arc_current", least_arc_current, "A")
    return voltage / least_arc_current


def standing_arc(
    short_circuit_current: Amperes, *, least_arc_current: Amperes, likely_above: Amperes = 3.0
) -> StandingArc:
    r"""Grade of how readily the charger feeds a standing arc.

    Parameters
    ----------
    short_circuit_current
        Current of the charger into a short, at least 0. [A]
    least_arc_current
        Lower of the two metals' least arc currents, above 0. [A]
    likely_above
        Current above which a standing arc is likely, above 0. [A]

    Returns
    -------
    grade
        Unlikely, possible or likely; never impossible.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    Unlikely below the least arc current, possible up to `likely_above`.
    Holds for capacitor-fed rigs. Leaves out: the loop's damping.

    References
    ----------
    common practice, no source

    Examples
    --------
    >>> print(standing_arc(0.4, least_arc_current=0.43))
    unlikely
    """
    require_not_negative("short_circuit_current", short_circuit_current, "A")
    require_positive("least_arc_current", least_arc_current, "A")
    require_positive("likely_above", likely_above, "A")
    if short_circuit_current < least_arc_current:
        return StandingArc.UNLIKELY
    return StandingArc.POSSIBLE if short_circuit_current <= likely_above else StandingArc.LIKELY


def standing_arc_length(voltage: Volts, *, arc_voltage: Volts, gradient: Field = 5e3) -> Metres:
    r"""Gap at which a standing arc goes out when the electrode is drawn back.

    Parameters
    ----------
    voltage
        Voltage that feeds the arc, at least 0. [V]
    arc_voltage
        Voltage of the shortest arc, above 0. [V]
    gradient
        Voltage that each length of arc takes, above 0. [V/m]

    Returns
    -------
    length
        Gap at which the arc goes out; 0 if the voltage cannot hold it. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: d = (V_0 - V_{arc}) / E_{arc}

    Holds as an order of magnitude in air. Leaves out: the fall of voltage in
    the charging resistor, wind, cooling by liquid.

    References
    ----------
    from memory, 5 V/mm

    Examples
    --------
    >>> print(f"{1e3 * standing_arc_length(48.0, arc_voltage=13.0):.0f} mm")
    7 mm
    """
    require_not_negative("voltage", voltage, "V")
    require_positive("arc_voltage", arc_voltage, "V")
    require_positive("gradient", gradient, "V/m")
    return max(0.0, voltage - arc_voltage) / gradient
