"""What removal is multiplied by: material, polarity, the share of sparks that remove at all."""

import math

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import (
    Celsius,
    Density,
    EnergyDensity,
    Kelvins,
    Number,
    SpecificEnergy,
    SpecificHeat,
    ThermalConductivity,
)
from gapwright.thermal.quantiles import banded_quantile


def heat_to_melt(
    melting_point: Kelvins,
    *,
    ambient: Kelvins = 298.15,
    density: Density,
    specific_heat: SpecificHeat,
    latent_heat: SpecificEnergy = 0.0,
) -> EnergyDensity:
    r"""Heat that melts a volume of metal, with a constant specific heat.

    Parameters
    ----------
    melting_point
        Melting point, above the ambient. [K]
    ambient
        Temperature of the cold metal, above 0. [K]
    density
        Density of the metal, above 0. [kg/m³]
    specific_heat
        Mean specific heat up to melting, above 0. [J/(kg·K)]
    latent_heat
        Heat of fusion, at least 0. [J/kg]

    Returns
    -------
    heat
        Heat per volume of cold metal. [J/m³]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: h = \rho (c (T_m - T_0) + L)

    Holds as well as the mean specific heat does. Leaves out: changes of phase
    in the solid; with the specific heat at room temperature iron comes out
    29 % low, so take the enthalpy where it is known.

    References
    ----------
    definition

    Examples
    --------
    >>> h = heat_to_melt(1811.15, density=7870.0, specific_heat=449.5, latent_heat=247.3e3)
    >>> print(f"{h / 1e9:.1f} J/mm³")
    7.3 J/mm³
    """
    require_positive("ambient", ambient, "K")
    require_positive("density", density, "kg/m³")
    require_positive("specific_heat", specific_heat, "J/(kg·K)")
    if not latent_heat >= 0.0:
        raise InputRefused(f"latent_heat must be at least 0 J/kg, got {latent_heat:g} J/kg")
    if not melting_point > ambient:
        raise InputRefused(f"melting_point must be above the ambient {ambient:g} K, got {melting_point:g} K")
    return density * (specific_heat * (melting_point - ambient) + latent_heat)


def melt_volume_factor(heat_to_melt: EnergyDensity, *, of_steel: EnergyDensity) -> Number:
    r"""Volume that a dose of heat melts, relative to steel: the material factor of removal.

    Parameters
    ----------
    heat_to_melt
        Heat that melts a volume of the metal, above 0. [J/m³]
    of_steel
        Heat that melts the same volume of steel, above 0. [J/m³]

    Returns
    -------
    factor
        Molten volume over that of steel at equal energy.

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: f_{mat} = \frac{h_{steel}}{h}

    exact for a sudden point source, whatever the conductivity.
    Holds for metals that melt as one. Leaves out: heat that good conductors
    carry off during the pulse, so copper and silver come out high; vapour;
    graphite and carbides, which do not melt as one.

    References
    ----------
    carslaw-jaeger-1959, instantaneous point source; computed from it

    Examples
    --------
    >>> print(f"{melt_volume_factor(17.97e9, of_steel=10.27e9):.2f}")
    0.57
    """
    require_positive("heat_to_melt", heat_to_melt, "J/m³")
    require_positive("of_steel", of_steel, "J/m³")
    return of_steel / heat_to_melt


def erosion_resistance(
    conductivity: ThermalConductivity,
    *,
    specific_heat: SpecificHeat,
    melting_point: Celsius,
    of_steel: Number = 1.0,
) -> Number:
    r"""How well a metal withstands sparks: for ranking only.

    Parameters
    ----------
    conductivity
        Thermal conductivity, above 0. [W/(m·K)]
    specific_heat
        Specific heat, above 0. [J/(kg·K)]
    melting_point
        Melting point, above 0. [°C]
    of_steel
        The same product for steel, to divide by, above 0.

    Returns
    -------
    resistance
        Product of the three, relative to `of_steel`.

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: C = k c T_m^2

    Holds as a ranking of metals. Leaves out: boiling, which ranks small sparks
    better; graphite and carbides, which do not melt as one.

    References
    ----------
    from memory, erodibility after Palatnik
    tsai-masuzawa-2004, boiling point instead

    Examples
    --------
    >>> steel = erosion_resistance(50.0, specific_heat=475.0, melting_point=1500.0)
    >>> C = erosion_resistance(398.0, specific_heat=384.0, melting_point=1084.6, of_steel=steel)
    >>> print(f"{C:.1f}")
    3.4
    """
    require_positive("conductivity", conductivity, "W/(m·K)")
    require_positive("specific_heat", specific_heat, "J/(kg·K)")
    require_positive("melting_point", melting_point, "°C")
    require_positive("of_steel", of_steel, "")
    return conductivity * specific_heat * melting_point**2 / of_steel


def polarity_factor_quantile(chance: Number, *, band: Number = 1.5) -> Number:
    r"""Effect of polarity and duration on removal, at a chance.

    Parameters
    ----------
    chance
        Share of members below the value, strictly between 0 and 1.
    band
        Factor of the 90 % band, above 1.

    Returns
    -------
    factor
        Factor on removal, median 1.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: f = b^{z / z_{95}}

    Holds as a guess. Leaves out: the turn from positive to negative workpiece
    somewhere between 5 and 50 µs in hydrocarbon.

    References
    ----------
    from memory, a guess

    Examples
    --------
    >>> print(f"{polarity_factor_quantile(0.95):.2f}")
    1.50
    """
    if not 1.0 < band < math.inf:
        raise InputRefused(f"band must be a factor above 1, got {band:g}")
    return banded_quantile(chance, median=1.0, low=1.0 / band, high=band)


def effective_share_quantile(
    chance: Number, *, median: Number = 0.2, low: Number = 0.05, high: Number = 0.6
) -> Number:
    r"""Share of sparks that remove metal, at a chance.

    Parameters
    ----------
    chance
        Share of members below the value, strictly between 0 and 1.
    median
        Median share.
    low
        5th percentile, above 0.
    high
        95th percentile, at most 1.

    Returns
    -------
    share
        Share of sparks, cut off at 1.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \lambda = m (h/m)^{z/z_{95}}, \quad \lambda \le 1

    with l for h below the median.
    Holds for tube drilling with flow. Leaves out: flushing by dipping only
    (time five times either way). One test hole beats any prior.

    References
    ----------
    common practice, no source

    Examples
    --------
    >>> print(f"{effective_share_quantile(0.05):.3f}")
    0.050
    """
    if not high <= 1.0:
        raise InputRefused(f"high must be at most 1, a share, got {high:g}")
    return banded_quantile(chance, median=median, low=low, high=high, ceiling=1.0)
