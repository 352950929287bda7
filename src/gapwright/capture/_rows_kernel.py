"""Kernel: rows of the pass over a capture: their columns, and what is measured of a discharge.

Sums are of codes as recorded, over a discharge and its tails: those of counts
are whole numbers, exact in any order, those of float32 are in float64.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_any_order, compiled_in_place

LONG_RUN, RUN = 64, 8
"""Samples of a discharge that are looked at together; where something happens among them, fewer."""
LEADING, TRAILING = 4, 1
"""A discharge's sums reach back over a quarter of its width and on over all of it again: the tails that
stay under the threshold. A narrow one reaches as far as a usual one. Noise there has no mean, so it costs
no bias."""
CALM = 16
"""Samples before a discharge that tell where the current's zero line is, at most."""
SMOOTH = 6
"""Samples over which breakdown and remaining voltage are averaged."""

LOW, READY, FALLEN, BURNING = 0, 1, 2, 3
"""Modes: waiting for voltage, waiting with voltage, just fallen, discharging."""

DISCHARGE, FALL, CUT = 0, 1, 2
"""What ended a row: a discharge, a fall without current, the end of the samples."""

POSITION, MODE, BEGIN, AT_READY, RISE, USED, FELL, START, LAST, ROWS = range(10)
"""Places in the state."""
STATE = 10

M_BEGIN, M_READY, M_RISE, M_LOWS, M_ARCS, M_START, M_END, M_FIRST, M_STOP, M_KIND = range(10)
"""Columns of the marks: where a wait began, and so on; positions are samples, -1 for none."""
MARKS = 10

S_V, S_I, S_VI, S_PEAK, S_BURNING, S_RIPPLE, S_BREAKDOWN, S_REMAINING, S_ZERO, S_CALM = range(10)
"""Columns of the sums, in codes: over the whole discharge, then of its middle, before and after it.

The last two are the sum of the current just before the discharge and how many samples it is of.
"""
SUMS = 10

T_READY, T_UNREADY, T_SHORT, T_ARC_FROM, T_ARC_TO = range(5)
"""Places in the thresholds of the voltage."""
T_ON, T_NEGATIVE_ON, T_OFF, T_NEGATIVE_OFF = range(4)
"""Places in the thresholds of the current."""
N_HOLD, N_GRACE, N_LONGEST, N_USUAL, N_LONG, N_BACK = range(6)
"""Counts of samples: quiet that ends a discharge, wait after a fall, longest and usual discharge, how long
a wait without voltage is no wait for charging any more, and how far a rise is followed back."""

REACHED, FULL = 0, 1
"""Why the kernel returned."""


@compiled_in_any_order
def total(x, wide):
    """Sum of a slice, in the kind of number of `wide`."""
    number = wide.dtype.type
    a = number(0)
    for k in range(x.size):
        a += number(x[k])
    return np.float64(a)


@compiled_in_any_order
def totals(y, x, wide):
    """Sums of two slices and of their products, in the kind of number of `wide`."""
    number = wide.dtype.type
    a, e, p = number(0), number(0), number(0)
    for k in range(y.size):
        a += number(y[k])
        e += number(x[k])
        p += number(y[k]) * number(x[k])
    return np.float64(a), np.float64(e), np.float64(p)


@compiled_in_any_order
def highest(x):
    """Greatest of a slice."""
    a = x[0]
    for k in range(1, x.size):
        a = max(a, x[k])
    return np.float64(a)


@compiled_in_any_order
def unrest(y, wide):
    """Sum of the squared steps of a slice, in the kind of number of `wide`."""
    number = wide.dtype.type
    a = number(0)
    for k in range(y.size - 1):
        step = number(y[k + 1]) - number(y[k])
        a += step * step
    return np.float64(a)


