"""Carrying a mode that has no well separated terms: exponentials of its matrix by doubling.

Slower than closed form by a hundred times and good to about 1e-6, for the few
modes that need it: equal rates, ideal sources into bare capacitors, contacts
of almost no resistance.
"""

import numpy as np

from gapwright.base.compiled import compiled

ORDER = 14
NEVER = 1e300


@compiled
def doublings(system, h):
    """How often a short enough time must be doubled to reach `h`."""
    norm = 0.0
    for i in range(system.shape[0]):
        row = 0.0
        for j in range(system.shape[0]):
            row += abs(system[i, j])
        norm = max(norm, row)
    n, reach = 0, norm * h
    while reach > 0.25 and n < 200:
        reach *= 0.5
        n += 1
    return n


@compiled
def short_exponential(system, h):
    """Exponential of the matrix over a short time, by its series."""
    m = system.shape[0]
    total, term = np.eye(m), np.eye(m)
    for k in range(1, ORDER):
        term = (system @ term) * (h / k)
        total += term
    return total


@compiled
def short_products(system, x, h):
    """Integral of the state's products over a short time, by its series."""
    term = np.outer(x, x) * h
    total = term.copy()
    for k in range(1, ORDER):
        side = system @ term
        term = (side + side.T) * (h / (k + 1))
        total += term
    return total


@compiled
def carried_by_ladder(system, x, h):
    """State `h` later."""
    n = doublings(system, h)
    step = short_exponential(system, h / 2.0**n)
    for _ in range(n):
        step = step @ step
    return step @ x


@compiled
def products_by_ladder(system, x, h, out):
    """Integrals of the state's products over `h`."""
    n = doublings(system, h)
    short = h / 2.0**n
    step = short_exponential(system, short)
    total = short_products(system, x, short)
    for _ in range(n):
        total = total + step @ total @ step.T
        step = step @ step
    out[:, :] = 0.5 * (total + total.T)


@compiled
def sign_change(system, x, row, offset, high, slope):
    """Time up to `high` at which the row (or its slope) changes sign, by halving."""
    watched = row @ system if slope else row.copy()
    shift = 0.0 if slope else offset
    before = watched @ x + shift > 0.0
    low = 0.0
    for _ in range(80):
        t = 0.5 * (low + high)
        if (watched @ carried_by_ladder(system, x, t) + shift > 0.0) == before:
            low = t
        else:
            high = t
        if high - low <= 1e-14 * high:
            break
    return high


@compiled
def crossing_between(system, x0, x1, row, offset, width):
    """First time between two states at which the row turns negative, or `NEVER`."""
    if row @ x1 + offset < 0.0:
        return sign_change(system, x0, row, offset, width, False)
    slope = row @ system
    if slope @ x0 < 0.0 < slope @ x1:
        t = sign_change(system, x0, row, offset, width, True)
        if row @ carried_by_ladder(system, x0, t) + offset < 0.0:
            return sign_change(system, x0, row, offset, t, False)
    return NEVER


@compiled
def first_crossing_by_ladder(system, x, rows, signs, offsets, horizon):
    """Time and number of the first event up to `horizon`; `NEVER` and -1 if there is none."""
    n = doublings(system, horizon) + 4
    rungs = np.zeros((n + 1, *system.shape))
    rungs[n] = short_exponential(system, horizon / 2.0**n)
    for j in range(n - 1, -1, -1):
        rungs[j] = rungs[j + 1] @ rungs[j + 1]
    t, before = 0.0, x.copy()
    for octave in range(n, -1, -1):
        fine = min(octave + 4, n)
        pieces = 1 if octave == n else 2 ** (fine - octave - 1)
        width = horizon / 2.0 ** (fine if octave < n else n)
        for _ in range(pieces):
            after = rungs[fine if octave < n else n] @ before
            found, which = NEVER, -1
            for e in range(rows.shape[0]):
                if signs[e] != 0.0:
                    at = crossing_between(system, before, after, signs[e] * rows[e], offsets[e], width)
                    if at < found:
                        found, which = at, e
            if which >= 0:
                return t + found, which
            t += width
            before = after
    return NEVER, -1
