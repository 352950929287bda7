"""Kernel: the generator's side of a drilling, from one discharge to the next.

Between discharges the charge map is walked segment by segment. In liquid the
exposure, the integral of the hazard, is spent until the drawn need is met; on
a contact rig the gap is struck when its field reaches the strike field, or
touched. Energies are booked as the map's meters; all numbers in SI units.
"""

import numpy as np

from gapwright.base.compiled import compiled, compiled_in_place
from gapwright.circuit import _map_kernel as charge
from gapwright.circuit import _map_short_kernel as shorts
from gapwright.circuit._map_kernel import MapArrays
from gapwright.study._draws import IGNITION, exponential
from gapwright.study._drilling_state import (
    ASPERITY,
    CHARGING,
    CHART,
    CYCLES,
    DEBRIS,
    GAP_MIN,
    HAZARD,
    IGNITED_AT,
    IS_SHORT,
    LEAK,
    NEED,
    SHORT_FOR,
    SHORT_TIME,
    STORED,
    TIME,
    VOLT_TIME,
    VOLTS,
    WAITING,
    Array,
    Bits,
    Counts,
    Setting,
)

TICK_DONE, SPARK, TOUCH = 0, 1, 2
F_BREAKDOWN, F_ENERGY, F_DURATION, F_CHARGE, F_PEAK, F_LEFT = range(6)


@compiled
def phase_integral(segment_time: Array, segment_volts: Array, exponent: float, floor: float) -> Array:
    """Integral of volts**exponent above `floor` over time, from a segment's start to each phase.

    Shapes as in the charge map: (charts, leaks, volts) and (..., phases).
    """
    table = np.zeros_like(segment_volts)
    nc, ng, nv, nj = segment_volts.shape
    for c in range(nc):
        for g in range(ng):
            for v in range(nv):
                dt = segment_time[c, g, v] / (nj - 1)
                before = 0.0
                for j in range(nj):
                    u = segment_volts[c, g, v, j]
                    now = u**exponent if u > floor else 0.0
                    if j > 0:
                        table[c, g, v, j] = table[c, g, v, j - 1] + 0.5 * dt * (before + now)
                    before = now
    return table


@compiled_in_place
def weights(grid_volts: Array, grid_leaks: Array, volts: float, leak: float) -> tuple[int, float, int, float]:
    """Cell and fraction of (leak, volts) in the charge map's grid."""
    nv, ng = grid_volts.size, grid_leaks.size
    x = (volts - grid_volts[0]) / (grid_volts[1] - grid_volts[0])
    iv = min(max(int(np.floor(x)), 0), nv - 2)
    ig = 0
    while ig < ng - 2 and grid_leaks[ig + 1] < leak:
        ig += 1
    fg = (leak - grid_leaks[ig]) / (grid_leaks[ig + 1] - grid_leaks[ig])
    return ig, min(1.0, max(0.0, fg)), iv, x - iv


@compiled_in_place
def at_phase(table: Array, chart: int, ig: int, fg: float, iv: int, fv: float, j: int) -> float:
    """Value of a phase table between its grid points."""
    low = (1.0 - fv) * table[chart, ig, iv, j] + fv * table[chart, ig, iv + 1, j]
    high = (1.0 - fv) * table[chart, ig + 1, iv, j] + fv * table[chart, ig + 1, iv + 1, j]
    return (1.0 - fg) * low + fg * high


@compiled_in_place
def phase_of(table: Array, chart: int, ig: int, fg: float, iv: int, fv: float, wanted: float) -> float:
    """Phase (0 to 1) at which a growing phase table reaches `wanted`."""
    nj = table.shape[3]
    before = 0.0
    for j in range(1, nj):
        now = at_phase(table, chart, ig, fg, iv, fv, j)
        if now >= wanted:
            part = (wanted - before) / (now - before) if now > before else 1.0
            return (j - 1 + part) / (nj - 1)
        before = now
    return 1.0


@compiled_in_place
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


@compiled_in_place
def next_discharge(
    s: Setting,
    m: MapArrays,
    signs: Array,
    exposure: Array,
    volt_time: Array,
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
    while left > 0.0:
        chart = flag[CHART]
        volts, leak = num[VOLTS], num[LEAK]
        ig, fg, iv, fv = weights(m.volts, m.leaks, volts, leak)
        last = exposure.shape[3] - 1
        phase = -1.0
        if s.liquid > 0.0:
            scale = s.hazard_scale * num[HAZARD] * (1.0 + num[DEBRIS] / s.debris_scale)
            spent = scale * at_phase(exposure, chart, ig, fg, iv, fv, last)
            if spent >= num[NEED]:
                phase = phase_of(exposure, chart, ig, fg, iv, fv, num[NEED] / scale)
                num[NEED] = exponential(keys, counts, IGNITION)
            else:
                num[NEED] -= spent
        else:
            reach = num[GAP_MIN] - num[ASPERITY]
            if reach <= 0.0:
                return TOUCH, left
            strike = max(s.strike_field * reach, s.strike_volts)
            top = at_phase(m.gap_volts, chart, ig, fg, iv, fv, last)
            if s.arc_makes > 0.0 and top >= strike:
                phase = phase_of(m.gap_volts, chart, ig, fg, iv, fv, strike)
        if phase < 0.0:
            end, after, time = charge.advance(m, chart, volts, leak, scratch)
            mean = at_phase(volt_time, chart, ig, fg, iv, fv, last)
            if volts > 0.9 * s.open_volts:
                num[WAITING] += time
            else:
                num[CHARGING] += time
        else:
            before = phase * charge.stretch_time(m, chart, volts, leak)
            num[IGNITED_AT] = num[TIME] + (s.tick - left + before) * s.batch
            end, after, time = charge.ignite(m, chart, volts, leak, phase, scratch, facts)
            mean = at_phase(volt_time, chart, ig, fg, iv, fv, round(phase * last))
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
    end, after, time = charge.ignite(m, flag[CHART], num[VOLTS], num[LEAK], 0.0, scratch, facts)
    num[CHARGING] += time
    book(m, signs, 0, num, flag, energy, scratch, end, after)
    return time
