"""When the gap loop is stable: an integrator with dead time, and what one step does to the hazard."""

import math

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Metres, Number, PerMetre, Radians, Seconds, Speed

MOST_CAREFUL = 0.52
"""Product of gain, slope and lag that leaves a phase margin of 60 degrees."""


def loop_product(gain: Speed, *, sensor_slope: PerMetre, lag: Seconds) -> Number:
    r"""The one number that decides whether the gap loop is stable.

    Parameters
    ----------
    gain
        Speed for a whole open voltage above the set point, above 0. [m/s]
    sensor_slope
        Change of mean gap voltage, as a share of the open voltage, with gap, above 0. [1/m]
    lag
        Lag of filter, control and drive together, at least 0. [s]

    Returns
    -------
    product
        Below π/2 the loop is stable, at 0.52 it is calm.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: x = K G T

    Holds for small excursions. Leaves out: steps, backlash and limits, which need more margin.

    References
    ----------
    feedback-theory, integrator with dead time

    Examples
    --------
    >>> print(f"{loop_product(2e-3, sensor_slope=0.045e6, lag=13e-3):.2f}")
    1.17
    """
    require_positive("gain", gain, "m/s")
    require_positive("sensor_slope", sensor_slope, "1/m")
    require_not_negative("lag", lag, "s")
    return gain * sensor_slope * lag


def is_stable(product: Number) -> bool:
    """Whether a continuous loop with this product of gain, slope and lag settles: below π/2.

    Parameters
    ----------
    product
        Product of gain, slope and lag, at least 0.

    Raises
    ------
    InputRefused
        If the product is below 0.
    """
    require_not_negative("product", product, "")
    return product < 0.5 * math.pi


def phase_margin(product: Number) -> Radians:
    r"""Phase margin of the gap loop; below 0 it swings up.

    Parameters
    ----------
    product
        Product of gain, slope and lag, at least 0.

    Returns
    -------
    margin
        Phase margin. [rad]

    Raises
    ------
    InputRefused
        If the product is below 0.

    Notes
    -----
    .. math:: \varphi = \frac{\pi}{2} - K G T

    Holds for an integrator with dead time. Leaves out: sampling.

    References
    ----------
    feedback-theory, integrator with dead time

    Examples
    --------
    >>> print(f"{math.degrees(phase_margin(0.5236)):.0f}°")
    60°
    """
    require_not_negative("product", product, "")
    return 0.5 * math.pi - product


def largest_gain(sensor_slope: PerMetre, *, lag: Seconds, product: Number = MOST_CAREFUL) -> Speed:
    r"""Largest gain that keeps the gap calm.

    Parameters
    ----------
    sensor_slope
        Change of mean gap voltage, as a share of the open voltage, with gap, above 0. [1/m]
    lag
        Lag of filter, control and drive together, above 0. [s]
    product
        Product of gain, slope and lag that is allowed, above 0.

    Returns
    -------
    gain
        Speed for a whole open voltage above the set point. [m/s]

    Raises
    ------
    InputRefused
        If a value above is not above 0.

    Notes
    -----
    .. math:: K = \frac{x}{G T}

    Holds for small excursions. Leaves out: steps, backlash and limits.

    References
    ----------
    feedback-theory, integrator with dead time

    Examples
    --------
    >>> print(f"{1e3 * largest_gain(0.045e6, lag=4e-3):.1f} mm/s")
    2.9 mm/s
    """
    require_positive("sensor_slope", sensor_slope, "1/m")
    require_positive("lag", lag, "s")
    require_positive("product", product, "")
    return product / (sensor_slope * lag)


def sampled_limit(delay_ticks: int) -> Number:
    r"""Largest product of gain, slope and tick at which a sampled loop is stable.

    Parameters
    ----------
    delay_ticks
        Whole ticks between measuring and moving, at least 0.

    Returns
    -------
    limit
        The product must stay below this.

    Raises
    ------
    InputRefused
        If the delay is below 0.

    Notes
    -----
    For :math:`g_{k+1} = g_k - x\, g_{k-m}`

    .. math:: x < 2 \sin\frac{\pi}{2 (2 m + 1)}

    Holds for an even tick: 2 without delay, 1 with one tick, and π/2 over the
    ticks of delay for many. Leaves out: filters, steps, limits.

    References
    ----------
    feedback-theory, sampled integrator with whole delay; computed

    Examples
    --------
    >>> print(f"{sampled_limit(1):.3f}")
    1.000
    """
    if delay_ticks < 0:
        raise InputRefused(f"delay_ticks must be at least 0, got {delay_ticks}")
    return 2.0 * math.sin(0.5 * math.pi / (2 * delay_ticks + 1))


def step_hazard_ratio(gap: Metres, *, step: Metres, exponent: Number = 5.0) -> Number:
    r"""Factor by which one step of the axis towards the work raises the hazard of ignition.

    Parameters
    ----------
    gap
        Gap after the step, above 0. [m]
    step
        Step of the axis, at least 0. [m]
    exponent
        Exponent of the field in the hazard, above 0.

    Returns
    -------
    ratio
        Hazard after the step over that before.

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: r = \left(\frac{g + \Delta}{g}\right)^n

    Holds for an even gap. Leaves out: the rest of a rough face.

    References
    ----------
    computed from the power law of ignition

    Examples
    --------
    >>> print(f"{step_hazard_ratio(10e-6, step=2.5e-6):.2f}")
    3.05
    """
    require_positive("gap", gap, "m")
    require_not_negative("step", step, "m")
    require_positive("exponent", exponent, "")
    ratio: Number = (1.0 + step / gap) ** exponent
    return ratio
