"""When a spark comes: ignition in a liquid as a hazard."""

import math
from dataclasses import dataclass

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import Field, Metres, Number, PerSecond, Seconds, SquareMetres, Volts
from gapwright.gap._kernel import HazardConstants, ignition_weight, is_immediate, memory_factor, voltage_power

MARGIN: Volts = 10.0
"""Voltage above burning that a useful hazard needs; below it nothing ignites (common practice) [V]."""

SMALLEST_GAP: Metres = 2e-6
"""Gap that roughness and debris leave even at touch, before half a step of the axis is added [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazard:
    """How readily a liquid gap ignites: `reference_field` ignites `reference_area` once a `reference_time`.

    `smallest_gap` is the narrowest gap the axis can hold; `memory_*` make the
    place of the last spark likelier while it is still hot and ionised.
    """

    reference_field: Field = 6e6
    reference_time: Seconds = 20e-6
    reference_area: SquareMetres = 1e-6
    exponent: Number = 5.0
    reference_debris: Number = 0.02
    intrinsic_field: Field = 50e6
    smallest_gap: Metres = SMALLEST_GAP
    memory_gain: Number = 50.0
    memory_time: Seconds = 1.2e-6
    memory_range: Metres = 60e-6

    def __post_init__(self) -> None:
        """Refuse constants outside their ranges."""
        require_positive("reference_field", self.reference_field, "V/m")
        require_positive("reference_time", self.reference_time, "s")
        require_positive("reference_area", self.reference_area, "m²")
        require_positive("exponent", self.exponent, "")
        require_positive("reference_debris", self.reference_debris, "")
        require_positive("intrinsic_field", self.intrinsic_field, "V/m")
        require_positive("smallest_gap", self.smallest_gap, "m")
        require_not_negative("memory_gain", self.memory_gain, "")
        require_positive("memory_time", self.memory_time, "s")
        require_positive("memory_range", self.memory_range, "m")

    @property
    def constants(self) -> HazardConstants:
        """The same numbers as the kernels take them."""
        return HazardConstants(
            reference_time=self.reference_time,
            reference_field=self.reference_field,
            reference_area=self.reference_area,
            exponent=self.exponent,
            reference_debris=self.reference_debris,
            intrinsic_field=self.intrinsic_field,
            smallest_gap=self.smallest_gap,
            memory_gain=self.memory_gain,
            memory_time=self.memory_time,
            memory_range=self.memory_range,
        )


def smallest_gap(resolution: Metres, *, rough: Metres = SMALLEST_GAP) -> Metres:
    r"""Narrowest gap that an axis can hold.

    Parameters
    ----------
    resolution
        True step of the axis, at least 0. [m]
    rough
        Gap that roughness and debris leave at touch, above 0. [m]

    Returns
    -------
    gap
        Narrowest gap. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: g_0 = g_{rough} + \Delta / 2

    Holds for axes that move in whole steps.
    Leaves out: vibration and run-out.

    References
    ----------
    common practice, no source

    Examples
    --------
    >>> print(f"{1e6 * smallest_gap(10e-6):.1f} µm")
    7.0 µm
    """
    require_not_negative("resolution", resolution, "m")
    require_positive("rough", rough, "m")
    return rough + 0.5 * resolution


def ignition_rate(
    voltage: Volts,
    gap: Metres,
    *,
    area: SquareMetres,
    dead_voltage: Volts,
    debris: Number = 0.0,
    hazard: Hazard,
) -> PerSecond:
    r"""Ignitions per second that a steady voltage would give across a liquid gap.

    Parameters
    ----------
    voltage
        Voltage across the gap, at least 0. [V]
    gap
        Distance between the electrodes, above 0. [m]
    area
        Area that faces at this gap, above 0. [m²]
    dead_voltage
        Voltage up to which nothing ignites: burning voltage and 10 V, at least 0. [V]
    debris
        Share of the gap's volume that is debris, at least 0.
    hazard
        How readily the liquid ignites.

    Returns
    -------
    rate
        Hazard of ignition; infinite above the intrinsic field. [1/s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \lambda = \frac{1}{t_{ref}} \frac{a}{A_{ref}}
              \left(\frac{V}{\max(g, g_0) E_{ref}}\right)^n \left(1 + \frac{c}{c_{ref}}\right)

    and 0 up to the dead voltage. A steady voltage then waits exponentially.
    Holds as a working law for gaps of about 2 to 50 µm in water or oil; the
    exponent (3 to 8) and the field (4 to 15 V/µm) are to be calibrated.
    Leaves out: bridges of debris, the formative time (below about 1 µs),
    memory of the last spark.

    References
    ----------
    morimoto-kunieda-2009, the structure
    from memory: every number; common practice for the exponent and the dead voltage

    Examples
    --------
    >>> rate = ignition_rate(70.0, 8e-6, area=0.165e-6, dead_voltage=35.0, hazard=Hazard())
    >>> print(f"{1e6 / rate:.0f} µs")
    18 µs
    """
    require_not_negative("voltage", voltage, "V")
    require_positive("gap", gap, "m")
    require_positive("area", area, "m²")
    require_not_negative("dead_voltage", dead_voltage, "V")
    require_not_negative("debris", debris, "")
    k = hazard.constants
    if voltage > dead_voltage and is_immediate(voltage, gap, k):
        return math.inf
    return ignition_weight(gap, area, debris, k) * voltage_power(voltage, dead_voltage, hazard.exponent)


def memory_gain(since: Seconds, *, distance: Metres, hazard: Hazard) -> Number:
    r"""How many times likelier a spark is near the place of the last one.

    Parameters
    ----------
    since
        Time since the last spark went out, at least 0. [s]
    distance
        Distance from its place, at least 0. [m]
    hazard
        How readily the liquid ignites, and for how long it remembers.

    Returns
    -------
    gain
        Factor on the hazard, at least 1.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: f = 1 + M e^{-t/\tau_{de}} e^{-x^2/r_m^2}

    Holds as a working law; the gain may be anything from 0 to 500.
    Leaves out: the debris of the last spark, its vapour bubble.

    References
    ----------
    morimoto-kunieda-2009, the structure
    from memory: every number

    Examples
    --------
    >>> gain = memory_gain(3.6e-6, distance=0.0, hazard=Hazard())
    >>> print(f"{gain:.1f}")
    3.5
    """
    require_not_negative("since", since, "s")
    require_not_negative("distance", distance, "m")
    return memory_factor(since, distance, hazard.constants)
