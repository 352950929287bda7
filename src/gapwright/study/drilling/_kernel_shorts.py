"""Kernel: bridges of debris, touches, and shorts: how they begin and what ends them.

All numbers in SI units; arrays as in `_drilling_state`.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.circuit.map._map_kernel import MapArrays
from gapwright.gap._kernel import bridging_chance
from gapwright.study.drilling._kernel_electric import enter_short, ignite_now, leave_short, stay_short
from gapwright.study.drilling._kernel_spark import part_contacts, strike
from gapwright.study.grounds._draws import BRIDGE as BRIDGE_DRAW
from gapwright.study.grounds._draws import uniform
from gapwright.study.grounds._drilling_state import (
    BRIDGE,
    BURN_AT,
    C_CONTACT,
    C_SHORT,
    DEBRIS,
    DEPTH,
    GAP_MIN,
    RECOVERED_AT,
    SHORT_AT,
    SHORT_FOR,
    SPARK_HEAT,
    TIME,
    VOLTS,
    W_EMISSION,
    W_NECK,
    W_PARTING,
    WAY,
    Array,
    Bits,
    Counts,
    Setting,
    World,
)

NEVER = 1e300


@compiled_in_place
def bridge_of_debris(s: Setting, num: Array, keys: Bits, counts: Bits, gap: float) -> float:
    """Retreat that clears the bridge a discharge across `gap` leaves behind, 0 if it leaves none [m]."""
    chance = bridging_chance(num[DEBRIS], gap, s.particle, s.bridging)
    return max(s.bridge_retract, 0.5 * gap) if uniform(keys, counts, BRIDGE_DRAW) < chance else 0.0


@compiled_in_place
def begin_short(
    s: Setting,
    m: MapArrays,
    signs: Array,
    w: World,
    num: Array,
    flag: Counts,
    energy: Array,
    scratch: Array,
    retreat: float,
    burn: float,
) -> float:
    """Enter a short that ends after a retreat, or once it has burnt away. Returns its time so far [s]."""
    w.class_count[C_SHORT] += s.batch
    num[SHORT_AT] = num[DEPTH]
    num[BRIDGE] = retreat
    num[BURN_AT] = burn
    return enter_short(m, signs, num, flag, energy, scratch)


@compiled_in_place
def go_through_short(
    s: Setting,
    m: MapArrays,
    signs: Array,
    w: World,
    num: Array,
    flag: Counts,
    keys: Bits,
    counts: Bits,
    energy: Array,
    scratch: Array,
    left: float,
) -> float:
    """Stay in the short until the tick ends, or it does. Returns the time left of the tick [s]."""
    if num[DEPTH] > num[SHORT_AT] - num[BRIDGE]:
        stay = min(left, max(0.0, num[BURN_AT] - num[SHORT_FOR]))
        stay_short(m, signs, num, energy, scratch, stay)
        w.class_time[C_SHORT] += stay * s.batch
        left -= stay
        if num[SHORT_FOR] < num[BURN_AT]:
            return 0.0
    num[RECOVERED_AT] = num[TIME] + (s.tick - left) * s.batch
    left -= leave_short(m, signs, num, flag, energy, scratch)
    if s.parting.energy > 0.0:
        flag[WAY] = W_PARTING
        w.way_count[W_PARTING] += s.batch
        w.class_count[C_CONTACT] += s.batch
        energy[0, s.parting.source] += s.parting.drawn
        energy[0, s.parting.arc] += s.parting.energy
        energy[0, s.parting.rest] += s.parting.drawn - s.parting.energy
        num[SPARK_HEAT] += s.parting.energy
        part_contacts(s, w, num, flag, keys, counts)
    return left


@compiled_in_place
def touch(
    s: Setting,
    m: MapArrays,
    signs: Array,
    w: World,
    num: Array,
    flag: Counts,
    keys: Bits,
    counts: Bits,
    energy: Array,
    scratch: Array,
    facts: Array,
    log: Array,
) -> float:
    """A contact on a dry rig: an arc on making, a blown neck, or a short. Returns its time [s]."""
    volts = num[VOLTS]
    overlap = max(0.0, -num[GAP_MIN])
    neck = np.sqrt(2.0 * s.asperity_radius * overlap)
    action = 0.5 * s.capacitance * volts * volts / s.loop_ohms
    blown = action >= s.neck_constant * (np.pi * neck * neck) ** 2
    if volts >= s.strike_volts and (s.arc_makes > 0.0 or blown):
        flag[WAY] = W_EMISSION if s.arc_makes > 0.0 else W_NECK
        time = ignite_now(m, signs, num, flag, energy, scratch, facts)
        strike(s, w, num, flag, keys, counts, facts, log)
        return time
    return begin_short(s, m, signs, w, num, flag, energy, scratch, overlap + s.bridge_length, NEVER)
