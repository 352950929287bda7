"""Kernel: when and where the gap ignites: chance by the field, and memory of the last spark's place.

Two chances race. The hazard of the whole gap, summed over every ring, is spent
against a drawn need. Near the place of the last spark the hazard is higher
while the channel deionises: that part is drawn by thinning. Candidates come
at a rate that the fading memory never exceeds, and each is kept with the
probability that the true rate has of that bound; so the kept ones come at the
true rate, whatever the bound. All numbers in SI units; arrays as in `_drilling_state`.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.gap._kernel_memory import concentration, mixture_need, ring_memory
from gapwright.study.grounds._draws import ANGLE as ANGLE_DRAW
from gapwright.study.grounds._draws import IGNITION, MEMORY, MIXTURE, PLACE, WAYS, exponential, uniform
from gapwright.study.grounds._drilling_state import (
    ANGLE,
    DEBRIS,
    FAR_HAZARD,
    GAP_MIN,
    HAZARD,
    NEARBY,
    SINCE,
    SPOT_ANGLE,
    SPOT_FIRST,
    SPOT_KNOWN,
    SPOT_LAST,
    SPOT_LIFE,
    SPOT_R,
    SPOT_REACH,
    SPOT_Z,
    W_DEBRIS,
    W_FIELD,
    W_PLACE,
    WAY,
    WORK_FIRST,
    WORK_STOP,
    Array,
    Bits,
    Counts,
    Setting,
    World,
)

FORGOTTEN = 1e-6  # of the memory's gain: less than this is not looked at
FAR = 3.5  # reaches beyond which a ring remembers nothing


@compiled_in_place
def draw_need(s: Setting, num: Array, keys: Bits, counts: Bits) -> float:
    """Exposure, with mean 1, until the field ignites the gap next."""
    need = exponential(keys, counts, IGNITION)
    if s.mixture.on == 0.0:
        return need
    return mixture_need(uniform(keys, counts, MIXTURE), need, max(num[GAP_MIN], s.smallest_gap), s.mixture)


@compiled_in_place
def hazard_rate(s: Setting, num: Array) -> float:
    """Hazard of one unit of `HAZARD` at 1 V with the debris there is [1/s]."""
    return s.hazard_scale * (1.0 + num[DEBRIS] / s.debris_scale)


@compiled_in_place
def fading(s: Setting, num: Array) -> float:
    """What is left of the memory's gain."""
    if num[SPOT_LIFE] <= 0.0 or s.remember.gain <= 0.0:
        return 0.0
    return s.remember.gain * np.exp(-num[SINCE] / num[SPOT_LIFE])


@compiled_in_place
def recall(w: World, num: Array, flag: Counts, spot: int) -> None:
    """Work out how near each ring is to the last spark's place, from ring `spot` outwards both ways."""
    n = w.sizes[0]
    first, last = spot, spot
    while first > 0 and _is_near(w, num, first - 1):
        first -= 1
    while last < n - 1 and _is_near(w, num, last + 1):
        last += 1
    near = 0.0
    for i in range(first, last + 1):
        w.memory[i] = ring_memory(w.work_r[i], w.work_z[i], num[SPOT_R], num[SPOT_Z], num[SPOT_REACH])
        near += w.hazard[i] * w.memory[i]
    num[NEARBY] = near
    flag[SPOT_FIRST], flag[SPOT_LAST], flag[SPOT_KNOWN] = first, last, 1


@compiled_in_place
def _is_near(w: World, num: Array, i: int) -> bool:
    dr, dz = w.work_r[i] - num[SPOT_R], w.work_z[i] - num[SPOT_Z]
    return dr * dr + dz * dz < (FAR * num[SPOT_REACH]) ** 2


@compiled_in_place
def nearest_ring(w: World, num: Array) -> int:
    """Ring nearest to the last spark's place, of all."""
    best, where = 1e300, 0
    for i in range(w.sizes[0]):
        dr, dz = w.work_r[i] - num[SPOT_R], w.work_z[i] - num[SPOT_Z]
        if dr * dr + dz * dz < best:
            best, where = dr * dr + dz * dz, i
    return where


@compiled_in_place
def exposure_at(row: Array, phase: float) -> float:
    """Value of a phase table's row between its points."""
    x = phase * (row.size - 1)
    j = min(int(x), row.size - 2)
    return row[j] + (x - j) * (row[j + 1] - row[j])


@compiled_in_place
def phase_at(row: Array, wanted: float) -> float:
    """Phase at which a growing row reaches `wanted`."""
    for j in range(1, row.size):
        if row[j] >= wanted:
            rise = row[j] - row[j - 1]
            part = (wanted - row[j - 1]) / rise if rise > 0.0 else 1.0
            return (j - 1 + part) / (row.size - 1)
    return 1.0


