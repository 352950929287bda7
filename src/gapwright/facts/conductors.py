"""Copper wire: gauges, metric sizes and resistance."""

from functools import cache

from gapwright.base.checks import require_positive
from gapwright.base.errors import FactMissing
from gapwright.base.source import Fact
from gapwright.base.units import Kelvins, Metres, OhmsPerMetre, SquareMetres
from gapwright.facts._reading import data, fact_from

THICKEST_GAUGE = -3
"""Gauge 0000, counted as -3: 0 is gauge 0, -1 is 00, -2 is 000."""

THINNEST_GAUGE = 40

PI = 3.141592653589793


@cache
def copper(name: str) -> Fact:
    """Fact on annealed copper for wire: resistivity, temperature_coefficient, reference_temperature."""
    return fact_from(data("conductors")["copper"][name])


def gauge_diameter(gauge: int) -> Metres:
    r"""Bare diameter of a wire by American wire gauge.

    Parameters
    ----------
    gauge
        Gauge number from -3 (0000) to 40.

    Returns
    -------
    diameter
        Bare diameter. [m]

    Raises
    ------
    FactMissing
        If there is no such gauge.

    Notes
    -----
    .. math:: d = 0.127\,\mathrm{mm} \cdot 92^{(36 - n)/39}

    Holds by definition.
    Leaves out: the insulation.

    References
    ----------
    astm-b258

    Examples
    --------
    >>> print(f"{gauge_diameter(24) * 1e3:.3f} mm")
    0.511 mm
    """
    if gauge not in range(THICKEST_GAUGE, THINNEST_GAUGE + 1):
        raise FactMissing(
            f"a gauge must be a whole number from {THICKEST_GAUGE} (0000) to {THINNEST_GAUGE}, got {gauge}"
        )
    table = data("conductors")["gauge"]
    d, ratio = table["reference_diameter"]["value"], table["ratio"]["value"]
    n, steps = table["reference_gauge"]["value"], table["steps"]["value"]
    diameter: Metres = d * ratio ** ((n - gauge) / steps)
    return diameter


def resistance_per_metre(diameter: Metres, *, temperature: Kelvins = 293.15) -> OhmsPerMetre:
    r"""Direct-current resistance of a metre of round annealed copper wire.

    Parameters
    ----------
    diameter
        Bare diameter, above 0. [m]
    temperature
        Temperature of the wire, above 0. [K]

    Returns
    -------
    resistance
        Resistance of one metre. [Ω/m]

    Raises
    ------
    InputRefused
        If a value is not above 0.

    Notes
    -----
    .. math:: R' = \frac{4 \rho}{\pi d^2} \left(1 + \alpha (T - T_0)\right)

    Holds from about 200 K to 500 K and while the skin depth is above the radius.
    Leaves out: skin effect, proximity, joints.

    References
    ----------
    iec-60028

    Examples
    --------
    >>> print(f"{resistance_per_metre(gauge_diameter(24)) * 1e3:.1f} mΩ/m")
    84.2 mΩ/m
    """
    require_positive("diameter", diameter, "m")
    require_positive("temperature", temperature, "K")
    rho, alpha = copper("resistivity").value, copper("temperature_coefficient").value
    warm = 1.0 + alpha * (temperature - copper("reference_temperature").value)
    return 4.0 * rho / (PI * diameter**2) * warm


@cache
def wire_diameters() -> tuple[Metres, ...]:
    """Nominal bare diameters of enamelled copper wire, ascending, in m."""
    return tuple(data("conductors")["wire_diameter"]["value"])


@cache
def cable_areas() -> tuple[SquareMetres, ...]:
    """Nominal cross-sections of cables, ascending, in m²."""
    return tuple(data("conductors")["cable_area"]["value"])
