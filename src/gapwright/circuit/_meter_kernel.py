"""Meters over one step in closed form: integrals of all products of terms, and peaks."""

import math

from gapwright.base.compiled import compiled_in_place
from gapwright.circuit._event_kernel import power

SMALL = 0.02
"""Rate times time below which an integral is taken from its series."""
EIGHTH = 0.25 * math.pi
"""Turn of an oscillation within which a quantity is taken to have one peak at most. [rad]"""
DEAD = 14.0
"""Time constants after which an oscillation is taken to have died away."""
MOST_PIECES = 4096


@compiled_in_place
def carried(q, rates, reals, h, out):
    """Terms `h` later."""
    for k in range(reals):
        out[k] = q[k] * power(rates[k] * h)
    for k in range(reals, q.shape[0], 2):
        s = power(rates[k] * h)
        co, si = s * math.cos(rates[k + 1] * h), s * math.sin(rates[k + 1] * h)
        out[k] = q[k] * co - q[k + 1] * si
        out[k + 1] = q[k] * si + q[k + 1] * co


@compiled_in_place
def turned(q, reals, factors, out):
    """Terms after a step whose growth factors are known."""
    for k in range(reals):
        out[k] = q[k] * factors[0, k]
    for k in range(reals, q.shape[0], 2):
        co, si = factors[0, k], factors[0, k + 1]
        out[k] = q[k] * co - q[k + 1] * si
        out[k + 1] = q[k] * si + q[k + 1] * co


@compiled_in_place
def grown(z):
    """``(e^z - 1) / z`` for small `z`, real or complex."""
    return 1.0 + z * (0.5 + z * (1 / 6 + z * (1 / 24 + z * (1 / 120 + z * (1 / 720 + z * (1 / 5040))))))


@compiled_in_place
def real_integral(first, last, rate, h):
    """Integral over `h` of a real exponential that goes from `first` to `last`."""
    z = rate * h
    if -SMALL < z < SMALL:
        return first * h * grown(z)
    return (last - first) / rate


@compiled_in_place
def turning_integral(first, last, rate, h):
    """Integral over `h` of a complex exponential that goes from `first` to `last`."""
    z = rate * h
    if abs(z.real) + abs(z.imag) < SMALL:
        return first * h * grown(z)
    return (last - first) / rate


@compiled_in_place
def products(q0, q1, rates, reals, h, out):
    """Integrals over a step of the products of all pairs of terms."""
    m = q0.shape[0]
    for i in range(reals):
        for j in range(i + 1):
            out[i, j] = real_integral(q0[i] * q0[j], q1[i] * q1[j], rates[i] + rates[j], h)
            out[j, i] = out[i, j]
    for k in range(reals, m, 2):
        c0, c1 = complex(q0[k], q0[k + 1]), complex(q1[k], q1[k + 1])
        r = complex(rates[k], rates[k + 1])
        for i in range(reals):
            v = turning_integral(q0[i] * c0, q1[i] * c1, r + rates[i], h)
            out[i, k] = out[k, i] = v.real
            out[i, k + 1] = out[k + 1, i] = v.imag
        for j in range(reals, k + 2, 2):
            d0, d1 = complex(q0[j], q0[j + 1]), complex(q1[j], q1[j + 1])
            s = complex(rates[j], rates[j + 1])
            v = turning_integral(c0 * d0, c1 * d1, r + s, h)
            if j == k:
                u = complex(
                    real_integral(
                        c0.real * c0.real + c0.imag * c0.imag,
                        c1.real * c1.real + c1.imag * c1.imag,
                        2.0 * r.real,
                        h,
                    ),
                    0.0,
                )
            else:
                u = turning_integral(c0 * d0.conjugate(), c1 * d1.conjugate(), r + s.conjugate(), h)
            out[k, j] = out[j, k] = 0.5 * (v.real + u.real)
            out[k + 1, j + 1] = out[j + 1, k + 1] = 0.5 * (u.real - v.real)
            out[k + 1, j] = out[j, k + 1] = 0.5 * (v.imag + u.imag)
            out[k, j + 1] = out[j + 1, k] = 0.5 * (v.imag - u.imag)


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
def turning_value(row, q, rates, reals, low, high, d0, d1):
    """Value of a row at the time between two at which its slope goes from `d0` to `d1` of other sign."""
    v = 0.0
    for turn in range(40):
        t = low + (high - low) * d0 / (d0 - d1)
        if turn % 3 == 2:
            t = 0.5 * (low + high)
        v, d = value_at(row, q, rates, reals, t)
        if (d > 0.0) == (d0 > 0.0):
            low, d0 = t, d
        else:
            high, d1 = t, d
        # The value is flat here: what is left to gain is the slope times the distance.
        if abs(d) * (high - low) <= 1e-11 * abs(v) or high - low <= 1e-12 * high:
            break
    return v


