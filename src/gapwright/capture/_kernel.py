"""Kernel: one pass over voltage and current that cuts a capture into waits and discharges.

A row is a wait (from the end of the last discharge) and what ended it: a
discharge, or a fall of the voltage without a current. All state is forgotten
at the end of a row but where it ended, so a pass may begin anywhere and
agrees with any other pass from the first row end that both have.

Codes are compared as they were recorded; only sums are turned into volts and
amperes, later. Blocks in which nothing can happen are looked at with vector
instructions and never sample by sample.
"""

import numpy as np

from gapwright.base.compiled import compiled, compiled_in_place

BLOCK = 128
"""Samples of a wait that are looked at together."""
RUN = 32
"""Samples of a discharge that are looked at together."""
BACK = 64
"""A rise of the voltage is followed back over so many samples at most."""
LEADING, TRAILING = 4, 1
"""A discharge's sums reach back over a quarter of its width and on over all of it again: the tails that
stay under the threshold. A narrow one reaches as far as a usual one. Noise there has no mean, so it costs
no bias."""
CALM = 64
"""Samples before a discharge that tell where the current's zero line is, at most."""
SMOOTH = 6
"""Samples over which breakdown and remaining voltage are averaged."""

LOW, READY, FALLEN, BURNING = 0, 1, 2, 3
"""Modes: waiting for voltage, waiting with voltage, just fallen, discharging."""

DISCHARGE, FALL, CUT = 0, 1, 2
"""What ended a row: a discharge, a fall without current, the end of the samples."""

POSITION, MODE, BEGIN, AT_READY, RISE, LOWS, ARCS, USED, FELL, START, LAST, ROWS = range(12)
"""Places in the state."""
STATE = 12

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
N_HOLD, N_GRACE, N_LONGEST, N_USUAL = range(4)
"""Counts of samples: quiet that ends a discharge, wait after a fall, longest and usual discharge."""

REACHED, FULL = 0, 1
"""Why the kernel returned."""


