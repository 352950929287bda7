"""Peaks over one step: highest and lowest values of all quantities, turning points inside the step included."""

import math

from gapwright.base.compiled import compiled_in_place, woven
from gapwright.circuit.engine._event_kernel import power
from gapwright.circuit.engine._meter_kernel import carried, value_of
from gapwright.circuit.engine._swing_kernel import EIGHTH, swing_peaks, swings_alone

DEAD = 14.0
"""Time constants after which an oscillation is taken to have died away."""
MOST_PIECES = 4096
FIRST_CUT, WIDER = 0.7, 1.7
"""Time constants of the fastest decay after which a step is cut first, and the ratio of later cuts."""
NOTHING = 1e-12
"""Share of the largest term below which another is rounding."""
SLOW = 1.0
"""Time constants within a step below which a decay is too slow to turn a quantity by itself."""
FELT = 1e-6
"""Share of a peak below which what decays, and what it may add to the peak, is not felt."""
FLAT = 1e-9
"""Share of a value that is still to be gained where a parabola tells the rest."""
SAME = 1e-9
"""Share of a peak by which another must be able to exceed it to be looked for."""


@compiled_in_place
def value_at(row, q, rates, reals, t):
    """Value and slope of one row of terms at time `t`."""
    v, d = 0.0, 0.0
    for k in range(reals):
        e = row[k] * q[k] * power(rates[k] * t)
        v += e
        d += e * rates[k]
    for k in range(reals, q.shape[0], 2):
        s = power(rates[k] * t)
        co, si = s * math.cos(rates[k + 1] * t), s * math.sin(rates[k + 1] * t)
        x, y = q[k] * co - q[k + 1] * si, q[k] * si + q[k + 1] * co
        v += row[k] * x + row[k + 1] * y
        d += row[k] * (x * rates[k] - y * rates[k + 1]) + row[k + 1] * (x * rates[k + 1] + y * rates[k])
    return v, d


@compiled_in_place
def value_and_bend(row, q, rates, reals):
    """Value, slope and curvature of one row at terms `q`."""
    v, d, c = 0.0, 0.0, 0.0
    for k in range(reals):
        e = row[k] * q[k]
        v += e
        e *= rates[k]
        d += e
        c += e * rates[k]
    for k in range(reals, row.shape[0], 2):
        p, w = rates[k], rates[k + 1]
        a, b = row[k], row[k + 1]
        x, y = a * q[k] + b * q[k + 1], a * q[k + 1] - b * q[k]
        v += x
        x, y = x * p - y * w, x * w + y * p
        d += x
        c += x * p - y * w
    return v, d, c


@compiled_in_place
def turning_value(row, q, rates, reals, low, high, d0, t, terms):
    """Value of a row where its slope, `d0` at time `low`, changes sign before `high`; `t` is a first guess.

    Leaves the terms of that time in `terms`. Close to the turn the value is
    that of the parabola through it.
    """
    v = 0.0
    for turn in range(60):
        carried(q, rates, reals, t, terms)
        v, d, c = value_and_bend(row, terms, rates, reals)
        if (d > 0.0) == (d0 > 0.0):
            low = t
        else:
            high = t
        bent = c * d0 < 0.0
        if bent and d * d <= FLAT * abs(c) * abs(v):
            return v - 0.5 * d * d / c
        if high - low <= 1e-12 * high:
            return v
        t = t - d / c if bent else high
        if not low < t < high or turn % 4 == 3:
            t = 0.5 * (low + high)
    return v


@compiled_in_place
def widen(value, r, peaks):
    """Let the peaks of quantity `r` take in a value."""
    if value > peaks[0, r]:
        peaks[0, r] = value
    if value < peaks[1, r]:
        peaks[1, r] = value


