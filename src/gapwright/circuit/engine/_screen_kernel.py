"""Which quantities can cross within a step at all: bounds that all searches over one step share.

Most events of most steps are settled here, without a search.
"""

import math

from gapwright.base.compiled import compiled_within
from gapwright.circuit.engine._event_kernel import length, power

NEGLIGIBLE = 1e-13
"""Terms below this share of the sum of all are left out of the search."""


@compiled_within
def step_factors(rates, reals, h, factors):
    """What all searches over one step share: growth of each term, halfway turn and amplitude of each pair.

    Rows of `factors`: growth over the step; halfway factor of pairs; greatest
    amplitude and half the turn of pairs.
    """
    for k in range(reals):
        factors[0, k] = power(rates[k] * h) if rates[k] != 0.0 else 1.0
    for k in range(reals, rates.shape[0], 2):
        p, w = rates[k], rates[k + 1]
        s = power(0.5 * p * h)
        co, si = s * math.cos(0.5 * w * h), s * math.sin(0.5 * w * h)
        factors[1, k], factors[1, k + 1] = co, si
        factors[0, k], factors[0, k + 1] = co * co - si * si, 2.0 * co * si
        factors[2, k] = max(1.0, s * s)
        factors[2, k + 1] = 0.5 * h * length(p, w)


@compiled_within
def stays_above(row, sign, offset, q, reals, factors):
    """Whether the least that a row can be within a step, by bounds of its terms, is not negative."""
    least = offset
    for k in range(reals):
        x = sign * row[k] * q[k]
        least += min(x, x * factors[0, k])
    for k in range(reals, q.shape[0], 2):
        x = sign * (row[k] * q[k] + row[k + 1] * q[k + 1])
        y = sign * (row[k] * q[k + 1] - row[k + 1] * q[k])
        size, reach = (abs(x) + abs(y)) * factors[2, k], factors[2, k + 1]
        if reach < 1.0:
            least += x * factors[1, k] - y * factors[1, k + 1] - size * reach
        else:
            least -= size
    return least >= 0.0


NONE, ONE, UNSETTLED = 0, 1, 2


@compiled_within
def screened(a, offset, rates, reals, factors):
    """Whether a step holds no crossing, or one and no dip before it, or whether that needs a closer look."""
    g_low, d_low, d_high, c_low, c_high, g1 = offset, 0.0, 0.0, 0.0, 0.0, offset
    for k in range(reals):
        x = a[k]
        y = x * factors[0, k]
        g_low += min(x, y)
        g1 += y
    for k in range(reals, a.shape[0], 2):
        reach = factors[2, k + 1]
        size = length(a[k], a[k + 1]) * factors[2, k]
        if reach < 1.0:
            g_low += a[k] * factors[1, k] - a[k + 1] * factors[1, k + 1] - size * reach
        else:
            g_low -= size
        g1 += a[k] * factors[0, k] - a[k + 1] * factors[0, k + 1]
    if g_low >= 0.0:
        return NONE
    for k in range(reals):
        r = rates[k]
        x, y = a[k] * r, a[k] * r * factors[0, k]
        d_low += min(x, y)
        d_high += max(x, y)
        x, y = x * r, y * r
        c_low += min(x, y)
        c_high += max(x, y)
    for k in range(reals, a.shape[0], 2):
        reach = factors[2, k + 1]
        if reach >= 1.0:
            return UNSETTLED
        p, w = rates[k], rates[k + 1]
        rate = length(p, w)
        spread = length(a[k], a[k + 1]) * factors[2, k] * reach * rate
        co, si = factors[1, k], factors[1, k + 1]
        x, y = a[k] * co - a[k + 1] * si, a[k] * si + a[k + 1] * co
        x, y = x * p - y * w, x * w + y * p
        d_low += x - spread
        d_high += x + spread
        x = x * p - y * w
        c_low += x - spread * rate
        c_high += x + spread * rate
    if g1 < 0.0:
        one = d_high <= 0.0 or c_low >= 0.0 or c_high <= 0.0
        return ONE if one else UNSETTLED
    return NONE if d_low >= 0.0 or d_high <= 0.0 or c_high <= 0.0 else UNSETTLED


@compiled_within
def without_negligible(a, offset, reals):
    """Set terms that are lost in rounding to zero."""
    total = abs(offset)
    for k in range(a.shape[0]):
        total += abs(a[k])
    for k in range(reals):
        if abs(a[k]) <= NEGLIGIBLE * total:
            a[k] = 0.0
