"""When a sum of exponentials first turns negative, with no dip inside an interval overlooked.

A quantity of a circuit in one mode is ``offset + sum of a e^(r t)`` over real
terms and decaying oscillations. Bounds of the quantity, its slope and its
curvature over an interval come from its terms, each of which is monotone (or
bounded by its amplitude); an interval is halved until one of them keeps its
sign, which settles whether and where there is a crossing. Values at the ends
alone would miss a crossing that turns back inside a step.
"""

import math

from gapwright.base.compiled import compiled_in_place, compiled_within

NEVER = 1e300
SPLITS = 120
PAST = 4.0
"""By how many times what is lost in rounding an event is taken after its crossing, so that it has happened."""
NEAR = 0.05
"""Share of an interval within which a fall that will soon be through is looked for first."""
ROUNDING = 4e-16
"""Share of the sum of its terms within which a value is lost in rounding."""


@compiled_within
def power(x):
    """Exponential of `x`, at once zero where it would only underflow."""
    return math.exp(x) if x > -700.0 else 0.0


@compiled_in_place
def length(x, y):
    """Length of a pair; plain, since none comes near overflow."""
    return math.sqrt(x * x + y * y)


@compiled_within
def value_and_slopes(a, offset, rates, reals, t):
    """Value, slope and curvature of a sum of terms at time `t`."""
    g, d, c = offset, 0.0, 0.0
    for k in range(reals):
        if a[k] != 0.0:
            e = a[k] * power(rates[k] * t) if rates[k] != 0.0 else a[k]
            g += e
            e *= rates[k]
            d += e
            c += e * rates[k]
    for k in range(reals, a.shape[0], 2):
        p, w = rates[k], rates[k + 1]
        s = power(p * t)
        co, si = s * math.cos(w * t), s * math.sin(w * t)
        x, y = a[k] * co - a[k + 1] * si, a[k] * si + a[k + 1] * co
        g += x
        x, y = x * p - y * w, x * w + y * p
        d += x
        c += x * p - y * w
    return g, d, c


@compiled_within
def bent(g, d, c):
    """By how much a step of Newton's is lengthened for curvature, as Halley does; by nothing far from the zero."""
    share = 1.0 - 0.5 * g * c / (d * d)
    return 1.0 / share if 0.5 < share < 2.0 else 1.0


@compiled_within
def parabola_fall(a, offset, rates, reals):
    """First time at which the parabola through the start of a sum falls to zero; 0 if it does not."""
    g, d, c = offset, 0.0, 0.0
    for k in range(reals):
        g += a[k]
        e = a[k] * rates[k]
        d += e
        c += e * rates[k]
    for k in range(reals, a.shape[0], 2):
        p, w = rates[k], rates[k + 1]
        g += a[k]
        x, y = a[k] * p - a[k + 1] * w, a[k] * w + a[k + 1] * p
        d += x
        c += x * p - y * w
    inside = d * d - 2.0 * g * c
    return 2.0 * g / (math.sqrt(inside) - d) if d < 0.0 and inside > 0.0 else 0.0


@compiled_in_place
def falls_through(a, offset, rates, reals, low, high, guess):
    """Time between `low` (value not negative) and `high` (negative) just past which the value is zero."""
    t, nothing = (guess if low < guess < high else low), abs(offset)
    for k in range(a.shape[0]):
        nothing += abs(a[k])
    nothing *= ROUNDING
    last = high
    g, d, c = value_and_slopes(a, offset, rates, reals, t)
    if g < 0.0:
        high = t
    else:
        low = t
    for _ in range(100):
        if d < 0.0 and abs(g) <= nothing:
            return min(t - PAST * nothing / d, last)
        step = t - g / d * bent(g, d, c) if d < 0.0 else NEVER
        if not low < step < high:
            step = 0.5 * (low + high)
        moved = abs(step - t)
        t = step
        if moved <= 4e-16 * t or high - low <= 4e-16 * high:
            break
        g, d, c = value_and_slopes(a, offset, rates, reals, t)
        if g < 0.0:
            high = t
        else:
            low = t
    return t


@compiled_in_place
def lowest_point(a, offset, rates, reals, low, high):
    """Time between `low` (slope not positive) and `high` (slope positive) at which the slope is zero."""
    t = 0.5 * (low + high)
    for _ in range(100):
        _, d, c = value_and_slopes(a, offset, rates, reals, t)
        if d > 0.0:
            high = t
        else:
            low = t
        step = t - d / c if c > 0.0 else NEVER
        if not low < step < high:
            step = 0.5 * (low + high)
        moved = abs(step - t)
        t = step
        if moved <= 1e-12 * (high + t) or high - low <= 4e-16 * high:
            break
    return t


