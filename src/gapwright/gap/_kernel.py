"""Compiled cores of ignition, debris and classes.

The hazard of ignition splits into a weight that depends on place (gap, area,
debris, memory) and a power of the voltage, counted only above the dead
voltage. What a ring remembers of a spark is in `_kernel_memory`. SI units throughout.
"""

from typing import NamedTuple

import numpy as np

from gapwright.base.compiled import compiled

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


class AirConstants(NamedTuple):
    """Air and its surfaces as the kernels take them; made by `gapwright.gap.breakdown.air_constants`."""

    pressure: float
    ionisation: float
    strength: float
    closeness: float
    lowest: float
    plateau: float


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
def air_breakdown(gap: float, field: float, air: AirConstants) -> float:
    """Breakdown voltage of an air gap: field emission below, the plateau, Paschen's law where it is used."""
    gas = air.plateau
    if air.pressure * gap >= air.lowest:
        strength = air.strength * air.pressure * gap
        gas = max(gas, strength / (np.log(air.ionisation * air.pressure * gap) - np.log(air.closeness)))
    return min(field * gap, gas)


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
