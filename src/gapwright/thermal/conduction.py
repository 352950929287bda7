"""Surface temperatures of a half space that is heated steadily: closed forms, no melting."""

import math

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import (
    Density,
    Diffusivity,
    HeatFlux,
    Kelvins,
    Metres,
    Seconds,
    SpecificHeat,
    ThermalConductivity,
)


def diffusivity(
    conductivity: ThermalConductivity, *, density: Density, specific_heat: SpecificHeat
) -> Diffusivity:
    r"""Thermal diffusivity of a material.

    Parameters
    ----------
    conductivity
        Thermal conductivity, above 0. [W/(m·K)]
    density
        Density, above 0. [kg/m³]
    specific_heat
        Specific heat, above 0. [J/(kg·K)]

    Returns
    -------
    diffusivity
        Thermal diffusivity. [m²/s]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: a = \frac{k}{\rho c}

    Holds for a solid without change of phase. Leaves out: change with temperature.

    References
    ----------
    definition

    Examples
    --------
    >>> a = diffusivity(56.1, density=7545.0, specific_heat=575.0)
    >>> print(f"{1e6 * a:.2f} mm²/s")
    12.93 mm²/s
    """
    require_positive("conductivity", conductivity, "W/(m·K)")
    require_positive("density", density, "kg/m³")
    require_positive("specific_heat", specific_heat, "J/(kg·K)")
    return conductivity / (density * specific_heat)


def _require(elapsed: Seconds, flux: HeatFlux, conductivity: float, spreading: float) -> None:
    """Refuse what no heated half space has."""
    require_positive("elapsed", elapsed, "s")
    require_not_negative("flux", flux, "W/m²")
    require_positive("conductivity", conductivity, "W/(m·K)")
    require_positive("diffusivity", spreading, "m²/s")


def even_flux_rise(
    elapsed: Seconds, *, flux: HeatFlux, conductivity: ThermalConductivity, diffusivity: Diffusivity
) -> Kelvins:
    r"""Temperature rise of a face heated evenly all over.

    Parameters
    ----------
    elapsed
        Time since heating began, above 0. [s]
    flux
        Heat into the face, at least 0. [W/m²]
    conductivity
        Thermal conductivity of the body, above 0. [W/(m·K)]
    diffusivity
        Thermal diffusivity of the body, above 0. [m²/s]

    Returns
    -------
    rise
        Rise of the face. [K]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \Delta T = \frac{2 q}{k} \sqrt{\frac{a t}{\pi}}

    Holds while :math:`4\sqrt{a t}` is small against body and spot.
    Leaves out: melting, properties that change with temperature.

    References
    ----------
    carslaw-jaeger-1959, half space with constant flux

    Examples
    --------
    >>> rise = even_flux_rise(1e-6, flux=1e10, conductivity=56.1, diffusivity=1.2931e-5)
    >>> print(f"{rise:.1f} K")
    723.3 K
    """
    _require(elapsed, flux, conductivity, diffusivity)
    return 2.0 * flux / conductivity * math.sqrt(diffusivity * elapsed / math.pi)


def disc_rise(
    elapsed: Seconds,
    *,
    flux: HeatFlux,
    radius: Metres,
    conductivity: ThermalConductivity,
    diffusivity: Diffusivity,
) -> Kelvins:
    r"""Temperature rise in the middle of an evenly heated disc.

    Parameters
    ----------
    elapsed
        Time since heating began, above 0. [s]
    flux
        Heat into the disc, at least 0. [W/m²]
    radius
        Radius of the disc, above 0. [m]
    conductivity
        Thermal conductivity of the body, above 0. [W/(m·K)]
    diffusivity
        Thermal diffusivity of the body, above 0. [m²/s]

    Returns
    -------
    rise
        Rise of the disc's middle. [K]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \Delta T = \frac{2 q \sqrt{a t}}{k} \left(\frac{1}{\sqrt\pi}
              - \operatorname{ierfc}\frac{R}{2\sqrt{a t}}\right)

    Holds for a body that is large against disc and :math:`\sqrt{a t}`.
    Leaves out: melting, a disc that grows, properties that change with temperature.

    References
    ----------
    carslaw-jaeger-1959, disc source on a half space

    Examples
    --------
    >>> rise = disc_rise(10e-6, flux=1e10, radius=50e-6, conductivity=56.1, diffusivity=1.2931e-5)
    >>> print(f"{rise:.1f} K")
    2285.7 K
    """
    _require(elapsed, flux, conductivity, diffusivity)
    require_positive("radius", radius, "m")
    reach = math.sqrt(diffusivity * elapsed)
    x = radius / (2.0 * reach)
    # 1/√π - ierfc x, written so that a small x loses no digits.
    lost = -math.expm1(-x * x) / math.sqrt(math.pi) + x * math.erfc(x)
    return 2.0 * flux * reach / conductivity * lost


def gaussian_rise(
    elapsed: Seconds,
    *,
    peak_flux: HeatFlux,
    radius: Metres,
    conductivity: ThermalConductivity,
    diffusivity: Diffusivity,
) -> Kelvins:
    r"""Temperature rise in the middle of a spot heated by a Gaussian flux.

    Parameters
    ----------
    elapsed
        Time since heating began, above 0. [s]
    peak_flux
        Heat into the middle, at least 0. [W/m²]
    radius
        Radius at which the flux has fallen to 1/e, above 0. [m]
    conductivity
        Thermal conductivity of the body, above 0. [W/(m·K)]
    diffusivity
        Thermal diffusivity of the body, above 0. [m²/s]

    Returns
    -------
    rise
        Rise of the spot's middle. [K]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    With the flux :math:`q_0 e^{-r^2/s^2}`,

    .. math:: \Delta T = \frac{q_0 s}{k \sqrt\pi} \arctan\sqrt{\frac{4 a t}{s^2}}

    Holds for a body that is large against spot and :math:`\sqrt{a t}`.
    Leaves out: melting, a spot that grows, properties that change with temperature.

    References
    ----------
    carslaw-jaeger-1959, sources on a half space

    Examples
    --------
    >>> rise = gaussian_rise(
    ...     10e-6, peak_flux=1e10, radius=50e-6, conductivity=56.1, diffusivity=1.2931e-5)
    >>> print(f"{rise:.1f} K")
    2146.6 K
    """
    _require(elapsed, peak_flux, conductivity, diffusivity)
    require_positive("radius", radius, "m")
    angle = math.atan(math.sqrt(4.0 * diffusivity * elapsed) / radius)
    return peak_flux * radius / (conductivity * math.sqrt(math.pi)) * angle