@compiled_in_place
def next_piece(rates, reals, t, h):
    """How long the next piece of a step is in which a quantity turns once at most, 0 where nothing swings any more.

    It is an eighth of the fastest oscillation that has not died away at time `t`. Where that has died, a
    slower one may go on.
    """
    fastest = 0.0
    for k in range(reals, rates.shape[0], 2):
        if rates[k + 1] > fastest and -rates[k] * t < DEAD:
            fastest = rates[k + 1]
    return min(EIGHTH / fastest, h - t) if fastest * (h - t) > EIGHTH else 0.0


@compiled_in_place
def bounds_inside(row, q0, q1, rates, reals, h, v0, v1):
    """Highest and lowest value that a row can have between its ends `v0` and `v1`."""
    up, down = 0.0, 0.0
    for k in range(reals):
        moved = row[k] * (q1[k] - q0[k])
        if moved > 0.0:
            up += moved
        else:
            down -= moved
    for k in range(reals, q0.shape[0], 2):
        size = math.sqrt(
            (row[k] * row[k] + row[k + 1] * row[k + 1]) * (q0[k] * q0[k] + q0[k + 1] * q0[k + 1])
        )
        size *= min(2.0, h * math.sqrt(rates[k] * rates[k] + rates[k + 1] * rates[k + 1]))
        up += size
        down += size
    return min(v0 + up, v1 + down), max(v0 - down, v1 - up)


@woven
def fastest_decay(rows, q0, q1, rates, reals, h, peaks):
    """Fastest decay by which a quantity can go beyond its peaks inside a step; next to nothing where none can.

    A sum of three exponentials can turn twice; of two, or of an oscillation beside constants, it is known better.
    """
    moving, largest, fastest = rates.shape[0] - reals, 0.0, 1e-300
    for k in range(q0.shape[0]):
        largest = max(largest, abs(q0[k]))
        if k < reals and rates[k] != 0.0:
            moving += 1
    for k in range(reals):
        felt = moving >= 3 and -rates[k] * h >= SLOW and abs(q0[k]) >= NOTHING * largest
        if felt and -rates[k] > fastest and goes_beyond(rows, q0, q1, rates, reals, h, peaks, k):
            fastest = -rates[k]
    return fastest


@compiled_in_place
def goes_beyond(rows, q0, q1, rates, reals, h, peaks, k):
    """Whether any quantity in which term `k` is felt may go beyond its peaks inside a step."""
    for r in range(rows.shape[1]):
        top, bottom = peaks[0, r], peaks[1, r]
        if abs(rows[k, r] * q0[k]) > FELT * max(top, -bottom):
            v0, v1 = value_of(rows[:, r], q0), value_of(rows[:, r], q1)
            one, other = bounds_inside(rows[:, r], q0, q1, rates, reals, h, v0, v1)
            high, low = max(one, other), min(one, other)
            if high > top + FELT * abs(top) or low < bottom - FELT * abs(bottom):
                return True
    return False


@woven
def take_peaks(rows, q0, q1, rates, reals, h, peaks, room, mine):
    """Highest and lowest values of all watched quantities over a step, turning points inside it included.

    `room` is (4, quantities and states) of working memory. Returns the
    highest value of quantity `mine`, if any, over this step alone.
    """
    n, m = rows.shape[1], q0.shape[0]
    if swings_alone(rates, reals, h):
        return swing_peaks(rows, q0, q1, rates, reals, h, peaks, mine)
    highest = -1e300
    before, after = room[2, n : n + m], room[3, n : n + m]
    for k in range(m):
        before[k] = q0[k]
    t = 0.0
    for _ in range(MOST_PIECES):
        width = next_piece(rates, reals, t, h)
        if width == 0.0:
            break
        t += width
        carried(q0, rates, reals, t, after)
        highest = max(highest, piece_peaks(rows, before, after, rates, reals, width, peaks, room, mine))
        for k in range(m):
            before[k] = after[k]
    left, gone = h - t, 0.0
    cut = FIRST_CUT / fastest_decay(rows, before, q1, rates, reals, left, peaks)
    while cut < left:
        carried(q0, rates, reals, t + cut, after)
        highest = max(highest, piece_peaks(rows, before, after, rates, reals, cut - gone, peaks, room, mine))
        for k in range(m):
            before[k] = after[k]
        gone, cut = cut, WIDER * cut
    if left > gone:
        highest = max(highest, piece_peaks(rows, before, q1, rates, reals, left - gone, peaks, room, mine))
    return highest


