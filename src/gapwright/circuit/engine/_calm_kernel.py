"""Whether a step can be left alone by the meters of peaks: nothing in it goes beyond what was seen before.

Nearly all steps of a long run are of this kind. All quantities are looked at
together, without a branch for each, so that the machine takes several at a time.
"""

from gapwright.base.compiled import compiled_in_place, compiled_within, compiled_within_in_any_order
from gapwright.circuit.engine._event_kernel import NEVER
from gapwright.circuit.engine._peak_kernel import SAME, SLOW
from gapwright.circuit.engine._swing_kernel import EIGHTH

ENDS, BASE, ROWS = 0, 6, 12
"""Where in the room the terms and the sums begin, and how many rows it has."""
TOGETHER = 4
"""Terms that are summed in one go."""
SPIKE = 1e6
"""Time constants within a step above which a decay is over before anything slower has moved."""
SPENT = 40.0
"""Time constants after which a decay is lost in rounding."""


@compiled_within
def kinds(rates, reals, h):
    """How long spikes last, and the time constants from which on a decay is no part of what turns once at most.

    Two exponentials beside constants and spikes turn a quantity once at most, whatever their rates.
    """
    moving, slowest = rates.shape[0] - reals, -NEVER
    for k in range(reals):
        if rates[k] * h <= -SPIKE:
            slowest = max(slowest, rates[k])
        elif rates[k] != 0.0:
            moving += 1
    return -SPENT / slowest if slowest > -NEVER else 0.0, SPIKE if moving < 3 else SLOW


@compiled_within
def sorted_terms(q0, q1, rates, reals, h, ends):
    """Slow terms at both ends of a step and their slopes there, decays at its start, what slow ones move meanwhile.

    Returns how long decays last: `NEVER` where one is no spike, below 0 where an oscillation is fast.
    """
    brief, fast = kinds(rates, reals, h)
    lasting = brief
    for k in range(reals):
        x, y, r = q0[k], q1[k], rates[k]
        ends[1, k] = y
        if r * h <= -fast:
            ends[0, k] = ends[2, k] = ends[3, k] = ends[5, k] = 0.0
            ends[4, k] = x
            if r * h > -SPIKE:
                lasting = NEVER
        else:
            ends[0, k], ends[2, k], ends[3, k] = x, x * r, y * r
            ends[4, k], ends[5, k] = 0.0, abs(x) * min(1.0, abs(r) * brief)
    for k in range(reals, q0.shape[0], 2):
        p, w = rates[k], rates[k + 1]
        if w * h > EIGHTH:
            return -1.0
        x, y = q0[k], q0[k + 1]
        ends[0, k], ends[0, k + 1] = x, y
        ends[2, k], ends[2, k + 1] = x * p - y * w, x * w + y * p
        ends[5, k] = ends[5, k + 1] = (abs(x) + abs(y)) * (abs(p) + w) * brief
        x, y = q1[k], q1[k + 1]
        ends[1, k], ends[1, k + 1] = x, y
        ends[3, k], ends[3, k + 1] = x * p - y * w, x * w + y * p
        ends[4, k] = ends[4, k + 1] = 0.0
    return lasting


@compiled_in_place
def other_sums(rows, ends, base):
    """Sums for each quantity over all terms behind the first few."""
    n = rows.shape[1]
    for j in range(6):
        for r in range(n):
            base[j, r] = 0.0
    for k in range(TOGETHER, rows.shape[0]):
        a, b, c, d, e, f = ends[0, k], ends[1, k], ends[2, k], ends[3, k], ends[4, k], ends[5, k]
        for r in range(n):
            x = rows[k, r]
            base[0, r] += x * a
            base[1, r] += x * b
            base[2, r] += x * c
            base[3, r] += x * d
            base[4, r] += max(x * e, abs(x) * f)
            base[5, r] += x * e


@compiled_within_in_any_order
def beyond(rows, ends, base, peaks, h, share):
    """How far all quantities together may go beyond their peaks within a step; 0 where none can.

    What is slow turns once at most, and rises above the higher of its ends by
    no more than the lesser of its slopes takes it in the whole time. Decays
    add to that no more than their size at the start, while spikes last, in which
    what is slow moves little; if `share` is 1 at any time.
    """
    last = rows.shape[0] - 1
    k1, k2, k3 = min(1, last), min(2, last), min(3, last)
    a0, b0, c0, d0, e0, f0 = ends[0, 0], ends[1, 0], ends[2, 0], ends[3, 0], ends[4, 0], ends[5, 0]
    a1, b1, c1, d1, e1, f1 = ends[0, 1], ends[1, 1], ends[2, 1], ends[3, 1], ends[4, 1], ends[5, 1]
    a2, b2, c2, d2, e2, f2 = ends[0, 2], ends[1, 2], ends[2, 2], ends[3, 2], ends[4, 2], ends[5, 2]
    a3, b3, c3, d3, e3, f3 = ends[0, 3], ends[1, 3], ends[2, 3], ends[3, 3], ends[4, 3], ends[5, 3]
    total = 0.0
    for r in range(rows.shape[1]):
        x0, x1, x2, x3 = rows[0, r], rows[k1, r], rows[k2, r], rows[k3, r]
        v0 = base[0, r] + x0 * a0 + x1 * a1 + x2 * a2 + x3 * a3
        v1 = base[1, r] + x0 * b0 + x1 * b1 + x2 * b2 + x3 * b3
        s0 = base[2, r] + x0 * c0 + x1 * c1 + x2 * c2 + x3 * c3
        s1 = base[3, r] + x0 * d0 + x1 * d1 + x2 * d2 + x3 * d3
        g0, g1, g2, g3 = x0 * e0, x1 * e1, x2 * e2, x3 * e3
        up = base[4, r] + max(g0, abs(x0) * f0) + max(g1, abs(x1) * f1)
        up += max(g2, abs(x2) * f2) + max(g3, abs(x3) * f3)
        start = base[5, r] + g0 + g1 + g2 + g3
        down = up - start
        start += v0
        reach = min(abs(s0), abs(s1)) * h if s0 * s1 < 0.0 else 0.0
        high, low = max(v0, v1) + reach, min(v0, v1) - reach
        top, bottom = peaks[0, r], peaks[1, r]
        most = max(v0 + up, high + share * (up + up + down))
        least = min(v0 - down, low - share * (up + down + down))
        over = max(max(start, v1) - top, most - top - SAME * abs(top))
        under = max(bottom - min(start, v1), bottom - least - SAME * abs(bottom))
        total += (over if over > 0.0 else 0.0) + (under if under > 0.0 else 0.0)
    return total


@compiled_within
def calm(rows, q0, q1, rates, reals, h, peaks, room):
    """Whether no watched quantity goes beyond its peaks within a step, but for rounding."""
    ends, base = room[ENDS:BASE], room[BASE:ROWS]
    lasting = sorted_terms(q0, q1, rates, reals, h, ends)
    if lasting < 0.0:
        return False
    if rows.shape[0] > TOGETHER:
        other_sums(rows, ends, base)
    return beyond(rows, ends, base, peaks, h, 0.0 if lasting < NEVER else 1.0) == 0.0
