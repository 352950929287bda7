"""Kernel: discharges of a capacitor generator from its voltage alone, by how the voltage falls.

The gap is armed once the voltage has risen above burning. A discharge is a
fall by a share of what stood above burning; it ends where the voltage is
lowest before it rises again. Rows are those of the pass with a current.
"""

import numpy as np

from gapwright.base.compiled import compiled
from gapwright.capture._rows_kernel import (
    BEGIN,
    CUT,
    DISCHARGE,
    FULL,
    M_ARCS,
    M_BEGIN,
    M_END,
    M_FIRST,
    M_KIND,
    M_LOWS,
    M_READY,
    M_RISE,
    M_START,
    M_STOP,
    POSITION,
    REACHED,
    ROWS,
    S_BREAKDOWN,
    S_BURNING,
    S_REMAINING,
    S_RIPPLE,
    SMOOTH,
)

F_ARM, F_BURNING, F_LEAST, F_SHARE, F_SHORT, F_ARC_FROM, F_ARC_TO = range(7)
"""Places in the levels, in codes: armed above, burning voltage, least fall, share that must fall, edges."""
MEAN = 4
"""Samples over which the lowest voltage is averaged."""


@compiled
def find_falls(v, levels, state, marks, sums, stop):
    """Go on from `state` until `stop` or until the rows are full; gives the reason.

    A discharge that began before `stop` is followed to its end beyond it.
    """
    n = v.shape[0]
    arm, burning, least, share = levels[F_ARM], levels[F_BURNING], levels[F_LEAST], levels[F_SHARE]
    p = state[POSITION]
    while p < stop:
        if state[ROWS] == marks.shape[0]:
            state[POSITION] = p
            return FULL
        begin = state[BEGIN]
        while p < n and (v[p] < arm or p + 1 >= n or v[p + 1] < arm):
            p += 1
            if p >= stop:
                state[POSITION] = p
                return REACHED
        ready, top = p, np.float64(v[p])
        fell = -1
        while p + 1 < n:
            now, after = np.float64(v[p]), np.float64(v[p + 1])
            edge = top - max(share * (top - burning), least)
            if now < edge and after < edge:
                fell = p
                break
            top = max(top, min(now, after))
            p += 1
        if fell < 0:
            # Nothing more falls: what is left belongs to the last row.
            state[POSITION] = n
            return REACHED
        low, place, over = 1e300, fell, False
        while p + MEAN <= n:
            mean = 0.0
            for k in range(MEAN):
                mean += np.float64(v[p + k])
            mean /= MEAN
            if mean < low:
                low, place = mean, p
            elif mean > low + least and p > fell + 1:
                over = True
                break
            p += 1
        if not over:
            p = n
        row = state[ROWS]
        end = max(place, fell + 1)
        _write(v, levels, begin, ready, fell, end, low, marks[row], sums[row])
        state[ROWS], state[BEGIN] = row + 1, end
        p = max(p, end)
    state[POSITION] = p
    return REACHED


@compiled
def _write(v, levels, begin, ready, fell, end, low, mark, sums):
    """One row."""
    mark[M_BEGIN], mark[M_READY], mark[M_RISE] = begin, ready, ready - begin
    mark[M_START], mark[M_END], mark[M_FIRST], mark[M_STOP] = fell, end, fell, end
    mark[M_KIND], mark[M_LOWS], mark[M_ARCS] = DISCHARGE, 0, 0
    for k in range(begin, ready):
        mark[M_LOWS] += v[k] < levels[F_SHORT]
        mark[M_ARCS] += levels[F_ARC_FROM] <= v[k] <= levels[F_ARC_TO]
    first = max(fell - 1 - SMOOTH, begin)
    last = max(fell - 1, first + 1)
    total = 0.0
    for k in range(first, last):
        total += np.float64(v[k])
    sums[S_BREAKDOWN] = total / (last - first)
    width = end - fell
    a, b = fell + width // 5, max(end - width // 5, fell + width // 5 + 1)
    total, steps = 0.0, 0.0
    for k in range(a, b):
        total += np.float64(v[k])
        if k > a:
            steps += (np.float64(v[k]) - np.float64(v[k - 1])) ** 2
    sums[S_BURNING] = total / (b - a)
    sums[S_RIPPLE] = np.sqrt(0.5 * steps / max(b - a - 1, 1))
    sums[S_REMAINING] = low


@compiled
def cut_off(v, levels, state, mark):
    """Write the wait that the end of the samples cuts off; gives whether there was one."""
    n = v.shape[0]
    begin = state[BEGIN]
    if begin >= n:
        return False
    ready = n
    for k in range(begin, n):
        if v[k] >= levels[F_ARM]:
            ready = k
            break
    lows, arcs = 0, 0
    for k in range(begin, ready):
        lows += v[k] < levels[F_SHORT]
        arcs += levels[F_ARC_FROM] <= v[k] <= levels[F_ARC_TO]
    mark[M_BEGIN], mark[M_READY], mark[M_RISE] = begin, ready if ready < n else -1, 0
    mark[M_LOWS], mark[M_ARCS] = lows, arcs
    mark[M_START], mark[M_END], mark[M_FIRST], mark[M_STOP], mark[M_KIND] = n, n, n, n, CUT
    return True
