"""Breakdown of a gas gap: Paschen's law, and what takes over below some micrometres."""

import math
from dataclasses import dataclass

from gapwright.base.checks import require_positive
from gapwright.base.errors import OutOfRange
from gapwright.base.units import (
    Field,
    Metres,
    Number,
    Pascals,
    PerPressureLength,
    PressureLength,
    Volts,
    VoltsPerPressureLength,
)
from gapwright.gap._kernel import AirConstants, air_breakdown

ATMOSPHERE: Pascals = 101_325.0
"""One standard atmosphere [Pa]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaschenConstants:
    """What Paschen's law needs to know of a gas and its electrodes.

    `lowest` is the product of pressure and gap below which the formula is not
    used: its left branch is unphysical at gaps of micrometres.
    """

    ionisation: PerPressureLength
    strength: VoltsPerPressureLength
    secondary_yield: Number
    lowest: PressureLength

    def __post_init__(self) -> None:
        """Refuse constants that are not above 0."""
        require_positive("ionisation", self.ionisation, "1/(Pa·m)")
        require_positive("strength", self.strength, "V/(Pa·m)")
        require_positive("secondary_yield", self.secondary_yield, "")
        require_positive("lowest", self.lowest, "Pa·m")


AIR = PaschenConstants(ionisation=11.25, strength=273.75, secondary_yield=0.01, lowest=0.7599)
"""Air: A and B as printed for 15 /(cm·Torr) and 365 V/(cm·Torr), the yield from memory; used above
7.5 µm at one atmosphere, where the measured minimum lies."""

MEASURED_MINIMUM: Volts = 327.0
"""Lowest breakdown voltage measured in air at one atmosphere [V]; the formula does not give it."""

MEASURED_MINIMUM_GAP: Metres = 7.5e-6
"""Gap at which `MEASURED_MINIMUM` is found [m]."""

PLATEAU: Volts = 330.0
"""Breakdown voltage of machined surfaces in air at gaps of some micrometres, from memory [V]."""


def _closeness(constants: PaschenConstants) -> float:
    """ln(1 + 1/γ): the ionisations that one electron must cause."""
    return math.log1p(1.0 / constants.secondary_yield)


def paschen_voltage(
    gap: Metres, *, pressure: Pascals = ATMOSPHERE, constants: PaschenConstants = AIR
) -> Volts:
    r"""Breakdown voltage of a gas gap in an even field.

    Parameters
    ----------
    gap
        Distance between the electrodes, above 0. [m]
    pressure
        Pressure of the gas, above 0. [Pa]
    constants
        The gas and its electrodes.

    Returns
    -------
    voltage
        Voltage at which the gap breaks down. [V]

    Raises
    ------
    InputRefused
        If gap or pressure is not above 0.
    OutOfRange
        If pressure times gap is below the constants' lowest.

    Notes
    -----
    .. math:: V = \frac{B p d}{\ln(A p d) - \ln\ln(1 + 1/\gamma)}

    Holds from `constants.lowest`; in air at one atmosphere from 7.5 µm.
    Leaves out: field emission, roughness, the scatter of single breakdowns.

    References
    ----------
    paschen-form, introduction
    paschen-constants, air
    from memory: the yield of 0.01

    Examples
    --------
    >>> print(f"{paschen_voltage(10e-6):.0f} V")
    307 V
    """
    require_positive("gap", gap, "m")
    require_positive("pressure", pressure, "Pa")
    pd = pressure * gap
    if pd < constants.lowest:
        raise OutOfRange(
            f"Paschen's law is used from {constants.lowest:g} Pa·m, got {pd:.3g} Pa·m "
            f"({1e6 * gap:.3g} µm at {pressure:.6g} Pa); below it field emission and the plateau decide"
        )
    return constants.strength * pd / (math.log(constants.ionisation * pd) - math.log(_closeness(constants)))


def paschen_minimum_pressure_gap(constants: PaschenConstants = AIR) -> PressureLength:
    r"""Product of pressure and gap at which Paschen's formula is lowest.

    Parameters
    ----------
    constants
        The gas and its electrodes.

    Returns
    -------
    product
        Pressure times gap at the minimum. [Pa·m]

    Notes
    -----
    .. math:: (pd)_{min} = \frac{e}{A} \ln(1 + 1/\gamma)

    Holds for the formula with exactly these constants.
    Leaves out: the measured minimum, which these constants do not reproduce.

    References
    ----------
    paschen-form, introduction; computed from it

    Examples
    --------
    >>> print(f"{1e6 * paschen_minimum_pressure_gap() / ATMOSPHERE:.1f} µm")
    11.0 µm
    """
    return math.e * _closeness(constants) / constants.ionisation


def paschen_minimum_voltage(constants: PaschenConstants = AIR) -> Volts:
    r"""Lowest voltage of Paschen's formula.

    Parameters
    ----------
    constants
        The gas and its electrodes.

    Returns
    -------
    voltage
        Breakdown voltage at the minimum. [V]

    Notes
    -----
    .. math:: V_{min} = B (pd)_{min}

    Holds for the formula with exactly these constants.
    Leaves out: the measured minimum, 327 V at 7.5 µm in air.

    References
    ----------
    paschen-form, introduction; computed from it

    Examples
    --------
    >>> print(f"{paschen_minimum_voltage():.1f} V")
    305.3 V
    """
    return constants.strength * paschen_minimum_pressure_gap(constants)


def strike_gap(voltage: Volts, *, field: Field) -> Metres:
    r"""Gap at which a voltage strikes by field emission.

    Parameters
    ----------
    voltage
        Voltage across the gap, above 0. [V]
    field
        Field that strikes: about 75 to 350 V/µm from rough to polished, above 0. [V/m]

    Returns
    -------
    gap
        Widest gap that breaks down. [m]

    Raises
    ------
    InputRefused
        If voltage or field is not above 0.

    Notes
    -----
    .. math:: d = V / E

    Holds below about 3 µm in air at one atmosphere.
    Leaves out: the scatter of the field (log-normal, about a factor 2 either way).

    References
    ----------
    peschot-2014, abstract: 350 V/µm below 1 µm
    from memory: 150 V/µm for worked surfaces

    Examples
    --------
    >>> print(f"{1e6 * strike_gap(48.0, field=150e6):.2f} µm")
    0.32 µm
    """
    require_positive("voltage", voltage, "V")
    require_positive("field", field, "V/m")
    return voltage / field


def air_constants(*, pressure: Pascals = ATMOSPHERE, plateau: Volts = PLATEAU) -> AirConstants:
    """Air at a pressure, as the kernels take it.

    Parameters
    ----------
    pressure
        Pressure of the air, above 0. [Pa]
    plateau
        Voltage that air between small gaps bears whatever their size. [V]
    """
    return AirConstants(
        pressure=pressure,
        ionisation=AIR.ionisation,
        strength=AIR.strength,
        closeness=_closeness(AIR),
        lowest=AIR.lowest,
        plateau=plateau,
    )


def air_breakdown_voltage(
    gap: Metres, *, field: Field, pressure: Pascals = ATMOSPHERE, plateau: Volts = PLATEAU
) -> Volts:
    r"""Breakdown voltage of an air gap from tenths of a micrometre to millimetres.

    Parameters
    ----------
    gap
        Distance between the electrodes, above 0. [m]
    field
        Field that strikes by field emission, above 0. [V/m]
    pressure
        Pressure of the air, above 0. [Pa]
    plateau
        Voltage that holds between field emission and Paschen's law, above 0. [V]

    Returns
    -------
    voltage
        Voltage at which the gap breaks down. [V]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: V = \min(E d, \max(V_{Paschen}, V_{plateau}))

    with Paschen's law only where it is used, the plateau alone below.
    Holds from about 0.1 µm at pressures near one atmosphere.
    Leaves out: roughness other than through the field, curved paths, scatter.

    References
    ----------
    peschot-2014, abstract
    paschen-form, introduction
    slade-taylor-2002, plateau

    Examples
    --------
    >>> print(f"{air_breakdown_voltage(5e-6, field=150e6):.0f} V")
    330 V
    """
    require_positive("gap", gap, "m")
    require_positive("field", field, "V/m")
    require_positive("pressure", pressure, "Pa")
    require_positive("plateau", plateau, "V")
    return air_breakdown(gap, field, air_constants(pressure=pressure, plateau=plateau))
