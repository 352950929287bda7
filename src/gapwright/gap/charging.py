"""Statistics of a resistor-charged store that fires by chance: breakdown voltage, period, power.

One number decides: the similarity Λ, the hazard at full voltage times the
time constant of charging.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import cumulative_simpson, simpson
from scipy.special import lambertw

from gapwright.base.checks import require_between, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Number

_POINTS = 4001
_SPAN = 40.0  # time constants after which charging is complete to the last digit


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargingStatistics:
    """What many cycles of charge and spark average to; voltages as shares of full charge.

    `period` is in time constants; `power` in energies of a full charge per time
    constant; `late` is the share of sparks above 0.95, `partial` below 0.7.
    """

    breakdown: Number
    breakdown_spread: Number
    period: Number
    mean_voltage: Number
    late: Number
    partial: Number
    power: Number


def charging_statistics(
    similarity: Number, *, exponent: Number = 5.0, dead_share: Number = 0.0, start_share: Number = 0.0
) -> ChargingStatistics:
    r"""Mean breakdown voltage, period and power of a resistor-charged store.

    Parameters
    ----------
    similarity
        Hazard at full voltage times the charging time constant, above 0.
    exponent
        Exponent of voltage in the hazard, above 0.
    dead_share
        Share of full voltage up to which nothing ignites, from 0 to below 1.
    start_share
        Share of full voltage at which charging starts, from 0 to below 1.

    Returns
    -------
    statistics
        Averages over many cycles.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    With v = 1 - (1 - v₀) exp(-s) and the survivor

    .. math:: S(s) = \exp\left(-\Lambda \int_0^s v^n \, ds\right)

    the period is :math:`\int S\,ds`, the mean breakdown share
    :math:`v_0 + \int v' S\,ds`, its mean square :math:`v_0^2 + \int 2 v v' S\,ds`.
    Holds for a hazard that is a power of voltage, a gap that stands still and
    a spark that is short against charging.
    Leaves out: shorts and arcs, leakage other than through full voltage.

    References
    ----------
    computed by quadrature

    Examples
    --------
    >>> one = charging_statistics(1.0)
    >>> print(f"{one.breakdown:.3f} {one.period:.2f} {one.mean_voltage:.3f}")
    0.899 2.86 0.686
    """
    require_positive("similarity", similarity, "")
    require_positive("exponent", exponent, "")
    for name, value in (("dead_share", dead_share), ("start_share", start_share)):
        require_between(name, value, 0.0, 1.0, "")
        if value >= 1.0:
            raise InputRefused(f"{name} must be below 1, got {value:g}; the store would never fire")
    first = max(dead_share, start_share)
    begin = float(np.log((1.0 - start_share) / (1.0 - first)))
    x = np.linspace(0.0, 1.0, _POINTS)
    since = _SPAN * x**4
    stretch = 4.0 * _SPAN * x**3
    v = 1.0 - (1.0 - first) * np.exp(-since)
    exposure = similarity * cumulative_simpson(v**exponent * stretch, x=x, initial=0.0)
    waiting = np.exp(-exposure)
    tail = float(waiting[-1]) / similarity
    rise = (1.0 - v) * stretch
    period = begin + float(simpson(waiting * stretch, x=x)) + tail
    mean = first + float(simpson(rise * waiting, x=x))
    square = first**2 + float(simpson(2.0 * v * rise * waiting, x=x))
    return ChargingStatistics(
        breakdown=mean,
        breakdown_spread=float(np.sqrt(max(0.0, square - mean**2))),
        period=period,
        mean_voltage=1.0 - (mean - start_share) / period,
        late=_above(0.95, v, exposure),
        partial=1.0 - _above(0.7, v, exposure),
        power=(square - start_share**2) / period,
    )


def _above(share: float, v: NDArray[np.float64], exposure: NDArray[np.float64]) -> float:
    """Share of sparks that come above this share of full voltage."""
    return float(np.exp(-np.interp(share, v, exposure)))


def best_breakdown_share() -> Number:
    r"""Share of full voltage at which firing without chance draws the most power.

    Returns
    -------
    share
        Breakdown voltage as a share of full voltage.

    Notes
    -----
    The power :math:`v^2 / (-\ln(1 - v))` is largest where

    .. math:: 2 a = e^a - 1, \quad v = 1 - e^{-a}

    Holds for a store charged through a resistor from 0 V.
    Leaves out: the chance in each breakdown.

    References
    ----------
    computed

    Examples
    --------
    >>> print(f"{best_breakdown_share():.4f}")
    0.7153
    """
    return 1.0 - float(np.exp(-best_charging_time()))


def best_charging_time() -> Number:
    r"""Charging time, in time constants, after which firing draws the most power.

    Returns
    -------
    time
        Charging time in time constants.

    Notes
    -----
    .. math:: a = -\tfrac12 - W_{-1}\left(-\tfrac12 e^{-1/2}\right)

    Holds for a store charged through a resistor from 0 V.
    Leaves out: the chance in each breakdown.

    References
    ----------
    computed

    Examples
    --------
    >>> print(f"{best_charging_time():.4f}")
    1.2564
    """
    return float(-0.5 - np.real(lambertw(-0.5 * np.exp(-0.5), -1)))