@compiled_in_place
def measure(v, i, start, end, used, usual, it, wide, sums):
    """Sums of a discharge with the tails under the threshold; gives first and last sample taken in."""
    n = v.shape[0]
    on, negative_on = it[T_ON], it[T_NEGATIVE_ON]
    width = end - start
    usual = max(usual, width)
    reach = 2 + usual // LEADING
    first = max(start - reach, used)
    stop = end
    most = min(n, end + 2 + TRAILING * usual)
    while stop + LONG_RUN <= most:
        x = i[stop : stop + LONG_RUN]
        hit = False
        for k in range(LONG_RUN):
            hit |= (x[k] > on) | (x[k] < negative_on)
        if hit:
            break
        stop += LONG_RUN
    while stop + RUN <= most:
        x = i[stop : stop + RUN]
        hit = False
        for k in range(RUN):
            hit |= (x[k] > on) | (x[k] < negative_on)
        if hit:
            break
        stop += RUN
    while stop < most and not (i[stop] > on or i[stop] < negative_on):
        stop += 1
    sums[S_V], sums[S_I], sums[S_VI] = totals(v[first:stop], i[first:stop], wide)
    low = max(used, first - CALM)
    sums[S_ZERO], sums[S_CALM] = total(i[low:first], wide), first - low
    sums[S_PEAK] = highest(i[start:end])
    begin = start + width // 5
    y = v[begin : max(end - width // 5, begin + 1)]
    sums[S_BURNING] = total(y, wide) / y.size
    sums[S_RIPPLE] = np.sqrt(0.5 * unrest(y, wide) / max(y.size - 1, 1))
    _before(v, start, used, reach, sums)
    last = min(n, stop + SMOOTH)
    summed, count = 0.0, 0
    for k in range(stop, last):
        if i[k] > on or i[k] < negative_on:
            break
        summed += np.float64(v[k])
        count += 1
    sums[S_REMAINING] = summed / count if count > 0 else np.float64(v[stop - 1])
    return first, stop


@compiled_in_place
def _before(v, start, used, reach, sums):
    """Voltage just before the steepest fall near the start of a discharge."""
    low = max(used, start - reach - SMOOTH) + 1
    high = min(start + 2, v.shape[0])
    place, steepest = min(start, v.shape[0] - 1), 0.0
    for k in range(low, high):
        fall = np.float64(v[k - 1]) - np.float64(v[k])
        if fall > steepest:
            steepest, place = fall, k
    total, count = 0.0, 0
    for k in range(max(place - 2 - SMOOTH, used), place - 2):
        total += np.float64(v[k])
        count += 1
    sums[S_BREAKDOWN] = total / count if count > 0 else np.float64(v[max(place - 1, used)])


@compiled_in_place
def close(v, i, vt, it, numbers, wide, state, marks, sums, kind, start, end):
    """Write a row and forget all but where it ended.

    Only a wait that was long without voltage is looked at for a short or a standing arc.
    """
    row = state[ROWS]
    mark = marks[row]
    mark[M_BEGIN], mark[M_READY], mark[M_RISE] = state[BEGIN], state[AT_READY], state[RISE]
    begin, until = state[BEGIN], start
    if state[AT_READY] >= 0:
        until = state[AT_READY]
    mark[M_LOWS], mark[M_ARCS] = 0, 0
    if until - begin > numbers[N_LONG]:
        y = v[begin:until]
        short, arc_from, arc_to = vt[T_SHORT], vt[T_ARC_FROM], vt[T_ARC_TO]
        lows, arcs = 0, 0
        for k in range(y.size):
            lows += y[k] < short
            arcs += (y[k] >= arc_from) & (y[k] <= arc_to)
        mark[M_LOWS], mark[M_ARCS] = lows, arcs
    mark[M_START], mark[M_END], mark[M_KIND] = start, end, kind
    mark[M_FIRST], mark[M_STOP] = start, end
    if end > start:
        first, stop = measure(v, i, start, end, state[USED], numbers[N_USUAL], it, wide, sums[row])
        mark[M_FIRST], mark[M_STOP] = first, stop
        state[USED] = stop
    else:
        sums[row] = 0.0
    state[ROWS] = row + 1
    state[POSITION], state[BEGIN] = end, end
    state[MODE], state[AT_READY], state[RISE] = LOW, -1, -1
