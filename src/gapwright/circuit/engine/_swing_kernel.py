"""Sums of few terms, of which crossings and peaks are known without a search.

One exponential beside constants, as a store that charges; one oscillation
beside constants, as its discharge through the leads.
"""

import math

from gapwright.base.compiled import compiled_within, woven
from gapwright.circuit.engine._event_kernel import NEVER, falls_through, power, value_and_slopes

EIGHTH = 0.25 * math.pi
"""Turn of an oscillation within which a quantity is taken to have one peak at most. [rad]"""
ALIKE = 1e-9
"""Share by which the slopes of two quantities that turn together may differ in direction."""


@compiled_within
def lone_fall(a, offset, rates, reals):
    """Time at which one exponential beside constants is zero; 0 of any other sum."""
    rest, lone = offset, -1
    for k in range(reals):
        if rates[k] == 0.0:
            rest += a[k]
        elif a[k] != 0.0:
            if lone >= 0:
                return 0.0
            lone = k
    for k in range(reals, a.shape[0]):
        if a[k] != 0.0:
            return 0.0
    if lone < 0 or rest == 0.0 or a[lone] / rest >= 0.0:
        return 0.0
    return math.log(-rest / a[lone]) / rates[lone]


@compiled_within
def swing_crossing(a, offset, rates, reals, since, horizon):
    """First time from `since` to `horizon` at which a constant and one oscillation turn negative, or `NEVER`.

    The value at `since` must not be negative. From one turn to the next the
    value only falls or only rises; the falls are looked at one by one.
    """
    c = offset
    for k in range(reals):
        c += a[k]
    x, y, p, w = a[reals], a[reals + 1], rates[reals], rates[reals + 1]
    size, half = math.sqrt(x * x + y * y), math.pi / w
    phase = math.atan2(p * y + w * x, p * x - w * y)
    top = (0.5 * math.pi - phase) / w
    top += 2.0 * half * math.floor((since - top) / (2.0 * half))
    while max(top, since) < horizon:
        low, high = max(top, since), min(top + half, horizon)
        if low < high:
            if c - size * power(p * low) >= 0.0:
                return NEVER
            g, _, _ = value_and_slopes(a, offset, rates, reals, high)
            if g < 0.0:
                share = -c / max(size * power(p * (top + 0.5 * half)), abs(c))
                return falls_through(a, offset, rates, reals, low, high, top + math.acos(share) / w)
        top += 2.0 * half
    return NEVER


@woven
def swings_alone(rates, reals, h):
    """Whether a mode is one oscillation that dies away and, over a step, nothing else but constants."""
    m = rates.shape[0]
    alone = m - reals == 2 and rates[m - 2] <= 0.0 and rates[m - 1] * h > EIGHTH
    for k in range(reals):
        alone = alone and rates[k] == 0.0
    return alone


@compiled_within
def swing_peaks(rows, q0, q1, rates, reals, h, peaks, mine):
    """Peaks over a step of a mode that swings alone; returns the highest value of `mine`.

    The first turn up and the first turn down are the largest. Quantities that
    turn together share the time of their turn.
    """
    n, highest = rows.shape[1], -1e300
    p, w = rates[reals], rates[reals + 1]
    half = math.exp(p * math.pi / w)
    d_last, e_last, t, s = 0.0, 0.0, 0.0, 0.0
    for r in range(n):
        base = 0.0
        for k in range(reals):
            base += rows[k, r] * q0[k]
        a, b = rows[reals, r], rows[reals + 1, r]
        x, y = a * q0[reals] + b * q0[reals + 1], a * q0[reals + 1] - b * q0[reals]
        v0, v1 = base + x, base + a * q1[reals] + b * q1[reals + 1]
        high, low = max(v0, v1), min(v0, v1)
        size = math.sqrt(x * x + y * y)
        if r == mine or base + size > peaks[0, r] or base - size < peaks[1, r]:
            d, e = p * x - w * y, p * y + w * x
            if abs(d * e_last - e * d_last) > ALIKE * (abs(d * e_last) + abs(e * d_last)) or s == 0.0:
                angle = math.atan2(d, e)
                if angle <= 0.0:
                    angle += math.pi
                t = angle / w
                s = math.exp(p * t)
                d_last, e_last = d, e
            if t < h:
                far = math.copysign(s * size * w / math.sqrt(p * p + w * w), d if d != 0.0 else -e)
                high, low = max(high, base + far), min(low, base + far)
                if t + math.pi / w < h:
                    high, low = max(high, base - far * half), min(low, base - far * half)
        if r == mine:
            highest = high
        peaks[0, r], peaks[1, r] = max(peaks[0, r], high), min(peaks[1, r], low)
    return highest
