"""Carrying a mode that has no well separated terms: exponentials of its matrix by doubling.

Slower than closed form by a hundred times and good to about 1e-6, for the few
modes that need it: equal rates, ideal sources into bare capacitors, contacts
of almost no resistance. All work is done in `squares`, room for `ROOM`
matrices, of which the last `RUNGS` hold the ladder of a search.
"""

from gapwright.base.compiled import compiled_in_place

ORDER = 14
MOST_DOUBLINGS = 110
RUNGS = MOST_DOUBLINGS + 6
SPARE = 4
ROOM = SPARE + RUNGS
NEVER = 1e300

STEP, TERM, SIDE, TOTAL = range(4)
"""What the first matrices of the room are used for."""
AFTER, BEFORE, AT, ROW, SLOPE = range(5)
"""What the vectors of a search are used for."""


@compiled_in_place
def multiply(a, b, out):
    """Product of two matrices."""
    m = a.shape[0]
    for i in range(m):
        for j in range(m):
            total = 0.0
            for k in range(m):
                total += a[i, k] * b[k, j]
            out[i, j] = total


@compiled_in_place
def apply(a, x, out):
    """Matrix times vector."""
    m = a.shape[0]
    for i in range(m):
        total = 0.0
        for k in range(m):
            total += a[i, k] * x[k]
        out[i] = total


@compiled_in_place
def row_times(row, x, offset):
    """Row times vector, and an offset."""
    total = offset
    for k in range(x.shape[0]):
        total += row[k] * x[k]
    return total


@compiled_in_place
def doublings(system, h):
    """How often a short enough time must be doubled to reach `h`."""
    norm = 0.0
    for i in range(system.shape[0]):
        row = 0.0
        for j in range(system.shape[0]):
            row += abs(system[i, j])
        norm = max(norm, row)
    n, reach = 0, norm * h
    while reach > 0.25 and n < MOST_DOUBLINGS:
        reach *= 0.5
        n += 1
    return n


@compiled_in_place
def short_exponential(system, h, out, squares):
    """Exponential of the matrix over a short time, by its series."""
    m = system.shape[0]
    term, side = squares[TERM], squares[SIDE]
    for i in range(m):
        for j in range(m):
            out[i, j] = term[i, j] = 1.0 if i == j else 0.0
    for k in range(1, ORDER):
        multiply(system, term, side)
        for i in range(m):
            for j in range(m):
                term[i, j] = side[i, j] * (h / k)
                out[i, j] += term[i, j]


@compiled_in_place
def copied(source, target):
    """Write one matrix into another."""
    for i in range(source.shape[0]):
        for j in range(source.shape[1]):
            target[i, j] = source[i, j]


@compiled_in_place
def copied_vector(source, target):
    """Write one vector into another."""
    for i in range(source.shape[0]):
        target[i] = source[i]


@compiled_in_place
def doubled(step, times, squares):
    """Square a matrix in place, so many times."""
    side = squares[SIDE]
    for _ in range(times):
        multiply(step, step, side)
        copied(side, step)


@compiled_in_place
def carried_by_ladder(system, x, h, out, squares):
    """State `h` later."""
    n = doublings(system, h)
    step = squares[STEP]
    short_exponential(system, h / 2.0**n, step, squares)
    doubled(step, n, squares)
    apply(step, x, out)


