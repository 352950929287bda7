"""Kernel: the generator's side of a drilling, from one discharge to the next.

Between discharges the charge map is walked segment by segment. In liquid the
exposure, the integral of the hazard, is spent until the drawn need is met, and
the memory of the last spark races it (`_kernel_ignition`); on a contact rig the
gap is struck when its field reaches the strike field, or touched. Energies are
booked as the map's meters; all numbers in SI units.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place, compiled_within
from gapwright.circuit.map import _map_kernel as charge
from gapwright.circuit.map import _map_short_kernel as shorts
from gapwright.circuit.map._map_kernel import MapArrays
from gapwright.circuit.map._map_spark_kernel import ignite
from gapwright.circuit.map._map_train_kernel import rest, rest_left
from gapwright.gap._kernel import air_breakdown
from gapwright.study.drilling._kernel_ignition import (
    NEVER,
    chances,
    draw_need,
    hazard_rate,
    ignition_phase,
    recall,
    remember_from,
)
from gapwright.study.drilling._kernel_leaps import LEVELS, leap
from gapwright.study.drilling._kernel_tables import at_phase, phase_of, weights
from gapwright.study.grounds._draws import MEMORY, exponential
from gapwright.study.grounds._drilling_state import (
    AGAIN,
    AT_ONCE,
    BY_DELAY,
    CHARGING,
    CHART,
    CYCLES,
    GAP_MIN,
    HAZARD,
    IGNITED_AT,
    IS_SHORT,
    LEAK,
    NEARBY,
    NEED,
    READY_TIME,
    SHORT_FOR,
    SHORT_TIME,
    SINCE,
    SPOT_KNOWN,
    SPOT_LIFE,
    SPOT_RING,
    STORED,
    TICK,
    TIME,
    VOLT_TIME,
    VOLTS,
    W_EMISSION,
    WAITED,
    WAITING,
    WAY,
    Array,
    Bits,
    Counts,
    Setting,
    World,
)

FULL = 0.9  # of the open voltage: a store above it waits
TICK_DONE, SPARK, TOUCH = 0, 1, 2
F_BREAKDOWN, F_ENERGY, F_DURATION, F_CHARGE, F_PEAK, F_LEFT, F_RETURN = range(7)


@compiled_within
def book(
    m: MapArrays,
    signs: Array,
    row: int,
    num: Array,
    flag: Counts,
    energy: Array,
    scratch: Array,
    volts: float,
    chart: int,
) -> None:
    """Add a stretch's meters to the account and settle voltage and stored energy together."""
    change = 0.0
    for k in range(scratch.size):
        energy[row, k] += scratch[k]
        change += signs[k] * scratch[k]
        scratch[k] = 0.0
    num[STORED] += change
    flag[CHART] = chart
    num[VOLTS] = charge.volts_from_stored(m, chart, num[STORED], volts)


@compiled_within
def spend_return(
    s: Setting, w: World, num: Array, flag: Counts, keys: Bits, counts: Bits, facts: Array
) -> float:
    """Chances of the way back from a discharge to the next section; returns the voltage's integral [V s].

    What would have ignited the gap on the way does so at the start of the next stretch.
    """
    time = facts[F_RETURN]
    points = facts.size - F_RETURN - 1
    num[SINCE] = time
    if s.liquid > 0.0:
        remember_from(num, keys, counts)
    if time <= 0.0:
        return 0.0
    dt = time / (points - 1)
    volt_time, own, extra = 0.0, 0.0, 0.0
    for j in range(points):
        volts = max(0.0, facts[F_RETURN + 1 + j])
        part = dt * (0.5 if j in (0, points - 1) else 1.0)
        volt_time += part * volts
        if s.liquid > 0.0 and volts > s.hazard_floor:
            if flag[SPOT_KNOWN] == 0 and s.remember.gain > 0.0:
                recall(w, num, flag, flag[SPOT_RING])
            power = part * volts**s.exponent * hazard_rate(s, num)
            own += power * num[HAZARD]
            fade = np.exp(-j * dt / num[SPOT_LIFE]) if num[SPOT_LIFE] > 0.0 else 0.0
            extra += power * s.remember.gain * fade * num[NEARBY]
            num[READY_TIME] += part
    if own > 0.0:
        num[NEED] -= own
        if extra > 0.0 and exponential(keys, counts, MEMORY) < extra:
            flag[AT_ONCE] = 1
    return volt_time


@compiled_in_place
def full_from(s: Setting, m: MapArrays, chart: int) -> float:
    """Voltage of the store above which an open gap waits: the gap may have another, or none, in a chart."""
    return FULL * s.open_volts / m.lift[chart] if m.lift[chart] > 0.0 else NEVER


@compiled_within
def pass_time(num: Array, volts: float, full: float, time: float) -> None:
    """Count a stretch that began at `volts` as waiting with a `full` store, or as charging it."""
    num[SINCE] += time
    if volts > full:
        num[WAITING] += time
    else:
        num[CHARGING] += time


@compiled_in_place
def rest_of_train(
    m: MapArrays, signs: Array, num: Array, flag: Counts, energy: Array, scratch: Array, most: float
) -> float:
    """Rest between two trains of pulses, for `most` at the longest. Returns the time it took [s]."""
    end, time = rest(m, num[VOLTS], num[LEAK], most, scratch)
    num[SINCE] += time
    num[CHARGING] += time
    book(m, signs, 0, num, flag, energy, scratch, end, flag[CHART])
    return time