@compiled_in_place
def thinned(row: Array, time: float, rate: float, life: float, keys: Bits, counts: Bits) -> float:
    """Phase at which a fading memory ignites the gap within a stretch, -1 if it does not.

    `row` is the exposure (integral of the voltage's power) at equal phases of a
    stretch that takes `time`; `rate` is the memory's hazard for a unit of it at the
    stretch's start, which fades with `life`. The bound follows the fading: after each
    rejected candidate it is the true rate there.
    """
    last = row[row.size - 1]
    at, bound = 0.0, rate
    fade = 1.0
    while bound > 0.0:
        at += exponential(keys, counts, MEMORY) / bound
        if at >= last:
            return -1.0
        phase = phase_at(row, at)
        now = np.exp(-phase * time / life)
        if uniform(keys, counts, MEMORY) * fade < now:
            return phase
        fade = now
        bound = rate * fade
        if fade < FORGOTTEN:
            return -1.0
    return -1.0


@compiled_in_place
def ring_of(weights: Array, first: int, last: int, wanted: float) -> int:
    """Ring at which the running sum of weights reaches `wanted`; the last with any if it never does."""
    passed, where = 0.0, first
    for i in range(first, last + 1):
        if weights[i] > 0.0:
            passed += weights[i]
            where = i
            if passed >= wanted:
                break
    return where


@compiled_in_place
def ring_by_hazard(w: World, num: Array, flag: Counts, wanted: float) -> int:
    """Ring at which the running sum of the hazard reaches `wanted`: near the front first, then beyond."""
    first, stop, last = flag[WORK_FIRST], flag[WORK_STOP], w.sizes[0] - 1
    if stop <= first:
        return ring_of(w.hazard, 0, last, wanted)
    inside = num[HAZARD] - num[FAR_HAZARD]
    if wanted <= inside:
        return ring_of(w.hazard, first, stop - 1, wanted)
    wanted -= inside
    passed, where = 0.0, first
    for i in range(last + 1):
        if first <= i < stop or w.hazard[i] <= 0.0:
            continue
        passed += w.hazard[i]
        where = i
        if passed >= wanted:
            break
    return where


@compiled_in_place
def around(angle: float, close: float, keys: Bits, counts: Bits) -> float:
    """Angle of a von Mises distribution about `angle`, by the method of Best and Fisher [rad]."""
    if close < 1e-6:
        return 2.0 * np.pi * uniform(keys, counts, ANGLE_DRAW)
    t = 1.0 + np.sqrt(1.0 + 4.0 * close * close)
    p = (t - np.sqrt(2.0 * t)) / (2.0 * close)
    r = (1.0 + p * p) / (2.0 * p)
    while True:
        z = np.cos(np.pi * uniform(keys, counts, ANGLE_DRAW))
        f = (1.0 + r * z) / (r + z)
        c = close * (r - f)
        u = uniform(keys, counts, ANGLE_DRAW)
        if c * (2.0 - c) > u or np.log(c / u) + 1.0 >= c:
            break
    turn = np.arccos(min(1.0, max(-1.0, f)))
    if uniform(keys, counts, ANGLE_DRAW) < 0.5:
        turn = -turn
    return (angle + turn) % (2.0 * np.pi)


@compiled_in_place
def place(s: Setting, w: World, num: Array, flag: Counts, keys: Bits, counts: Bits) -> int:
    """Ring in which the discharge strikes, its angle, and what ignited it.

    In liquid by the hazard of every ring, or by memory where that ignited; at the smallest gap in contact.
    """
    if s.liquid == 0.0:
        num[ANGLE] = 2.0 * np.pi * uniform(keys, counts, ANGLE_DRAW)
        best, where = 1.0, 0
        for i in range(w.sizes[0]):
            if w.state[i] == 0 and w.gap[i] < best:
                best, where = w.gap[i], i
        return where
    chosen = uniform(keys, counts, PLACE)
    if flag[WAY] == W_PLACE:
        wanted, passed, where = chosen * num[NEARBY], 0.0, flag[SPOT_FIRST]
        for i in range(flag[SPOT_FIRST], flag[SPOT_LAST] + 1):
            here = w.hazard[i] * w.memory[i]
            if here > 0.0:
                passed += here
                where = i
                if passed >= wanted:
                    break
        close = concentration(w.work_r[where], num[SPOT_R], num[SPOT_REACH])
        num[ANGLE] = around(num[SPOT_ANGLE], close, keys, counts)
        return where
    num[ANGLE] = 2.0 * np.pi * uniform(keys, counts, ANGLE_DRAW)
    crowd = num[DEBRIS] / s.debris_scale
    flag[WAY] = W_DEBRIS if uniform(keys, counts, WAYS) * (1.0 + crowd) < crowd else W_FIELD
    return ring_by_hazard(w, num, flag, chosen * num[HAZARD])