@compiled_in_place
def bounds(a, offset, rates, reals, t0, t1):
    """Bounds over an interval: lowest value, least and greatest slope, least and greatest curvature."""
    g_low, d_low, d_high, c_low, c_high = offset, 0.0, 0.0, 0.0, 0.0
    for k in range(reals):
        if a[k] == 0.0:
            continue
        r = rates[k]
        x, y = a[k] * power(r * t0), a[k] * power(r * t1)
        g_low += min(x, y)
        x, y = x * r, y * r
        d_low += min(x, y)
        d_high += max(x, y)
        x, y = x * r, y * r
        c_low += min(x, y)
        c_high += max(x, y)
    for k in range(reals, a.shape[0], 2):
        p, w = rates[k], rates[k + 1]
        size = length(a[k], a[k + 1]) * power(max(p * t0, p * t1))
        if size == 0.0:
            continue
        rate = length(p, w)
        reach = 0.5 * rate * (t1 - t0)
        x, y = 0.0, 0.0
        spread = size
        if reach < 1.0:
            t = 0.5 * (t0 + t1)
            s = power(p * t)
            co, si = s * math.cos(w * t), s * math.sin(w * t)
            x, y = a[k] * co - a[k + 1] * si, a[k] * si + a[k + 1] * co
            spread = size * reach
        g_low += x - spread
        x, y = x * p - y * w, x * w + y * p
        spread *= rate
        d_low += x - spread
        d_high += x + spread
        x = x * p - y * w
        spread *= rate
        c_low += x - spread
        c_high += x + spread
    return g_low, d_low, d_high, c_low, c_high


@compiled_in_place
def split_point(a, rates, reals, t0, t1):
    """Where to split an interval: behind its fastest term, within an oscillation's turn, or in the middle."""
    fastest, turning = 0.0, 0.0
    for k in range(reals):
        if a[k] != 0.0 and -rates[k] > fastest:
            left = abs(a[k]) * power(rates[k] * t0)
            if left > 0.0:
                fastest = -rates[k]
    for k in range(reals, a.shape[0], 2):
        if a[k] != 0.0 or a[k + 1] != 0.0:
            turning = max(turning, length(rates[k], rates[k + 1]))
    width = t1 - t0
    if fastest * width > 160.0:
        return t0 + 40.0 / fastest
    if turning * width > 4.0:
        return t0 + min(0.5 * width, 1.6 / turning + 0.5 * t0)
    return t0 + 0.5 * width


@compiled_in_place
def first_crossing(a, offset, rates, reals, since, horizon, ends):
    """First time from `since` up to `horizon` at which the value turns negative, or `NEVER`.

    The value at `since` must not be negative. `ends` is working room for
    `SPLITS` numbers.
    """
    t0, top = since, 1
    ends[0] = horizon
    g, d, _ = value_and_slopes(a, offset, rates, reals, since)
    near = -8.0 * g / d if d < 0.0 else NEVER
    if since < since + near < since + NEAR * (horizon - since):
        ends[1], top = since + near, 2
    while top > 0:
        t1 = ends[top - 1]
        g_low, d_low, d_high, c_low, c_high = bounds(a, offset, rates, reals, t0, t1)
        if g_low >= 0.0:
            t0, top = t1, top - 1
            continue
        g1, d1, _ = value_and_slopes(a, offset, rates, reals, t1)
        settled = d_low >= 0.0 or d_high <= 0.0 or c_low >= 0.0 or c_high <= 0.0
        if not settled and top < SPLITS:
            middle = split_point(a, rates, reals, t0, t1)
            if t0 < middle < t1:
                ends[top] = middle
                top += 1
                continue
        if g1 < 0.0:
            return falls_through(a, offset, rates, reals, t0, t1, t0)
        if c_low >= 0.0 and d1 > 0.0 and d_low < 0.0:
            _, d0, _ = value_and_slopes(a, offset, rates, reals, t0)
            if d0 < 0.0:
                t = lowest_point(a, offset, rates, reals, t0, t1)
                g, _, _ = value_and_slopes(a, offset, rates, reals, t)
                if g < 0.0:
                    return falls_through(a, offset, rates, reals, t0, t, t0)
        t0, top = t1, top - 1
    return NEVER
