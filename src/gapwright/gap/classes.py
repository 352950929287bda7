"""Classes of discharges, in words, from what the gap voltage did."""

from dataclasses import dataclass
from enum import StrEnum

from gapwright.base.checks import require_between, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Number, Seconds, Volts
from gapwright.gap._kernel import breakdown_share, class_code


class DischargeClass(StrEnum):
    """What a discharge was; `CONTACT` is the spark of a dry rig that blew its own bridge."""

    OPEN = "open"
    NORMAL = "normal"
    PARTIAL = "partial"
    TRANSIENT_ARC = "transient arc"
    STATIONARY_ARC = "stationary arc"
    SHORT = "short"
    CONTACT = "contact"


CLASS_NAMES = tuple(DischargeClass)
"""Classes in the order of the kernel's codes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Thresholds:
    """Where one class ends and the next begins, on the scale from burning (0) to open (1)."""

    normal_from: Number = 0.6
    partial_from: Number = 0.15

    def __post_init__(self) -> None:
        """Refuse thresholds that cross."""
        require_between("normal_from", self.normal_from, 0.0, 1.0, "")
        require_between("partial_from", self.partial_from, 0.0, self.normal_from, "")


USUAL = Thresholds()
"""Thresholds of the trade, from memory."""


def normalised_breakdown(breakdown_voltage: Volts, *, open_voltage: Volts, burning_voltage: Volts) -> Number:
    r"""Breakdown voltage on a scale from burning (0) to open (1).

    Parameters
    ----------
    breakdown_voltage
        Voltage just before the fall, at least 0. [V]
    open_voltage
        Voltage with the electrode clear, leakage included; above 1.6 times burning. [V]
    burning_voltage
        Voltage while a spark burns, above 0. [V]

    Returns
    -------
    share
        Below 0 if the fall began under the burning voltage.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: w = \frac{V_b - V_a}{V_o - V_a}

    Holds where open and burning voltage can be told apart.
    Leaves out: a burning voltage that changes with the place.

    References
    ----------
    from memory, working definition

    Examples
    --------
    >>> w = normalised_breakdown(49.0, open_voltage=70.0, burning_voltage=25.0)
    >>> print(f"{w:.2f}")
    0.53
    """
    require_not_negative("breakdown_voltage", breakdown_voltage, "V")
    require_positive("burning_voltage", burning_voltage, "V")
    if not open_voltage > 1.6 * burning_voltage:
        raise InputRefused(
            f"open_voltage must be above 1.6 times the burning voltage ({1.6 * burning_voltage:g} V), "
            f"got {open_voltage:g} V; only shorts, contacts and events can be told apart there"
        )
    return breakdown_share(breakdown_voltage, open_voltage, burning_voltage)


def capacitor_class(
    share: Number, *, arcs_of_last_eight: int = 0, thresholds: Thresholds = USUAL
) -> DischargeClass:
    """Class of one discharge of a capacitor from its normalised breakdown voltage.

    Below `partial_from` charging never completes and the voltage rides on the
    burning voltage: a transient arc, and a stationary one once five of the
    last eight were.

    Parameters
    ----------
    share
        Breakdown voltage from burning (0) to open (1).
    arcs_of_last_eight
        How many of the last eight discharges were arcs, 0 to 8.
    thresholds
        Where one class ends and the next begins.

    Raises
    ------
    InputRefused
        If the count of arcs is not between 0 and 8.
    """
    require_between("arcs_of_last_eight", arcs_of_last_eight, 0, 8, "")
    code = class_code(share, thresholds.normal_from, thresholds.partial_from, arcs_of_last_eight)
    return CLASS_NAMES[code]


def contact_class(*, end_voltage: Volts, recovery: Seconds, time_constant: Seconds) -> DischargeClass:
    """Class of a touch on a dry rig: a bridge that blew (contact) or one that stayed (short).

    A fall that stops at 1.5 V or more has
    struck an arc; a lower one that comes back within a time constant was blown.

    Parameters
    ----------
    end_voltage
        Voltage that the gap fell to, at least 0. [V]
    recovery
        How long it stayed there, at least 0. [s]
    time_constant
        Time constant of charging, above 0. [s]

    Raises
    ------
    InputRefused
        If a value is below 0 or the time constant is not above 0.
    """
    require_not_negative("end_voltage", end_voltage, "V")
    require_not_negative("recovery", recovery, "s")
    require_positive("time_constant", time_constant, "s")
    if end_voltage < 1.5 and recovery > time_constant:
        return DischargeClass.SHORT
    return DischargeClass.CONTACT


def is_standing(
    duration: Seconds,
    *,
    mean_voltage: Volts,
    burning_voltage: Volts,
    charger_current: Amperes,
    short_circuit_current: Amperes,
    settling: Seconds,
) -> bool:
    """Whether a gap that stays near the burning voltage holds an arc fed by the charger.

    Parameters
    ----------
    duration
        How long the gap has stayed at one voltage, at least 0. [s]
    mean_voltage
        That voltage, at least 0. [V]
    burning_voltage
        Voltage of a burning spark, above 0. [V]
    charger_current
        Current that the charger gives, at least 0. [A]
    short_circuit_current
        Current that it would give into a short, at least 0. [A]
    settling
        Longer of the charging time constant and ten half periods of the loop, above 0. [s]

    Raises
    ------
    InputRefused
        If a value is below 0, or burning voltage or settling is not above 0.
    """
    require_not_negative("duration", duration, "s")
    require_not_negative("mean_voltage", mean_voltage, "V")
    require_positive("burning_voltage", burning_voltage, "V")
    require_not_negative("charger_current", charger_current, "A")
    require_not_negative("short_circuit_current", short_circuit_current, "A")
    require_positive("settling", settling, "s")
    near = 0.6 * burning_voltage <= mean_voltage <= 1.4 * burning_voltage
    return near and duration > 3.0 * settling and charger_current > 0.5 * short_circuit_current