@compiled_in_place
def products_by_ladder(system, x, h, out, squares):
    """Integrals of the state's products over `h`."""
    m = system.shape[0]
    n = doublings(system, h)
    short = h / 2.0**n
    term, side, total, step = squares[TERM], squares[SIDE], squares[TOTAL], squares[STEP]
    for i in range(m):
        for j in range(m):
            total[i, j] = term[i, j] = x[i] * x[j] * short
    for k in range(1, ORDER):
        multiply(system, term, side)
        for i in range(m):
            for j in range(m):
                term[i, j] = (side[i, j] + side[j, i]) * (short / (k + 1))
        for i in range(m):
            for j in range(m):
                total[i, j] += term[i, j]
    short_exponential(system, short, step, squares)
    for _ in range(n):
        multiply(step, total, side)
        for i in range(m):
            for j in range(m):
                more = 0.0
                for k in range(m):
                    more += side[i, k] * step[j, k]
                term[i, j] = more
        for i in range(m):
            for j in range(m):
                total[i, j] += term[i, j]
        doubled(step, 1, squares)
    for i in range(m):
        for j in range(m):
            out[i, j] = 0.5 * (total[i, j] + total[j, i])


@compiled_in_place
def sign_change(system, x, row, offset, high, room, squares):
    """Time up to `high` at which the row times the state changes sign, by halving."""
    before = row_times(row, x, offset) > 0.0
    low = 0.0
    for _ in range(80):
        t = 0.5 * (low + high)
        carried_by_ladder(system, x, t, room, squares)
        if (row_times(row, room, offset) > 0.0) == before:
            low = t
        else:
            high = t
        if high - low <= 1e-14 * high:
            break
    return high


@compiled_in_place
def crossing_between(system, x0, x1, row, slope, offset, width, room, squares):
    """First time between two states at which the row turns negative, or `NEVER`."""
    if row_times(row, x1, offset) < 0.0:
        return sign_change(system, x0, row, offset, width, room, squares)
    if row_times(slope, x0, 0.0) < 0.0 < row_times(slope, x1, 0.0):
        t = sign_change(system, x0, slope, 0.0, width, room, squares)
        carried_by_ladder(system, x0, t, room, squares)
        if row_times(row, room, offset) < 0.0:
            return sign_change(system, x0, row, offset, t, room, squares)
    return NEVER


@compiled_in_place
def signed_row(rows, e, sign, system, row, slope):
    """Event row with its sign, and the row of its slope."""
    m = system.shape[0]
    for k in range(m):
        row[k] = sign * rows[e, k]
    for k in range(m):
        slope[k] = 0.0
        for i in range(m):
            slope[k] += row[i] * system[i, k]


@compiled_in_place
def first_crossing_by_ladder(system, x, rows, signs, offsets, horizon, vectors, squares):
    """Time and number of the first event up to `horizon`; `NEVER` and -1 if there is none.

    `vectors` is room for five vectors.
    """
    n = doublings(system, horizon) + 4
    short_exponential(system, horizon / 2.0**n, squares[SPARE + n], squares)
    for j in range(n - 1, -1, -1):
        multiply(squares[SPARE + j + 1], squares[SPARE + j + 1], squares[SPARE + j])
    t = 0.0
    before, after, room, row, slope = (
        vectors[BEFORE],
        vectors[AFTER],
        vectors[AT],
        vectors[ROW],
        vectors[SLOPE],
    )
    copied_vector(x, before)
    for octave in range(n, -1, -1):
        fine = n if octave == n else min(octave + 4, n)
        pieces = 1 if octave == n else 2 ** (fine - octave - 1)
        width = horizon / 2.0**fine
        for _ in range(pieces):
            apply(squares[SPARE + fine], before, after)
            found, which = NEVER, -1
            for e in range(rows.shape[0]):
                if signs[e] != 0.0:
                    signed_row(rows, e, signs[e], system, row, slope)
                    at = crossing_between(system, before, after, row, slope, offsets[e], width, room, squares)
                    if at < found:
                        found, which = at, e
            if which >= 0:
                return t + found, which
            t += width
            copied_vector(after, before)
    return NEVER, -1


@compiled_in_place
def values_by_ladder(system, states, elapsed, row, squares, vector, out):
    """Values of a row, each some time after a state of its own; `vector` is room for one state."""
    for p in range(elapsed.shape[0]):
        carried_by_ladder(system, states[p], elapsed[p], vector, squares)
        out[p] = row_times(row, vector, 0.0)