@compiled_in_place
def piece_peaks(rows, q0, q1, rates, reals, h, peaks, room, mine):
    """Peaks over a piece in which a quantity turns at most once; returns the highest value of `mine`.

    Quantities that turn together, as all currents of one loop do, share the terms at the turn.
    """
    n, m = rows.shape[1], q0.shape[0]
    for r in range(n):
        room[0, r] = room[1, r] = room[2, r] = room[3, r] = 0.0
    for k in range(reals):
        room[0, n + k], room[1, n + k] = q0[k] * rates[k], q1[k] * rates[k]
    for k in range(reals, m, 2):
        p, w = rates[k], rates[k + 1]
        room[0, n + k], room[0, n + k + 1] = q0[k] * p - q0[k + 1] * w, q0[k] * w + q0[k + 1] * p
        room[1, n + k], room[1, n + k + 1] = q1[k] * p - q1[k + 1] * w, q1[k] * w + q1[k + 1] * p
    for k in range(m):
        a, b, c, d = q0[k], q1[k], room[0, n + k], room[1, n + k]
        for r in range(n):
            x = rows[k, r]
            room[0, r] += x * a
            room[1, r] += x * b
            room[2, r] += x * c
            room[3, r] += x * d
    terms, turn, highest = room[0, n : n + m], -1.0, -1e300
    for r in range(n):
        v0, v1, d0, d1 = room[0, r], room[1, r], room[2, r], room[3, r]
        high, low = max(v0, v1), min(v0, v1)
        if high > peaks[0, r]:
            peaks[0, r] = high
        if low < peaks[1, r]:
            peaks[1, r] = low
        if r == mine:
            highest = high
        if d0 * d1 < 0.0:
            reach = min(abs(d0), abs(d1)) * h
            if r != mine and high + reach <= peaks[0, r] and low - reach >= peaks[1, r]:
                continue
            top, bottom = bounds_inside(rows[:, r], q0, q1, rates, reals, h, v0, v1)
            rises = d0 > 0.0 and (top > peaks[0, r] + SAME * abs(peaks[0, r]) or r == mine)
            falls = d0 < 0.0 and bottom < peaks[1, r] - SAME * abs(peaks[1, r])
            if not (rises or falls):
                continue
            v = 0.0
            shared = turn >= 0.0
            if shared:
                v, d, c = value_and_bend(rows[:, r], terms, rates, reals)
                shared = c * d0 < 0.0 and d * d <= FLAT * abs(c) * abs(v)
                if shared:
                    v -= 0.5 * d * d / c
            if not shared:
                turn = h * d0 / (d0 - d1)
                v = turning_value(rows[:, r], q0, rates, reals, 0.0, h, d0, turn, terms)
            if v > peaks[0, r]:
                peaks[0, r] = v
            if v < peaks[1, r]:
                peaks[1, r] = v
            if r == mine:
                highest = max(highest, v)
    return highest


@compiled_in_place
def row_peak(row, q0, q1, rates, reals, h, room):
    """Highest value of one row over a step."""
    t0 = 0.0
    v0, d0 = value_at(row, q0, rates, reals, t0)
    high = max(v0, value_of(row, q1))
    for piece in range(MOST_PIECES):
        width = next_piece(rates, reals, t0, h) if piece < MOST_PIECES - 1 else 0.0
        t1 = t0 + width if width > 0.0 else h
        if t1 <= t0:
            break
        v1, d1 = value_at(row, q0, rates, reals, t1)
        high = max(high, v1)
        if d0 > 0.0 and d1 < 0.0:
            guess = t0 + (t1 - t0) * d0 / (d0 - d1)
            high = max(high, turning_value(row, q0, rates, reals, t0, t1, d0, guess, room))
        t0, d0 = t1, d1
    return high
