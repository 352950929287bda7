"""Compiled cores of ignition, debris and classes.

The hazard of ignition splits into a weight that depends on place (gap, area,
debris, memory) and an integral that depends on voltage alone. A drilling adds
up weights, draws a wanted exposure from Exp(1) / weight and asks when the
voltage has given it. Exposure is the integral of (V / 1 V)**n over time [s],
counted only above the dead voltage. SI units throughout.
"""

from typing import NamedTuple

import numpy as np

from gapwright.base.compiled import compiled

LEGENDRE_X = (0.1834346424956498, 0.525532409916329, 0.7966664774136267, 0.9602898564975363)
LEGENDRE_W = (0.362683783378362, 0.31370664587788727, 0.22238103445337448, 0.10122853629037626)
PANEL = 1.0  # share of the time constant per quadrature panel
FLAT = 40.0  # time constants after which a charging curve is flat to the last digit

OPEN, NORMAL, PARTIAL, TRANSIENT_ARC, STATIONARY_ARC, SHORT, CONTACT = 0, 1, 2, 3, 4, 5, 6


class HazardConstants(NamedTuple):
    """Ignition constants as the kernels take them; made by `gapwright.gap.delay.Hazard.constants`."""

    reference_time: float
    reference_field: float
    reference_area: float
    exponent: float
    reference_debris: float
    intrinsic_field: float
    smallest_gap: float
    memory_gain: float
    memory_time: float
    memory_range: float


@compiled
def memory_factor(since: float, distance: float, hazard: HazardConstants) -> float:
    """How many times likelier a spark is near the place of the last one."""
    near = distance / hazard.memory_range
    fading = np.exp(-since / hazard.memory_time - near * near)
    return 1.0 + hazard.memory_gain * fading  # type: ignore[no-any-return]


@compiled
def ignition_weight(gap: float, area: float, debris: float, hazard: HazardConstants) -> float:
    """Hazard of one cell at 1 V, without memory [1/s]; multiply by (V / 1 V)**n."""
    width = max(gap, hazard.smallest_gap)
    field = 1.0 / (width * hazard.reference_field)
    crowding = 1.0 + debris / hazard.reference_debris
    power: float = field**hazard.exponent
    return power * crowding * area / hazard.reference_area / hazard.reference_time


@compiled
def is_immediate(voltage: float, gap: float, hazard: HazardConstants) -> bool:
    """Whether the field alone breaks the liquid down at once."""
    return voltage > hazard.intrinsic_field * max(gap, hazard.smallest_gap)


@compiled
def voltage_power(voltage: float, dead_voltage: float, exponent: float) -> float:
    """(V / 1 V)**n above the dead voltage, else 0."""
    if voltage <= dead_voltage:
        return 0.0
    power: float = voltage**exponent
    return power


@compiled
def _charging_panel(a: float, b: float, start: float, final: float, exponent: float) -> float:
    """Integral of V**n over times a to b, in time constants, eight Gauss-Legendre points."""
    half = 0.5 * (b - a)
    middle = 0.5 * (a + b)
    total = 0.0
    for i in range(4):
        x = half * LEGENDRE_X[i]
        low = final - (final - start) * np.exp(-(middle - x))
        high = final - (final - start) * np.exp(-(middle + x))
        total += LEGENDRE_W[i] * (low**exponent + high**exponent)
    return total * half


@compiled
def _live_from(start: float, final: float, dead_voltage: float) -> float:
    """Time constants until a charging curve passes the dead voltage; inf if never."""
    if start > dead_voltage:
        return 0.0
    if final <= dead_voltage:
        return np.inf
    return np.log((final - start) / (final - dead_voltage))  # type: ignore[no-any-return]


@compiled
def _live_until(start: float, final: float, dead_voltage: float) -> float:
    """Time constants at which a falling curve sinks to the dead voltage; inf if it stays above."""
    if start > dead_voltage >= final:
        return np.log((start - final) / (max(dead_voltage, 0.0) - final)) if dead_voltage > final else np.inf
    return np.inf


@compiled
def charging_exposure(
    duration: float, start: float, final: float, time_constant: float, dead_voltage: float, exponent: float
) -> float:
    """Exposure of a curve that goes from `start` to `final` exponentially, over `duration` [s]."""
    begin = _live_from(start, final, dead_voltage)
    end = min(duration / time_constant, _live_until(start, final, dead_voltage))
    if begin >= end:
        return 0.0
    total = 0.0
    at = begin
    while at < end and at < FLAT:
        then = min(at + PANEL, end)
        total += _charging_panel(at, then, start, final, exponent)
        at = then
    if at < end:
        total += (end - at) * voltage_power(final, dead_voltage, exponent)
    return total * time_constant


