"""How firmly the controller holds the gap: gain, slope and lag of the loop, and what one step does.

The slope of mean gap voltage against gap follows from the generator's filling
curve: at a given gap the store fills until chance ignites it, sooner where the
gap is narrow. The curve comes from the exact engine, the hazard and the
working gap from the drilling shown.
"""

from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Metres, Number, PerSecond, Seconds
from gapwright.motion.loop import MOST_CAREFUL, is_stable, largest_gain, loop_product, step_hazard_ratio
from gapwright.study.drilling.tick_history import History
from gapwright.study.generator.network import network
from gapwright.study.generator.scenes import fill_time, gap_of, start_up
from gapwright.study.grounds.assemble import HAZARD_HEADROOM, Bench, swept_bore, swept_diameter, usual
from gapwright.study.grounds.outcome import GapLoop
from gapwright.study.grounds.uncertain import Member, field_name

SLICES = 4000
LONG_ENOUGH = 2.0
"""Times the filling takes, over which the curve is followed; then the store is taken to be full."""
LEAST, MOST = -30.0, 30.0
"""Logarithms of the hazard between which the one of the set point is sought."""
FAR_BEYOND = 100.0
"""Product of gain, slope and lag beyond which its number tells nothing more."""
LARGEST_STEP = 3.0
"""Factor on the hazard above which one step of the axis is worth a remark."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filling:
    """Gap voltage over time with the gap open, as a share of the open voltage, and its exposure."""

    time: NDArray[np.float64]
    share: NDArray[np.float64]
    exponent: Number
    exposure: NDArray[np.float64]
    """Integral of the share to the hazard's power, above the voltage where the hazard begins. [s]"""


def gap_loop(made: Bench, history: History) -> GapLoop | None:
    """Stability of the gap loop at the working gap of a drilling.

    None by contact, for a set point out of reach, or for a controller whose loop has no such margin
    (`has_margin`). Where the drilling never worked, the gap that the set point asks for stands in.

    Parameters
    ----------
    made
        Rig and job with their facts.
    history
        What the drilling did.
    """
    if made.dry or not has_margin(made):
        return None
    point = operating_point(made)
    if point is None:
        return None
    rig, lag = made.rig, loop_lag(made)
    gap, exponent = working_gap(history) or clean_gap(made, point.hazard), usual(made, "ignition-exponent")
    slope = exponent * point.sensitivity / gap
    product = loop_product(rig.controller.gain, sensor_slope=slope, lag=lag)
    step = step_hazard_ratio(gap, step=rig.axis.resolution, exponent=exponent)
    return GapLoop(
        product=product,
        gain_m_per_s=rig.controller.gain,
        slope_per_m=slope,
        lag_s=lag,
        working_gap_m=gap,
        step_hazard_ratio=step,
        calm_gain_m_per_s=largest_gain(slope, lag=lag),
        words=in_words(product, largest_gain(slope, lag=lag), step, resolution=rig.axis.resolution, gap=gap),
    )


def loop_lag(made: Bench) -> Seconds:
    """Lag of filter, control and axis together."""
    return made.rig.controller.filter_time + made.rig.controller.sample_time + made.rig.axis.lag


def has_margin(made: Bench) -> bool:
    """Whether the controller answers in proportion to the mean gap voltage, which makes a margin."""
    control = made.rig.controller
    return control.law == "proportional" and control.senses == "mean-gap-voltage"


def working_gap(history: History) -> Metres | None:
    """Gap at which most of the drilling went on; None if it hardly began.

    Parameters
    ----------
    history
        What the drilling did.

    Returns
    -------
    gap
        Median over time of the smallest gap. [m]
    """
    inside = (history.depth_m > 0.0) & (history.gap_high_m < 1e-3) & (history.gap_low_m > 0.0)
    if not inside.any():
        return None
    middles = 0.5 * (history.gap_low_m[inside] + history.gap_high_m[inside])
    return float(np.median(middles))


def filling(made: Bench, exponent: Number) -> Filling:
    """Filling curve of a rig's generator with the gap open.

    Parameters
    ----------
    made
        Rig and job with their facts.
    exponent
        Power of the voltage in the hazard.
    """
    netlist, control = network(made)
    start = start_up(netlist, control)
    span = min(start.window.stop, LONG_ENOUGH * fill_time(start))
    wave = start.ran.waveform("volts", gap_of(netlist).name, start=0.0, stop=span, slices=SLICES)
    share = 0.5 * (wave.low + wave.high) / made.ceiling
    floor = (made.burning + usual(made, HAZARD_HEADROOM)) / made.ceiling
    weight = np.where(share > floor, np.maximum(share, 0.0) ** exponent, 0.0)
    step = span / SLICES
    return Filling(time=wave.times, share=share, exponent=exponent, exposure=np.cumsum(weight) * step)


