"""How far a sudden dose of heat melts: point and plane sources, closed forms."""

import math

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.units import (
    CubicMetres,
    Diffusivity,
    EnergyDensity,
    EnergyPerArea,
    Joules,
    Metres,
    Seconds,
)


def point_source_radius(energy: Joules, *, heat_to_melt: EnergyDensity) -> Metres:
    r"""Largest radius that a sudden point source on a face brings to melting.

    Parameters
    ----------
    energy
        Energy absorbed, at least 0. [J]
    heat_to_melt
        Heat per volume that brings the metal to melting, above 0. [J/m³]

    Returns
    -------
    radius
        Radius of the molten half sphere at its largest. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: r^3 = \frac{2 Q}{\rho c \Delta T} \left(\frac{3}{2 \pi e}\right)^{3/2}

    Holds for an instant source, without latent heat.
    Leaves out: a spot of finite size, latent heat, boiling.

    References
    ----------
    carslaw-jaeger-1959, instantaneous point source

    Examples
    --------
    >>> r = point_source_radius(1e-3, heat_to_melt=7545.0 * 575.0 * 1508.0)
    >>> print(f"{1e6 * r:.2f} µm")
    28.23 µm
    """
    require_not_negative("energy", energy, "J")
    require_positive("heat_to_melt", heat_to_melt, "J/m³")
    radius: Metres = (2.0 * energy / heat_to_melt) ** (1.0 / 3.0) * math.sqrt(3.0 / (2.0 * math.pi * math.e))
    return radius


def point_source_volume(energy: Joules, *, heat_to_melt: EnergyDensity) -> CubicMetres:
    r"""Volume that a sudden point source on a face brings to melting.

    Parameters
    ----------
    energy
        Energy absorbed, at least 0. [J]
    heat_to_melt
        Heat per volume that brings the metal to melting, above 0. [J/m³]

    Returns
    -------
    volume
        Volume of everything that was ever molten. [m³]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: V = \tfrac{2}{3} \pi r^3 \approx 0.3084 \frac{Q}{\rho c \Delta T}

    Holds for an instant source, without latent heat: at most 31 % of the
    absorbed energy ends in ever-molten metal.
    Leaves out: a spot of finite size, latent heat, boiling.

    References
    ----------
    carslaw-jaeger-1959, instantaneous point source

    Examples
    --------
    >>> V = point_source_volume(1e-3, heat_to_melt=7545.0 * 575.0 * 1508.0)
    >>> print(f"{1e18 * V:.0f} µm³")
    47134 µm³
    """
    return 2.0 / 3.0 * math.pi * point_source_radius(energy, heat_to_melt=heat_to_melt) ** 3


def point_source_time(radius: Metres, *, diffusivity: Diffusivity) -> Seconds:
    r"""Time at which the melt of a sudden point source reaches its largest radius.

    Parameters
    ----------
    radius
        Largest radius of the melt, at least 0. [m]
    diffusivity
        Thermal diffusivity of the metal, above 0. [m²/s]

    Returns
    -------
    time
        Time after the source. [s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: t = \frac{r^2}{6 a}

    Holds for an instant source, without latent heat. Leaves out: latent heat, boiling.

    References
    ----------
    carslaw-jaeger-1959, instantaneous point source

    Examples
    --------
    >>> print(f"{1e6 * point_source_time(28.233e-6, diffusivity=1.2931e-5):.1f} µs")
    10.3 µs
    """
    require_not_negative("radius", radius, "m")
    require_positive("diffusivity", diffusivity, "m²/s")
    return radius**2 / (6.0 * diffusivity)


def plane_source_depth(energy: EnergyPerArea, *, heat_to_melt: EnergyDensity) -> Metres:
    r"""Deepest plane that a sudden even dose on a face brings to melting.

    Parameters
    ----------
    energy
        Energy absorbed per area, at least 0. [J/m²]
    heat_to_melt
        Heat per volume that brings the metal to melting, above 0. [J/m³]

    Returns
    -------
    depth
        Depth of everything that was ever molten. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: z = \sqrt{\frac{2}{\pi e}}\, \frac{Q}{\rho c \Delta T}

    Holds for an instant source, without latent heat: at most 48 % of the
    absorbed energy ends in ever-molten metal, the most that conduction allows.
    Leaves out: latent heat, boiling.

    References
    ----------
    carslaw-jaeger-1959, instantaneous plane source

    Examples
    --------
    >>> z = plane_source_depth(1e5, heat_to_melt=7545.0 * 575.0 * 1508.0)
    >>> print(f"{1e6 * z:.3f} µm")
    7.397 µm
    """
    require_not_negative("energy", energy, "J/m²")
    require_positive("heat_to_melt", heat_to_melt, "J/m³")
    return math.sqrt(2.0 / (math.pi * math.e)) * energy / heat_to_melt


def plane_source_time(depth: Metres, *, diffusivity: Diffusivity) -> Seconds:
    r"""Time at which the melt of a sudden even dose reaches its largest depth.

    Parameters
    ----------
    depth
        Largest depth of the melt, at least 0. [m]
    diffusivity
        Thermal diffusivity of the metal, above 0. [m²/s]

    Returns
    -------
    time
        Time after the dose. [s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: t = \frac{z^2}{2 a}

    Holds for an instant source, without latent heat. Leaves out: latent heat, boiling.

    References
    ----------
    carslaw-jaeger-1959, instantaneous plane source

    Examples
    --------
    >>> print(f"{1e6 * plane_source_time(7.3971e-6, diffusivity=1.2931e-5):.3f} µs")
    2.116 µs
    """
    require_not_negative("depth", depth, "m")
    require_positive("diffusivity", diffusivity, "m²/s")
    return depth**2 / (2.0 * diffusivity)
