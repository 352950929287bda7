"""Kernel: what one discharge does to workpiece, electrode, debris and counts.

All numbers in SI units; see `_drilling_state` for the arrays.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place, compiled_within
from gapwright.gap._kernel import breakdown_share, class_code
from gapwright.hole._kernel import ring_area
from gapwright.hole._kernel_carve import carve, due
from gapwright.hole._kernel_gap import nearest_on_chain
from gapwright.study.drilling._kernel_electric import F_BREAKDOWN, F_CHARGE, F_DURATION, F_ENERGY, F_PEAK
from gapwright.study.drilling._kernel_ignition import FORGOTTEN, place
from gapwright.study.drilling._kernel_record import keep_spark, keep_volume
from gapwright.study.grounds._draws import EFFECT, KEEP, SCATTER, normal, uniform
from gapwright.study.grounds._drilling_state import (
    ANGLE,
    ARCS,
    C_CONTACT,
    C_STATIONARY,
    CHARGING,
    DEBRIS,
    DEPTH,
    FAR_HAZARD,
    FAR_LEAST,
    FAR_VOLUME,
    FRONT,
    GAP_MIN,
    GAP_VOLUME,
    HAZARD,
    LOGGED,
    MELTED,
    NEARBY,
    OWED_TOOL,
    OWED_WORK,
    PASSED,
    REMOVED,
    SINCE_RESPACE,
    SPARK_HEAT,
    SPOT_ANGLE,
    SPOT_KNOWN,
    SPOT_LIFE,
    SPOT_R,
    SPOT_REACH,
    SPOT_RING,
    SPOT_UNTIL,
    SPOT_Z,
    STIRRED,
    TIME,
    WAY,
    WORK_FIRST,
    WORK_STOP,
    WORN,
    Array,
    Bits,
    Counts,
    Marks,
    Setting,
    World,
)
from gapwright.thermal._kernel import crater_width, removal_per_energy, scattered

STANDS = 1.0  # s: a discharge longer than this does not end by itself
NORMAL_FROM, PARTIAL_FROM = 0.6, 0.15  # shares of the breakdown voltage that part the classes
EIGHT = 255  # the last eight discharges as bits
PLANE_SOURCE = 74e-12  # m³/J absorbed: more than this conduction cannot melt, even without latent heat


@compiled_in_place
def refresh_hazard(
    s: Setting, first: int, stop: int, state: Marks, area: Array, gap: Array, hazard: Array, num: Array
) -> float:
    """Ignition weight of rings and the sum of all; returns the volume of the working gap [m³].

    This is `gap._kernel.ignition_weight` with all that is alike for every ring
    left to `Setting.hazard_scale`; rings far from the working gap count nothing.
    What lies beyond the window is added as it was.
    """
    total, smallest, volume = 0.0, 1.0, 0.0
    for i in range(first, stop):
        if state[i] == 0:
            smallest = min(smallest, gap[i])
    if num[FAR_LEAST] > 0.0:
        smallest = min(smallest, num[FAR_LEAST])
    near = 4.0 * max(smallest, s.smallest_gap)
    for i in range(first, stop):
        hazard[i] = 0.0
        if state[i] == 0:
            g = max(gap[i], s.smallest_gap)
            if g < 4.0 * near:
                hazard[i] = area[i] * g ** (-s.exponent)
                total += hazard[i]
            if g < near:
                volume += area[i] * g
    num[HAZARD] = total + num[FAR_HAZARD]
    num[GAP_MIN] = smallest
    return volume + num[FAR_VOLUME]


@compiled_in_place
def gap_shape(s: Setting, first: int, stop: int, state: Marks, area: Array, gap: Array) -> float:
    """Area over width, summed over rings, of side walls too [m]."""
    total = 0.0
    for i in range(first, stop):
        if state[i] == 0 and gap[i] < 1e-3:
            total += area[i] / max(gap[i], s.smallest_gap)
    return total


@compiled_within
def class_of(s: Setting, flag: Counts, breakdown: float, duration: float) -> int:
    """Class of a discharge by its breakdown voltage, normalised between burning and open voltage.

    An arc among five of the last eight stands still.
    """
    if duration > STANDS:
        return C_STATIONARY
    if s.liquid == 0.0:
        return C_CONTACT
    share = breakdown_share(breakdown, s.open_volts, s.burning)
    flag[ARCS] = (flag[ARCS] << 1) & EIGHT
    if share < PARTIAL_FROM:
        flag[ARCS] |= 1
    arcs = 0
    for k in range(8):
        arcs += (flag[ARCS] >> k) & 1
    return class_code(share, NORMAL_FROM, PARTIAL_FROM, arcs)


@compiled_within
def crater_volume(s: Setting, energy: float, keys: Bits, counts: Bits) -> float:
    """Volume that one effective discharge takes from the workpiece [m³]."""
    each = removal_per_energy(s.removal_chance, energy, s.law) if s.liquid > 0.0 else s.contact_removal
    return scattered(each * s.factors * energy, normal(keys, counts, SCATTER), s.scatter)


@compiled_within
def erode(s: Setting, w: World, ring: int, volume: float, width: float, num: Array) -> tuple[int, int]:
    """Take `volume` off the workpiece at `ring` and its share off the electrode beside it."""
    first, last, taken = carve(
        w.work_r, w.work_z, w.state, w.sizes[0], ring, due(volume, num[OWED_WORK]), width, w.cap
    )
    num[OWED_WORK] += volume - taken
    k = w.near[ring]
    here = np.hypot(w.tool_r[k] - w.work_r[ring], num[DEPTH] - w.tool_h[k] - w.work_z[ring])
    next_r, next_h = w.tool_r[k + 1], w.tool_h[k + 1]
    if np.hypot(next_r - w.work_r[ring], num[DEPTH] - next_h - w.work_z[ring]) < here:
        k += 1
    worn = volume * s.wear_ratio * s.smear
    _, _, taken = carve(
        w.tool_r, w.tool_h, w.tool_state, w.sizes[1], k, due(worn, num[OWED_TOOL]), width, w.cap
    )
    num[OWED_TOOL] += worn - taken
    num[REMOVED] += volume
    num[WORN] += volume * s.wear_ratio
    return first, last


@compiled_within
def refresh_near(s: Setting, w: World, first: int, last: int, num: Array, flag: Counts) -> None:
    """Recompute areas, gaps and hazards of the rings that a discharge moved."""
    n = w.sizes[0]
    for i in range(max(0, first - 1), min(n, last + 2)):
        if w.state[i] != 0:
            continue
        num[FRONT] = max(num[FRONT], min(s.thickness, w.work_z[i]))
        w.area[i] = ring_area(w.work_r, w.work_z, n, i)
        w.gap[i], w.near[i] = nearest_on_chain(
            w.work_r[i], w.work_z[i], w.tool_r, w.tool_h, w.sizes[1], num[DEPTH], w.near[i]
        )
        before = w.hazard[i]
        w.hazard[i] = w.area[i] * max(w.gap[i], s.smallest_gap) ** (-s.exponent)
        num[HAZARD] += w.hazard[i] - before
        if i < flag[WORK_FIRST] or i >= flag[WORK_STOP]:
            num[FAR_HAZARD] += w.hazard[i] - before


@compiled_within
def record(
    w: World, num: Array, flag: Counts, keys: Bits, counts: Bits, facts: Array, log: Array, ring: int
) -> None:
    """Keep a fair sample of all discharges so far (reservoir sampling)."""
    slot = flag[PASSED]
    flag[PASSED] += 1
    if slot >= log.shape[0]:
        slot = int(uniform(keys, counts, KEEP) * flag[PASSED])
        if slot >= log.shape[0]:
            return
    log[slot, 0] = num[TIME]
    log[slot, 1] = facts[F_BREAKDOWN]
    log[slot, 2] = facts[F_ENERGY]
    log[slot, 3] = facts[F_PEAK]
    log[slot, 4] = facts[F_CHARGE]
    log[slot, 5] = w.work_r[ring]
    log[slot, 6] = w.work_z[ring]
    flag[LOGGED] = min(flag[LOGGED] + 1, log.shape[0])


@compiled_in_place
def least_gap(w: World) -> float:
    """Smallest gap of all rings [m]."""
    least = 1.0
    for i in range(w.sizes[0]):
        if w.state[i] == 0:
            least = min(least, w.gap[i])
    return least


@compiled_within
def take_metal(
    s: Setting, w: World, num: Array, flag: Counts, keys: Bits, counts: Bits, ring: int, energy: float
) -> None:
    """Take what one effective discharge removes from both bodies.

    By contact it struck the highest place of the faces, which it took away: what comes next to contact
    is farther off, so no roughness of its own is drawn for what it leaves.
    """
    volume = crater_volume(s, energy, keys, counts)
    keep_volume(w, flag, volume)
    num[MELTED] += max(0.0, volume - PLANE_SOURCE * s.absorbed * energy) * s.batch
    width = s.width_factor * crater_width(energy, s.law)
    first, last = erode(s, w, ring, volume * s.batch, max(width, 2.0 * s.spacing), num)
    refresh_near(s, w, first, last, num, flag)
    flag[STIRRED] = flag[SINCE_RESPACE]
    if s.liquid == 0.0:
        num[GAP_MIN] = least_gap(w)
        return
    added = volume * (1.0 + s.wear_ratio) / max(num[GAP_VOLUME], 1e-18)
    num[DEBRIS] = min(s.debris_cap, num[DEBRIS] + added)


@compiled_within
def leave_mark(s: Setting, w: World, num: Array, flag: Counts, facts: Array, ring: int) -> None:
    """Remember where the discharge struck, how far that reaches and how fast it is forgotten."""
    num[SPOT_R], num[SPOT_Z], num[SPOT_ANGLE] = w.work_r[ring], w.work_z[ring], num[ANGLE]
    width = s.width_factor * crater_width(max(facts[F_ENERGY], 1e-12), s.law)
    num[SPOT_REACH] = max(0.5 * s.remember.reach * width, 1e-6)
    num[SPOT_LIFE] = s.remember.base + s.remember.slope * min(facts[F_DURATION], STANDS)
    num[SPOT_UNTIL] = 0.0
    if s.remember.gain > FORGOTTEN:
        num[SPOT_UNTIL] = num[SPOT_LIFE] * np.log(s.remember.gain / FORGOTTEN)
    num[NEARBY] = 0.0
    flag[SPOT_KNOWN], flag[SPOT_RING] = 0, ring


@compiled_within
def strike(
    s: Setting, w: World, num: Array, flag: Counts, keys: Bits, counts: Bits, facts: Array, log: Array
) -> float:
    """All a discharge does but bridging. Returns the gap it crossed, 0 if it took nothing [m]."""
    energy = facts[F_ENERGY]
    kind = class_of(s, flag, facts[F_BREAKDOWN], facts[F_DURATION])
    w.class_count[kind] += s.batch
    w.class_time[kind] += num[CHARGING] * s.batch
    num[CHARGING] = 0.0
    ring = place(s, w, num, flag, keys, counts)
    w.way_count[flag[WAY]] += s.batch
    num[SPARK_HEAT] += energy
    record(w, num, flag, keys, counts, facts, log, ring)
    keep_spark(s, w, num, flag, facts, ring, kind)
    if s.liquid > 0.0:
        leave_mark(s, w, num, flag, facts, ring)
    if energy <= 0.0 or uniform(keys, counts, EFFECT) >= s.effect_share:
        return 0.0
    here = max(w.gap[ring], s.smallest_gap)
    take_metal(s, w, num, flag, keys, counts, ring, energy)
    return here


@compiled_in_place
def part_contacts(s: Setting, w: World, num: Array, flag: Counts, keys: Bits, counts: Bits) -> None:
    """What the arc between parting contacts takes from both bodies."""
    take_metal(s, w, num, flag, keys, counts, place(s, w, num, flag, keys, counts), s.parting.energy)