@compiled
def charging_delay(
    exposure: float, start: float, final: float, time_constant: float, dead_voltage: float, exponent: float
) -> float:
    """Time after which a charging curve has given `exposure` [s]; inf if it never does."""
    at = _live_from(start, final, dead_voltage)
    last = _live_until(start, final, dead_voltage)
    if at == np.inf:
        return np.inf
    wanted = exposure / time_constant
    while at < FLAT and at < last:
        then = min(at + PANEL, last)
        panel = _charging_panel(at, then, start, final, exponent)
        if panel >= wanted:
            low, high = at, then
            x = at + (then - at) * wanted / panel
            for _ in range(60):
                miss = _charging_panel(at, x, start, final, exponent) - wanted
                if miss > 0.0:
                    high = x
                else:
                    low = x
                slope = (final - (final - start) * np.exp(-x)) ** exponent
                step = x - miss / slope
                new = step if low < step < high else 0.5 * (low + high)
                if abs(new - x) <= 1e-11 * (1.0 + x):
                    x = new
                    break
                x = new
            return x * time_constant
        wanted -= panel
        at = then
    if at >= last:
        return np.inf
    rate = voltage_power(final, dead_voltage, exponent)
    return (at + wanted / rate) * time_constant if rate > 0.0 else np.inf


@compiled
def _powered(v: float, exponent: float) -> float:
    """Integral of V**n from 0 to v."""
    power: float = v ** (exponent + 1.0)
    return power / (exponent + 1.0)


@compiled
def ramp_exposure(duration: float, start: float, end: float, dead_voltage: float, exponent: float) -> float:
    """Exposure of a voltage that goes straight from `start` to `end` in `duration` [s]."""
    low, high = min(start, end), max(start, end)
    if high <= dead_voltage:
        return 0.0
    low_live = max(low, dead_voltage, 0.0)
    rise = high - low
    if rise <= 1e-9 * high:
        return duration * voltage_power(0.5 * (low + high), dead_voltage, exponent)
    return duration * (_powered(high, exponent) - _powered(low_live, exponent)) / rise


@compiled
def ramp_delay(
    exposure: float, duration: float, start: float, end: float, dead_voltage: float, exponent: float
) -> float:
    """Time on a straight piece after which it has given `exposure` [s]; inf if the piece ends first."""
    if exposure > ramp_exposure(duration, start, end, dead_voltage, exponent):
        return np.inf
    rise = end - start
    if abs(rise) <= 1e-9 * max(start, end):
        return exposure / voltage_power(0.5 * (start + end), dead_voltage, exponent)
    share = exposure * abs(rise) / duration
    n1 = exponent + 1.0
    if rise > 0.0:
        first = max(start, dead_voltage, 0.0)
        reached = first**n1 + n1 * share
    else:
        reached = max(0.0, start**n1 - n1 * share)
    v: float = reached ** (1.0 / n1)
    return (v - start) / rise * duration


@compiled
def debris_after(
    share: float, duration: float, added_volume: float, gap_volume: float, flushing_time: float, cap: float
) -> float:
    """Share of debris in the gap after `duration`, fed evenly with `added_volume` of metal."""
    kept = np.exp(-duration / flushing_time)
    balance = added_volume / gap_volume * flushing_time / duration
    return min(cap, balance + (share - balance) * kept)  # type: ignore[no-any-return]


@compiled
def bridging_chance(debris: float, gap: float, particle: float, stickiness: float) -> float:
    """Chance that one discharge leaves a conducting bridge of debris, 0 to 1."""
    return min(1.0, stickiness * debris * particle / gap)


@compiled
def breakdown_share(breakdown_voltage: float, open_voltage: float, burning_voltage: float) -> float:
    """Breakdown voltage on a scale from burning (0) to open (1)."""
    return (breakdown_voltage - burning_voltage) / (open_voltage - burning_voltage)


@compiled
def class_code(share: float, normal_from: float, partial_from: float, arcs_of_last_eight: int) -> int:
    """Class of a capacitor's discharge from its breakdown share; five of eight arcs stand still."""
    if share >= normal_from:
        return NORMAL
    if share >= partial_from:
        return PARTIAL
    return STATIONARY_ARC if arcs_of_last_eight >= 5 else TRANSIENT_ARC