@compiled_within
def next_discharge(
    s: Setting,
    m: MapArrays,
    signs: Array,
    exposure: Array,
    volt_time: Array,
    ready_time: Array,
    w: World,
    num: Array,
    flag: Counts,
    keys: Bits,
    counts: Bits,
    energy: Array,
    scratch: Array,
    facts: Array,
    left: float,
) -> tuple[int, float]:
    """Walk the charge map until a discharge, a touch, or the end of the tick.

    Returns (what, time left of the tick [s]); `facts` describes the discharge.
    """
    level = LEVELS - 1
    while left > 0.0:
        chart = flag[CHART]
        rests = rest_left(m, chart, (flag[TICK] + 1) * s.tick - left)
        if rests > 0.0:
            left -= rest_of_train(m, signs, num, flag, energy, scratch, rests)
            continue
        volts, leak = num[VOLTS], num[LEAK]
        if s.liquid > 0.0:
            room, own, extra = chances(s, w, num, flag)
            full = full_from(s, m, chart)
            level, time, end, spent, mean, ready = leap(
                m, w.leaps, w.goes, chart, volts, leak, room, left, full, level, scratch
            )
            if level >= 0:
                num[NEED] -= own * spent
                num[AGAIN] -= extra * spent
                num[VOLT_TIME] += mean
                num[READY_TIME] += ready
                pass_time(num, volts, full, time)
                if chart == s.counted_chart:
                    num[CYCLES] += 1 << level
                level = min(level + 1, LEVELS - 1)
                left -= time
                book(m, signs, 0, num, flag, energy, scratch, end, chart)
                continue
            level = LEVELS - 1
        ig, fg, iv, fv = weights(m.volts, m.leaks, volts, leak)
        last, phase = exposure.shape[3] - 1, -1.0
        if s.liquid > 0.0:
            phase = ignition_phase(
                s, w, num, flag, keys, counts, exposure, chart, ig, fg, iv, fv,
                charge.stretch_time(m, chart, volts, leak),
            )  # fmt: skip
            if phase >= 0.0:
                num[NEED] = draw_need(s, num, keys, counts)
                flag[AT_ONCE] = 0
        else:
            if num[GAP_MIN] <= 0.0:
                return TOUCH, left
            strike = max(air_breakdown(num[GAP_MIN], s.strike_field, s.air), s.strike_volts)
            top = at_phase(m.gap_volts, chart, ig, fg, iv, fv, last)
            if s.arc_makes > 0.0 and top >= strike:
                phase = phase_of(m.gap_volts, chart, ig, fg, iv, fv, strike)
                flag[WAY] = W_EMISSION
        if phase < 0.0:
            end, after, time = charge.advance(m, chart, volts, leak, scratch)
            mean = at_phase(volt_time, chart, ig, fg, iv, fv, last)
            if s.control.senses == BY_DELAY:
                num[READY_TIME] += at_phase(ready_time, chart, ig, fg, iv, fv, last)
            pass_time(num, volts, full_from(s, m, chart), time)
        else:
            before = phase * charge.stretch_time(m, chart, volts, leak)
            num[WAITED] = before
            num[IGNITED_AT] = num[TIME] + (s.tick - left + before) * s.batch
            end, after, time = ignite(m, chart, volts, leak, phase, scratch, facts)
            mean = at_phase(volt_time, chart, ig, fg, iv, fv, round(phase * last))
            if s.control.senses == BY_DELAY:
                num[READY_TIME] += at_phase(ready_time, chart, ig, fg, iv, fv, round(phase * last))
            num[CHARGING] += time
        if after == s.counted_chart:
            num[CYCLES] += 1.0
        num[VOLT_TIME] += mean
        left -= time
        book(m, signs, 0, num, flag, energy, scratch, end, after)
        if phase >= 0.0:
            return SPARK, left
    return TICK_DONE, left


@compiled_in_place
def enter_short(m: MapArrays, signs: Array, num: Array, flag: Counts, energy: Array, scratch: Array) -> float:
    """Dump the store into a short. Returns the time until it is empty [s]."""
    time = shorts.enter_short(m, flag[CHART], num[VOLTS], scratch)
    book_short(signs, num, energy, scratch)
    flag[IS_SHORT] = 1
    num[SHORT_FOR] = 0.0
    num[SHORT_TIME] += time
    return float(time)


@compiled_in_place
def stay_short(m: MapArrays, signs: Array, num: Array, energy: Array, scratch: Array, time: float) -> None:
    """Book `time` seconds more of a shorted gap."""
    shorts.stay_short(m, num[SHORT_FOR], num[SHORT_FOR] + time, scratch)
    book_short(signs, num, energy, scratch)
    num[SHORT_FOR] += time
    num[SHORT_TIME] += time
    num[SINCE] += time


@compiled_in_place
def leave_short(m: MapArrays, signs: Array, num: Array, flag: Counts, energy: Array, scratch: Array) -> float:
    """Open a short. Returns the time to the section from which the generator goes on [s]."""
    volts, chart, time = shorts.leave_short(m, num[SHORT_FOR], scratch)
    book(m, signs, 1, num, flag, energy, scratch, volts, chart)
    flag[IS_SHORT] = 0
    num[CHARGING] += time
    return float(time)


@compiled_in_place
def book_short(signs: Array, num: Array, energy: Array, scratch: Array) -> None:
    """Add a stretch of short to the account."""
    for k in range(scratch.size):
        energy[1, k] += scratch[k]
        num[STORED] += signs[k] * scratch[k]
        scratch[k] = 0.0


@compiled_in_place
def ignite_now(
    m: MapArrays, signs: Array, num: Array, flag: Counts, energy: Array, scratch: Array, facts: Array
) -> float:
    """Discharge at once from where the generator stands. Returns the time it takes [s]."""
    end, after, time = ignite(m, flag[CHART], num[VOLTS], num[LEAK], 0.0, scratch, facts)
    num[CHARGING] += time
    book(m, signs, 0, num, flag, energy, scratch, end, after)
    return time
