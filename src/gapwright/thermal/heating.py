"""How warm the work gets: a sheet heated at its middle."""

import math

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Kelvins, Metres, ThermalConductivity, Watts


def sheet_rise(
    power: Watts,
    *,
    thickness: Metres,
    conductivity: ThermalConductivity,
    inner_radius: Metres,
    outer_radius: Metres,
) -> Kelvins:
    r"""Temperature difference across a sheet that carries heat outwards from its middle.

    Parameters
    ----------
    power
        Heat put in at the middle, at least 0. [W]
    thickness
        Thickness of the sheet, above 0. [m]
    conductivity
        Thermal conductivity of the sheet, above 0. [W/(m·K)]
    inner_radius
        Radius at which the heat enters, above 0. [m]
    outer_radius
        Radius at which the sheet is held cold, above the inner one. [m]

    Returns
    -------
    rise
        Temperature at the inner radius above that at the outer one. [K]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \Delta T = \frac{P \ln(r_2 / r_1)}{2 \pi k t}

    Holds once the heat flows steadily, in a sheet that loses none on the way.
    Leaves out: cooling by the liquid, which in a flooded rig does most.

    References
    ----------
    fourier, radial conduction

    Examples
    --------
    >>> rise = sheet_rise(
    ...     5.0, thickness=0.15e-3, conductivity=25.0, inner_radius=0.4e-3, outer_radius=10e-3)
    >>> print(f"{rise:.0f} K")
    683 K
    """
    require_not_negative("power", power, "W")
    require_positive("thickness", thickness, "m")
    require_positive("conductivity", conductivity, "W/(m·K)")
    require_positive("inner_radius", inner_radius, "m")
    require_positive("outer_radius", outer_radius, "m")
    if not outer_radius > inner_radius:
        raise InputRefused(
            f"outer_radius must be above inner_radius {inner_radius:g} m, got {outer_radius:g} m"
        )
    return power * math.log(outer_radius / inner_radius) / (2.0 * math.pi * conductivity * thickness)
