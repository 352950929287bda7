"""The dry spark at low voltage: an arc needs enough voltage, enough current and a short loop."""

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Henries, Seconds, Volts

CLEAN: Seconds = 32e-9
"""Time within which current must pass the least arc current on clean metal [s]."""

OILY_FACTOR = 30.0
"""How much longer oily or sooty metal allows; from memory, 10 to 1000."""

ARC_MARGIN: Volts = 1.0
"""Voltage above the least arc voltage that an arc needs [V]."""


def can_arc(voltage: Volts, *, least_arc_voltage: Volts) -> bool:
    """Whether a voltage can hold an arc between these metals at all; below, contact only melts.

    Parameters
    ----------
    voltage
        Voltage across the gap, at least 0. [V]
    least_arc_voltage
        Least arc voltage of the metals, above 0. [V]

    Raises
    ------
    InputRefused
        If the voltage is below 0 or the least arc voltage is not above 0.
    """
    require_not_negative("voltage", voltage, "V")
    require_positive("least_arc_voltage", least_arc_voltage, "V")
    return voltage > least_arc_voltage + ARC_MARGIN


def largest_inductance(
    voltage: Volts, *, arc_voltage: Volts, least_arc_current: Amperes, allowed_time: Seconds = CLEAN
) -> Henries:
    r"""Largest loop inductance at which closing contacts still strike an arc.

    Parameters
    ----------
    voltage
        Voltage just before touch, above the arc voltage. [V]
    arc_voltage
        Voltage of the arc, above 0. [V]
    least_arc_current
        Least current that keeps an arc alive, above 0. [A]
    allowed_time
        Time within which the current must pass that least, above 0. [s]

    Returns
    -------
    inductance
        Largest inductance of the loop. [H]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: L_{max} = t_i \frac{V - V_{arc}}{I_{min}}

    Holds near 50 V between clean metals, where it was fitted.
    Leaves out: films; oily or sooty metal strikes at 10 to 1000 times as much.

    References
    ----------
    germer-haworth-1949, abstract: about 3 µH; the allowed time is computed from it

    Examples
    --------
    >>> L = largest_inductance(50.0, arc_voltage=13.0, least_arc_current=0.4)
    >>> print(f"{1e6 * L:.1f} µH")
    3.0 µH
    """
    require_positive("arc_voltage", arc_voltage, "V")
    require_positive("least_arc_current", least_arc_current, "A")
    require_positive("allowed_time", allowed_time, "s")
    if not voltage > arc_voltage:
        raise InputRefused(
            f"voltage must be above the arc voltage {arc_voltage:g} V, got {voltage:g} V; "
            "below it no arc is struck whatever the loop"
        )
    return allowed_time * (voltage - arc_voltage) / least_arc_current
