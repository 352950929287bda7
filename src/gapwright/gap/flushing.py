"""Liquid through the bore of a tube electrode."""

import math

from gapwright.base.checks import require_positive
from gapwright.base.errors import OutOfRange
from gapwright.base.units import Density, Metres, Number, Pascals, Viscosity, VolumeRate

TURBULENT_FROM = 2300.0
"""Reynolds number from which flow in a pipe may be turbulent."""


def reynolds_number(flow: VolumeRate, *, bore: Metres, viscosity: Viscosity, density: Density) -> Number:
    r"""Reynolds number of the flow in a round bore.

    Parameters
    ----------
    flow
        Volume of liquid per time, above 0. [m³/s]
    bore
        Inner diameter of the tube, above 0. [m]
    viscosity
        Viscosity of the liquid, above 0. [Pa·s]
    density
        Density of the liquid, above 0. [kg/m³]

    Returns
    -------
    number
        Reynolds number.

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: Re = \frac{4 \rho Q}{\pi d \mu}

    Holds for a full round bore. Leaves out: the ends.

    References
    ----------
    definition

    Examples
    --------
    >>> Re = reynolds_number(7.854e-8, bore=0.2e-3, viscosity=1e-3, density=1000.0)
    >>> print(f"{Re:.0f}")
    500
    """
    require_positive("flow", flow, "m³/s")
    require_positive("bore", bore, "m")
    require_positive("viscosity", viscosity, "Pa·s")
    require_positive("density", density, "kg/m³")
    return 4.0 * density * flow / (math.pi * bore * viscosity)


def bore_flow(
    pressure: Pascals, *, bore: Metres, length: Metres, viscosity: Viscosity, density: Density = 1000.0
) -> VolumeRate:
    r"""Liquid that a pressure drives through the bore of a tube electrode.

    Parameters
    ----------
    pressure
        Pressure above that at the gap, above 0. [Pa]
    bore
        Inner diameter of the tube, above 0. [m]
    length
        Length of the tube, above 0. [m]
    viscosity
        Viscosity of the liquid, above 0. [Pa·s]
    density
        Density of the liquid, above 0. [kg/m³]

    Returns
    -------
    flow
        Volume of liquid per time. [m³/s]

    Raises
    ------
    InputRefused
        If a value above is not above 0.
    OutOfRange
        If the flow would be turbulent.

    Notes
    -----
    .. math:: Q = \frac{\pi d^4 \Delta p}{128 \mu l}

    Holds for laminar flow, below a Reynolds number of 2300.
    Leaves out: the pressure that the gap itself takes, the ends of the tube.

    References
    ----------
    hagen-poiseuille, laminar flow

    Examples
    --------
    >>> Q = bore_flow(0.3e6, bore=0.2e-3, length=150e-3, viscosity=1e-3)
    >>> print(f"{60e6 * Q:.2f} mL/min")
    4.71 mL/min
    """
    require_positive("pressure", pressure, "Pa")
    require_positive("bore", bore, "m")
    require_positive("length", length, "m")
    require_positive("viscosity", viscosity, "Pa·s")
    require_positive("density", density, "kg/m³")
    flow = math.pi * bore**4 * pressure / (128.0 * viscosity * length)
    number = reynolds_number(flow, bore=bore, viscosity=viscosity, density=density)
    if number >= TURBULENT_FROM:
        raise OutOfRange(
            f"laminar flow holds below a Reynolds number of {TURBULENT_FROM:g}, got {number:.0f}; "
            "the true flow is smaller"
        )
    return flow