@compiled_in_place
def measure(v, i, start, end, used, usual, it, sums):
    """Sums of a discharge with the tails under the threshold; gives first and last sample taken in."""
    n = v.shape[0]
    on, off = it[T_ON], it[T_NEGATIVE_ON]
    width = end - start
    usual = max(usual, width)
    reach = 2 + usual // LEADING
    first = max(start - reach, used)
    stop = end
    most = min(n, end + 2 + TRAILING * usual)
    while stop < most and not (i[stop] > on or i[stop] < off):
        stop += 1
    y, x = v[first:stop], i[first:stop]
    m = y.size - y.size % 2
    v0, v1, i0, i1, w0, w1 = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for k in range(0, m, 2):
        a, b = np.float64(y[k]), np.float64(x[k])
        c, d = np.float64(y[k + 1]), np.float64(x[k + 1])
        v0 += a
        i0 += b
        w0 += a * b
        v1 += c
        i1 += d
        w1 += c * d
    if m < y.size:
        a, b = np.float64(y[m]), np.float64(x[m])
        v0 += a
        i0 += b
        w0 += a * b
    sums[S_V], sums[S_I], sums[S_VI] = v0 + v1, i0 + i1, w0 + w1
    total, low = 0.0, max(used, first - CALM)
    for k in range(low, first):
        total += np.float64(i[k])
    sums[S_ZERO], sums[S_CALM] = total, first - low
    x = i[start:end]
    peak = x[0]
    for k in range(1, x.size):
        peak = max(peak, x[k])
    sums[S_PEAK] = np.float64(peak)
    _middle(v, start + width // 5, max(end - width // 5, start + width // 5 + 1), sums)
    _before(v, start, used, reach, sums)
    last = min(n, stop + SMOOTH)
    total, count = 0.0, 0
    for k in range(stop, last):
        if i[k] > on or i[k] < off:
            break
        total += np.float64(v[k])
        count += 1
    sums[S_REMAINING] = total / count if count > 0 else np.float64(v[stop - 1])
    return first, stop


@compiled_in_place
def _middle(v, start, end, sums):
    """Mean voltage of the middle of a discharge, and its unrest from sample to sample."""
    y = v[start:end]
    total, unrest = np.float64(y[0]), 0.0
    for k in range(1, y.size):
        a = np.float64(y[k])
        step = a - np.float64(y[k - 1])
        total += a
        unrest += step * step
    sums[S_BURNING] = total / y.size
    sums[S_RIPPLE] = np.sqrt(0.5 * unrest / max(y.size - 1, 1))


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
def close(v, i, it, numbers, state, marks, sums, kind, start, end):
    """Write a row and forget all but where it ended."""
    row = state[ROWS]
    mark = marks[row]
    mark[M_BEGIN], mark[M_READY], mark[M_RISE] = state[BEGIN], state[AT_READY], state[RISE]
    mark[M_LOWS], mark[M_ARCS] = state[LOWS], state[ARCS]
    mark[M_START], mark[M_END], mark[M_KIND] = start, end, kind
    mark[M_FIRST], mark[M_STOP] = start, end
    if end > start:
        first, stop = measure(v, i, start, end, state[USED], numbers[N_USUAL], it, sums[row])
        mark[M_FIRST], mark[M_STOP] = first, stop
        state[USED] = stop
    state[ROWS] = row + 1
    state[POSITION], state[BEGIN] = end, end
    state[MODE], state[AT_READY], state[RISE] = LOW, -1, -1
    state[LOWS], state[ARCS] = 0, 0


@compiled
def scan(v, i, vt, it, numbers, state, marks, sums, stop):
    """Go on from `state` until `stop` or until the rows are full; gives the reason."""
    n = v.shape[0]
    ready, unready, short = vt[T_READY], vt[T_UNREADY], vt[T_SHORT]
    arc_from, arc_to = vt[T_ARC_FROM], vt[T_ARC_TO]
    on, negative_on = it[T_ON], it[T_NEGATIVE_ON]
    off, negative_off = it[T_OFF], it[T_NEGATIVE_OFF]
    hold, grace, longest = numbers[N_HOLD], numbers[N_GRACE], numbers[N_LONGEST]
    room = marks.shape[0]
    p = state[POSITION]
    while p < stop:
        mode = state[MODE]
        if mode == LOW:
            lows, arcs = state[LOWS], state[ARCS]
            while p + BLOCK <= stop:
                y, x = v[p : p + BLOCK], i[p : p + BLOCK]
                hit = False
                for k in range(BLOCK):
                    hit |= (x[k] > on) | (x[k] < negative_on) | (y[k] >= ready)
                if hit:
                    break
                count, between = np.int32(0), np.int32(0)
                for k in range(BLOCK):
                    count += np.int32(y[k] < short)
                    between += np.int32((y[k] >= arc_from) & (y[k] <= arc_to))
                lows += count
                arcs += between
                p += BLOCK
            end = min(p + BLOCK, stop)
            while p < end:
                if (
                    (i[p] > on or i[p] < negative_on)
                    and p + 1 < n
                    and (i[p + 1] > on or i[p + 1] < negative_on)
                ):
                    state[MODE], state[START], state[LAST] = BURNING, p, p + 1
                    break
                if v[p] >= ready:
                    back = p - 1
                    least = max(state[BEGIN], p - BACK)
                    while back >= least and v[back] >= short:
                        back -= 1
                    state[MODE], state[AT_READY], state[RISE] = READY, p, p - back
                    break
                lows += v[p] < short
                arcs += (v[p] >= arc_from) & (v[p] <= arc_to)
                p += 1
            state[LOWS], state[ARCS] = lows, arcs
        elif mode == READY:
            while p + BLOCK <= stop:
                y, x = v[p : p + BLOCK], i[p : p + BLOCK]
                hit = False
                for k in range(BLOCK):
                    hit |= (x[k] > on) | (x[k] < negative_on) | (y[k] < unready)
                if hit:
                    break
                p += BLOCK
            end = min(p + BLOCK, stop)
            while p < end:
                if (
                    (i[p] > on or i[p] < negative_on)
                    and p + 1 < n
                    and (i[p + 1] > on or i[p + 1] < negative_on)
                ):
                    state[MODE], state[START], state[LAST] = BURNING, p, p + 1
                    break
                if v[p] < unready:
                    state[MODE], state[FELL] = FALLEN, p
                    break
                p += 1
        elif mode == FALLEN:
            if (i[p] > on or i[p] < negative_on) and p + 1 < n and (i[p + 1] > on or i[p + 1] < negative_on):
                state[MODE], state[START], state[LAST] = BURNING, p, p + 1
            elif v[p] >= ready:
                state[MODE] = READY
            elif p - state[FELL] >= grace:
                if state[ROWS] == room:
                    state[POSITION] = p
                    return FULL
                close(v, i, it, numbers, state, marks, sums, FALL, state[FELL], state[FELL])
                p = state[POSITION]
            else:
                p += 1
        else:
            last = state[LAST]
            while p + RUN <= stop:
                x = i[p : p + RUN]
                miss = False
                for k in range(RUN):
                    miss |= x[k] <= off
                if miss:
                    break
                p += RUN
                last = p - 1
            end = min(p + RUN, stop)
            over = False
            while p < end:
                if i[p] > off or i[p] < negative_off:
                    last = p
                elif p - last >= hold:
                    over = True
                    break
                p += 1
            over |= p - state[START] >= longest
            state[LAST] = last
            if over:
                if state[ROWS] == room:
                    state[POSITION] = p
                    return FULL
                close(v, i, it, numbers, state, marks, sums, DISCHARGE, state[START], last + 1)
                p = state[POSITION]
    state[POSITION] = p
    return REACHED


@compiled
def finish(v, i, it, numbers, state, marks, sums):
    """Write the row that the end of the samples cuts off; there must be room for it."""
    n = v.shape[0]
    if state[MODE] == BURNING:
        close(v, i, it, numbers, state, marks, sums, DISCHARGE, state[START], min(state[LAST] + 1, n))
    if state[BEGIN] < n:
        close(v, i, it, numbers, state, marks, sums, CUT, n, n)
