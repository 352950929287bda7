"""Kernel: when and where the gap ignites: chance by the field, and memory of the last spark's place.

Two chances race. The hazard of the whole gap, summed over every ring, is spent
against a drawn need. Near the place of the last spark the hazard is higher
while the channel deionises: that part is drawn by thinning. Candidates come
at a rate that the fading memory never exceeds, and each is kept with the
probability that the true rate has of that bound; so the kept ones come at the
true rate, whatever the bound. Both needs are kept, so that a quiet time may be
passed in one go. All numbers in SI units; arrays as in `_drilling_state`.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place, compiled_within
from gapwright.gap._kernel_memory import concentration, mixture_need, ring_memory
from gapwright.study.drilling._kernel_tables import at_phase, phase_of
from gapwright.study.grounds._draws import ANGLE as ANGLE_DRAW
from gapwright.study.grounds._draws import IGNITION, MEMORY, MIXTURE, PLACE, WAYS, exponential, uniform
from gapwright.study.grounds._drilling_state import (
    AGAIN,
    ANGLE,
    AT_ONCE,
    BOUND,
    DEBRIS,
    FAR_HAZARD,
    GAP_MIN,
    HAZARD,
    NEARBY,
    NEED,
    SINCE,
    SPOT_ANGLE,
    SPOT_FIRST,
    SPOT_KNOWN,
    SPOT_LAST,
    SPOT_LIFE,
    SPOT_R,
    SPOT_REACH,
    SPOT_RING,
    SPOT_UNTIL,
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
NEVER = 1e300  # exposure
FAR = 3.5  # reaches beyond which a ring remembers nothing


@compiled_within
def draw_need(s: Setting, num: Array, keys: Bits, counts: Bits) -> float:
    """Exposure, with mean 1, until the field ignites the gap next."""
    need = exponential(keys, counts, IGNITION)
    if s.mixture.on == 0.0:
        return need
    return mixture_need(uniform(keys, counts, MIXTURE), need, max(num[GAP_MIN], s.smallest_gap), s.mixture)


@compiled_within
def hazard_rate(s: Setting, num: Array) -> float:
    """Hazard of one unit of `HAZARD` at 1 V with the debris there is [1/s]."""
    return s.hazard_scale * (1.0 + num[DEBRIS] / s.debris_scale)


@compiled_within
def memory_rate(s: Setting, w: World, num: Array, flag: Counts) -> float:
    """Greatest hazard that the memory of the last spark still has, for 1 V [1/s].

    It is that of the last candidate's time: the true one fades below it until the next.
    """
    if num[SINCE] >= num[SPOT_UNTIL]:
        return 0.0
    if flag[SPOT_KNOWN] == 0:
        recall(w, num, flag, flag[SPOT_RING] if flag[SPOT_RING] >= 0 else nearest_ring(w, num))
    return hazard_rate(s, num) * s.remember.gain * num[BOUND] * num[NEARBY]


@compiled_within
def remember_from(num: Array, keys: Bits, counts: Bits) -> None:
    """Draw the first candidate that the memory of the last spark brings from now on."""
    num[BOUND] = np.exp(-num[SINCE] / num[SPOT_LIFE]) if num[SPOT_LIFE] > 0.0 else 0.0
    num[AGAIN] = exponential(keys, counts, MEMORY)


@compiled_within
def chances(s: Setting, w: World, num: Array, flag: Counts) -> tuple[float, float, float]:
    """Exposure that the gap can take before the field or a candidate is due, and what each spends of it.

    Returns (exposure, field's hazard, bound of the memory's hazard), the hazards for 1 V [1/s].
    """
    if flag[AT_ONCE] == 1 or num[NEED] <= 0.0:
        return 0.0, 0.0, 0.0
    own, extra = hazard_rate(s, num) * num[HAZARD], memory_rate(s, w, num, flag)
    room = num[NEED] / own if own > 0.0 else NEVER
    if extra > 0.0:
        room = min(room, num[AGAIN] / extra)
    return room, own, extra


@compiled_within
def ignition_phase(
    s: Setting,
    w: World,
    num: Array,
    flag: Counts,
    keys: Bits,
    counts: Bits,
    exposure: Array,
    chart: int,
    ig: int,
    fg: float,
    iv: int,
    fv: float,
    time: float,
) -> float:
    """Phase at which a stretch that takes `time` ignites the gap, -1 if it does not; then it is spent.

    Candidates of the memory come at the rate that it had at the last of them; each is kept with the
    share of that rate which is left at its own time.
    """
    if flag[AT_ONCE] == 1 or num[NEED] <= 0.0:
        flag[WAY] = W_PLACE if flag[AT_ONCE] == 1 else W_FIELD
        return 0.0
    _, own, extra = chances(s, w, num, flag)
    total = at_phase(exposure, chart, ig, fg, iv, fv, exposure.shape[3] - 1)
    field = num[NEED] / own if own > 0.0 else NEVER
    least = min(field, total)
    while extra > 0.0 and num[AGAIN] < least * extra:
        at = num[AGAIN] / extra
        phase = phase_of(exposure, chart, ig, fg, iv, fv, at)
        since = num[SINCE] + phase * time
        fade = np.exp(-since / num[SPOT_LIFE])
        if uniform(keys, counts, MEMORY) * num[BOUND] < fade:
            flag[WAY] = W_PLACE
            return phase
        extra = extra * fade / num[BOUND] if since < num[SPOT_UNTIL] else 0.0
        num[BOUND] = fade
        num[AGAIN] = at * extra + exponential(keys, counts, MEMORY)
    if field <= total:
        flag[WAY] = W_FIELD
        return phase_of(exposure, chart, ig, fg, iv, fv, field)
    num[NEED] -= own * total
    num[AGAIN] -= extra * total
    return -1.0


@compiled_within
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


@compiled_within
def _is_near(w: World, num: Array, i: int) -> bool:
    dr, dz = w.work_r[i] - num[SPOT_R], w.work_z[i] - num[SPOT_Z]
    return dr * dr + dz * dz < (FAR * num[SPOT_REACH]) ** 2


@compiled_within
def nearest_ring(w: World, num: Array) -> int:
    """Ring nearest to the last spark's place, of all."""
    best, where = 1e300, 0
    for i in range(w.sizes[0]):
        dr, dz = w.work_r[i] - num[SPOT_R], w.work_z[i] - num[SPOT_Z]
        if dr * dr + dz * dz < best:
            best, where = dr * dr + dz * dz, i
    return where


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


@compiled_within
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


@compiled_within
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
