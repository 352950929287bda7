"""Contacts that part: the arc they draw and whether the gap strikes again."""

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import (
    Amperes,
    EnergyPerCurrentSquared,
    Field,
    Henries,
    Joules,
    Speed,
    Volts,
    VoltsPerSecond,
)


def break_energy(
    current: Amperes,
    *,
    inductance: Henries,
    voltage: Volts,
    arc_voltage: Volts,
    coefficient: EnergyPerCurrentSquared = 10e-6,
) -> Joules:
    r"""Energy of the arc when contacts that carry a current part.

    Parameters
    ----------
    current
        Current at the moment of parting, at least 0. [A]
    inductance
        Inductance of the loop, at least 0. [H]
    voltage
        Voltage that drives the loop, at least 0. [V]
    arc_voltage
        Voltage of the arc, above 0. [V]
    coefficient
        Energy per squared current of bridge and short arc, at least 0. [J/A²]

    Returns
    -------
    energy
        Energy of the parting arc. [J]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: E = \max\left(\kappa I^2,\;
              \tfrac12 L I^2 \frac{V_{arc}}{V_{arc} - V_0}\right)

    the second only where :math:`V_0 < V_{arc}`.
    Holds for small inductances and currents of some amperes; the coefficient
    is to be measured. Leaves out: an arc that stands, which takes far more.

    References
    ----------
    break-erosion, abstract: both grow as the squared current
    from memory, the coefficient

    Examples
    --------
    >>> E = break_energy(2.0, inductance=1e-6, voltage=48.0, arc_voltage=13.0)
    >>> print(f"{1e6 * E:.0f} µJ")
    40 µJ
    """
    require_not_negative("current", current, "A")
    require_not_negative("inductance", inductance, "H")
    require_not_negative("voltage", voltage, "V")
    require_positive("arc_voltage", arc_voltage, "V")
    require_not_negative("coefficient", coefficient, "J/A²")
    bridge = coefficient * current**2
    if voltage >= arc_voltage:
        return bridge
    return max(bridge, 0.5 * inductance * current**2 * arc_voltage / (arc_voltage - voltage))


def safe_voltage_rise(retract_speed: Speed, *, field: Field) -> VoltsPerSecond:
    r"""Rate of recharging below which a gap that opens does not strike again.

    Parameters
    ----------
    retract_speed
        Speed at which the electrode is drawn back, at least 0. [m/s]
    field
        Field that strikes by field emission, above 0. [V/m]

    Returns
    -------
    rate
        Fastest rise of voltage that stays below the strike line. [V/s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \frac{dV}{dt} = E v

    Holds below 300 V in air. Leaves out: hot vapour left by the last spark.

    References
    ----------
    computed from the strike field

    Examples
    --------
    >>> print(f"{safe_voltage_rise(1e-3, field=150e6) / 1e3:.0f} V/ms")
    150 V/ms
    """
    require_not_negative("retract_speed", retract_speed, "m/s")
    require_positive("field", field, "V/m")
    return field * retract_speed
