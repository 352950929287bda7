"""Kernel: what happens next in a circuit, and what is noted on the way.

See `_happening_kernel` for the arrays and what an event does.
"""

from gapwright.base.compiled import (
    compiled_in_place,
)
from gapwright.circuit._event_kernel import (
    NEVER,
    NONE,
    ONE,
    falls_through,
    first_crossing,
    screened,
    without_negligible,
)
from gapwright.circuit._governor_kernel import next_due
from gapwright.circuit._happening_kernel import (
    ACTION,
    CHARGE,
    ENERGY,
    FLIPS,
    FORCED,
    GAP_BIT,
    KNOTS,
    MASK,
    PROGRESS,
    T_EDGE,
    T_MARK,
    T_READY,
    T_STOP,
    T,
    gap_of,
    ignite,
    timed_edge,
)
from gapwright.circuit._meter_kernel import (
    weighed,
)


@compiled_in_place
def violated(rows, q, signs, offsets, nd):
    """Event whose condition does not hold now: the worst diode, else the first other; -1 if all hold."""
    worst, which = 0.0, -1
    for e in range(signs.shape[0]):
        if signs[e] != 0.0:
            g = 0.0
            for k in range(q.shape[0]):
                g += rows[e, k] * q[k]
            g = signs[e] * g + offsets[e]
            if g < worst:
                worst, which = g, e
        if which >= 0 and e >= nd - 1:
            break
    return which


@compiled_in_place
def chattering(floats, ints, diodes):
    """Whether more events than a circuit can need came at practically one time."""
    if floats[T] - floats[T_MARK] > PROGRESS:
        floats[T_MARK] = floats[T]
        ints[FLIPS] = 0
    ints[FLIPS] += 1
    return ints[FLIPS] > 64 + 16 * diodes


@compiled_in_place
def next_timed(floats, ints, forced, clock):
    """Time of the next event that comes by the clock."""
    t = min(floats[T_STOP], floats[T_EDGE], next_due(clock))
    k = ints[FORCED]
    if k < forced.shape[0]:
        t = min(t, forced[k])
    if floats[T] < floats[T_READY]:
        t = min(t, floats[T_READY])
    return t


@compiled_in_place
def search(rows, rates, reals, q, signs, offsets, h, amplitudes, ends, factors):
    """Time and number of the first event within `h`."""
    found, which = NEVER, -1
    for e in range(signs.shape[0]):
        if signs[e] == 0.0:
            continue
        for k in range(reals):
            amplitudes[k] = signs[e] * rows[e, k] * q[k]
        for k in range(reals, q.shape[0], 2):
            r1, r2 = rows[e, k], rows[e, k + 1]
            amplitudes[k] = signs[e] * (r1 * q[k] + r2 * q[k + 1])
            amplitudes[k + 1] = signs[e] * (r1 * q[k + 1] - r2 * q[k])
        without_negligible(amplitudes, offsets[e], reals)
        seen = screened(amplitudes, offsets[e], rates, reals, factors)
        if seen == NONE:
            continue
        if seen == ONE:
            at = falls_through(amplitudes, offsets[e], rates, reals, 0.0, h)
        else:
            at = first_crossing(amplitudes, offsets[e], rates, reals, min(h, found), ends)
        if at < found:
            found, which = at, e
    return found, which


@compiled_in_place
def clock_is_due(floats, ints, forced):
    """Whether something happens now by the clock."""
    k = ints[FORCED]
    return floats[T_EDGE] <= floats[T] or (k < forced.shape[0] and forced[k] <= floats[T])


@compiled_in_place
def clock_events(tables, setup, state, q, s):
    """Let what is due by the clock happen."""
    f = state.floats
    k = state.ints[FORCED]
    if k < setup.forced.shape[0] and setup.forced[k] <= f[T]:
        state.ints[FORCED] += 1
        if gap_of(state.ints[MASK], setup.ints[GAP_BIT]) == 0:
            ignite(tables, setup, state, q, s)
            return
    if f[T_EDGE] <= f[T]:
        timed_edge(tables, setup, state, q, s)


@compiled_in_place
def meter_arc(forms, integrals, floats):
    """Charge, energy and action integral of a step of a discharge."""
    floats[CHARGE] += weighed(forms[0], integrals)
    floats[ENERGY] += weighed(forms[1], integrals)
    floats[ACTION] += weighed(forms[2], integrals)


@compiled_in_place
def keep_knot(log, state, s, q):
    """Write the state at the start of a step down, for drawing."""
    k = state.ints[KNOTS]
    log.knot_times[k] = state.floats[T]
    log.knot_slots[k] = s
    for j in range(q.shape[0]):
        log.knot_terms[k, j] = q[j]
    state.ints[KNOTS] += 1