def mean_share(curve: Filling, hazard: PerSecond) -> Number:
    """Mean gap voltage as a share of the open voltage, where a full store ignites `hazard` times a second.

    Parameters
    ----------
    curve
        The filling curve.
    hazard
        Ignitions a second at the open voltage, above 0. [1/s]

    Returns
    -------
    share
        Of the open voltage, over waiting and filling.
    """
    alive = np.exp(-hazard * curve.exposure)
    step = float(curve.time[1] - curve.time[0])
    # Beyond the end of the curve the store stays full and waits for chance alone.
    last = float(curve.share[-1])
    rest = float(alive[-1]) / (hazard * last**curve.exponent)
    return float((np.dot(curve.share, alive) * step + last * rest) / (alive.sum() * step + rest))


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatingPoint:
    """What a set point asks of the gap, and how the mean share answers there."""

    hazard: PerSecond
    """Ignitions a second at the open voltage."""
    sensitivity: Number
    """Fall of the mean share for each unit of the hazard's logarithm."""


def operating_point(made: Bench) -> OperatingPoint | None:
    """Where the controller's set point holds the gap; None out of reach.

    Parameters
    ----------
    made
        Rig and job with their facts; in a liquid.
    """
    curve = filling(made, usual(made, "ignition-exponent"))
    hazard = hazard_for(curve, made.rig.controller.set_point)
    if hazard is None:
        return None
    return OperatingPoint(hazard=hazard, sensitivity=voltage_sensitivity(curve, hazard))


def clean_gap(made: Bench, hazard: PerSecond, member: Member | None = None) -> Metres:
    """Even gap without debris at which the liquid ignites so often at the open voltage.

    Parameters
    ----------
    made
        Rig and job with their facts; in a liquid.
    hazard
        Ignitions a second at the open voltage, above 0. [1/s]
    member
        A draw of the uncertain constants; the usual ones if not given.

    Returns
    -------
    gap
        Width, above 0. [m]
    """
    area = 0.25 * np.pi * (swept_diameter(made.rig) ** 2 - swept_bore(made.rig) ** 2)
    once = usual(made, "ignition-time", member) * usual(made, "ignition-area") * hazard / area
    field = usual(made, field_name(made.rig), member)
    return float(made.ceiling / (field * once ** (1.0 / usual(made, "ignition-exponent", member))))


def hazard_for(curve: Filling, set_point: Number) -> PerSecond | None:
    """Ignitions a second at the open voltage under which the mean share is the wanted one; None out of reach.

    Parameters
    ----------
    curve
        The filling curve.
    set_point
        Mean gap voltage wanted, as a share of the open voltage.

    Returns
    -------
    hazard
        Above 0. [1/s]
    """
    low, high = LEAST, MOST
    if not mean_share(curve, exp(high)) < set_point < mean_share(curve, exp(low)):
        return None
    while high - low > 1e-6:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if mean_share(curve, exp(middle)) > set_point else (low, middle)
    return exp(low)


def voltage_sensitivity(curve: Filling, hazard: PerSecond) -> Number:
    """Fall of the mean share for each unit of the hazard's logarithm.

    Parameters
    ----------
    curve
        The filling curve.
    hazard
        Ignitions a second at the open voltage, above 0. [1/s]

    Returns
    -------
    sensitivity
        Above 0, since a stronger hazard ignites sooner.
    """
    near = exp(0.05)
    return (mean_share(curve, hazard / near) - mean_share(curve, hazard * near)) / 0.1


def product_text(product: Number) -> str:
    """Product of gain, slope and lag as a person says it; of what is far beyond the limit, only that."""
    return f"{product:.2g}" if product < FAR_BEYOND else f"over {FAR_BEYOND:g}"


def in_words(product: Number, calm: float, step: Number, *, resolution: Metres, gap: Metres) -> str:
    """The loop in a sentence or two.

    Parameters
    ----------
    product
        Gain times slope times lag.
    calm
        Largest calm gain.
    step
        Factor of one step on the hazard.
    resolution, gap
        Of the axis; at which the drilling works. [m]
    """
    limit, found = 0.5 * np.pi, f"gain times slope times lag is {product_text(product)}"
    if product <= MOST_CAREFUL:
        said = f"The gap loop is calm: {found}, at most {MOST_CAREFUL:g}"
    elif is_stable(product):
        said = (
            f"The gap loop is stable but restless: {found}, calm up to "
            f"{MOST_CAREFUL:g}, unstable from {limit:.3g}; a gain of {printed_quantity(calm, 'm/s')} calms it"
        )
    else:
        said = (
            f"The gap loop is unstable: {found}, above {limit:.3g}; "
            f"a gain of {printed_quantity(calm, 'm/s')} or less lag calms it"
        )
    if step > LARGEST_STEP:
        said += (
            f". One step of {printed_quantity(resolution, 'm')} down to the working gap of "
            f"{printed_quantity(gap, 'm')} makes sparks {step:.2g} times as likely: finer steps steady it"
        )
    return said