@compiled_in_place
def widen(value, r, peaks):
    """Let the peaks of quantity `r` take in a value."""
    if value > peaks[0, r]:
        peaks[0, r] = value
    if value < peaks[1, r]:
        peaks[1, r] = value


@compiled_in_place
def end_peaks(rows, q, peaks):
    """Let the peaks take in the values at one end of a step."""
    for r in range(rows.shape[1]):
        v = 0.0
        for k in range(q.shape[0]):
            v += rows[k, r] * q[k]
        widen(v, r, peaks)


@compiled_in_place
def pieces(rates, reals, h):
    """In how many pieces a step is looked at for peaks, and how long they are.

    A piece is an eighth of the fastest oscillation, of which those that have
    not died away are gone through; what is left of the step is one more.
    """
    fastest, calming = 0.0, 1e300
    for k in range(reals, rates.shape[0], 2):
        if rates[k + 1] > fastest:
            fastest, calming = rates[k + 1], -rates[k]
    if fastest * h <= EIGHTH:
        return 0, 0.0
    alive = h if calming <= 0.0 else min(h, DEAD / calming)
    n = min(MOST_PIECES, 1 + int(alive * fastest / EIGHTH))
    return n, min(alive, n * EIGHTH / fastest) / n


@compiled_in_place
def take_peaks(rows, q0, q1, rates, reals, h, peaks, room):
    """Highest and lowest values of all watched quantities over a step, turning points inside it included.

    `room` is (4, quantities and states) of working memory.
    """
    n, m = rows.shape[1], q0.shape[0]
    count, width = pieces(rates, reals, h)
    before, after = room[2, n : n + m], room[3, n : n + m]
    for k in range(m):
        before[k] = q0[k]
    for piece in range(count):
        carried(q0, rates, reals, width * (piece + 1), after)
        piece_peaks(rows, before, after, rates, reals, width, peaks, room)
        for k in range(m):
            before[k] = after[k]
    left = h - width * count
    if left > 0.0:
        piece_peaks(rows, before, q1, rates, reals, left, peaks, room)


@compiled_in_place
def piece_peaks(rows, q0, q1, rates, reals, h, peaks, room):
    """Peaks over a piece in which a quantity turns at most once."""
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
    for r in range(n):
        v0, v1, d0, d1 = room[0, r], room[1, r], room[2, r], room[3, r]
        high, low = max(v0, v1), min(v0, v1)
        if high > peaks[0, r]:
            peaks[0, r] = high
        if low < peaks[1, r]:
            peaks[1, r] = low
        if d0 * d1 < 0.0:
            reach = min(abs(d0), abs(d1)) * h
            if (d0 > 0.0 and high + reach > peaks[0, r]) or (d0 < 0.0 and low - reach < peaks[1, r]):
                widen(turning_value(rows[:, r], q0, rates, reals, 0.0, h, d0, d1), r, peaks)


@compiled_in_place
def row_peak(row, q0, q1, rates, reals, h, modal):
    """Highest value of one row over a step; of its ends alone where the mode has no terms."""
    if not modal:
        return max(value_of(row, q0), value_of(row, q1))
    count, width = pieces(rates, reals, h)
    t0 = 0.0
    v0, d0 = value_at(row, q0, rates, reals, t0)
    high = max(v0, value_of(row, q1))
    for piece in range(count + 1):
        t1 = width * (piece + 1) if piece < count else h
        if t1 <= t0:
            break
        v1, d1 = value_at(row, q0, rates, reals, t1)
        high = max(high, v1)
        if d0 > 0.0 and d1 < 0.0:
            high = max(high, turning_value(row, q0, rates, reals, t0, t1, d0, d1))
        t0, d0 = t1, d1
    return high


@compiled_in_place
def value_of(row, q):
    """Row times terms."""
    total = 0.0
    for k in range(q.shape[0]):
        total += row[k] * q[k]
    return total


@compiled_in_place
def weighed(form, integrals):
    """Weighted sum of the integrals of the products."""
    total = 0.0
    for i in range(form.shape[0]):
        for j in range(form.shape[0]):
            total += form[i, j] * integrals[i, j]
    return total
