"""Kernel: what happens next in a circuit, and what is noted on the way.

See `_happening_kernel` for the arrays and what an event does.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place, compiled_within, woven
from gapwright.circuit.engine._event_kernel import NEVER, falls_through, first_crossing, parabola_fall
from gapwright.circuit.engine._governor_kernel import next_due
from gapwright.circuit.engine._happening_kernel import (
    ACTION,
    AT_DECISION,
    AT_TURN_OFF,
    CHARGE,
    CONTROL,
    CULPRIT,
    EDGE,
    ENERGY,
    FLIPS,
    FORCED,
    GAP_BIT,
    KNOTS,
    LAST,
    MASK,
    ON_TIME,
    PERIOD,
    PROGRESS,
    SWITCH_BIT,
    T_EDGE,
    T_MARK,
    T_READY,
    T_STOP,
    TIMED_OFF,
    TIMED_ON,
    T,
    gap_of,
    ignite,
    timed_edge,
)
from gapwright.circuit.engine._meter_kernel import weighed
from gapwright.circuit.engine._screen_kernel import (
    NONE,
    ONE,
    UNSETTLED,
    screened,
    stays_above,
    without_negligible,
)
from gapwright.circuit.engine._swing_kernel import lone_fall, swing_crossing, swings_alone


@woven
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


@woven
def chattering(floats, ints, diodes):
    """Whether more events than a circuit can need came at practically one time."""
    if floats[T] - floats[T_MARK] > PROGRESS:
        floats[T_MARK] = floats[T]
        ints[FLIPS] = 0
    ints[FLIPS] += 1
    return ints[FLIPS] > 64 + 16 * diodes


@woven
def next_timed(floats, ints, forced, clock):
    """Time of the next event that comes by the clock."""
    t = min(floats[T_STOP], floats[T_EDGE], next_due(clock))
    k = ints[FORCED]
    if k < forced.shape[0]:
        t = min(t, forced[k])
    if floats[T] < floats[T_READY]:
        t = min(t, floats[T_READY])
    return t


@compiled_within
def search(rows, rates, reals, q, signs, offsets, h, late, since, amplitudes, ends, factors):
    """Time and number of the first event within `h`; event `late`, if any, counts only from `since` on."""
    found, which = NEVER, -1
    alone = swings_alone(rates, reals, h)
    for e in range(signs.shape[0]):
        if signs[e] == 0.0:
            continue
        if e != late and stays_above(rows[e], signs[e], offsets[e], q, reals, factors):
            continue
        for k in range(reals):
            amplitudes[k] = signs[e] * rows[e, k] * q[k]
        for k in range(reals, q.shape[0], 2):
            r1, r2 = rows[e, k], rows[e, k + 1]
            amplitudes[k] = signs[e] * (r1 * q[k] + r2 * q[k + 1])
            amplitudes[k + 1] = signs[e] * (r1 * q[k + 1] - r2 * q[k])
        without_negligible(amplitudes, offsets[e], reals)
        seen, begin = UNSETTLED, since
        if e != late:
            seen, begin = screened(amplitudes, offsets[e], rates, reals, factors), 0.0
        if seen == NONE:
            continue
        if seen == ONE:
            guess = lone_fall(amplitudes, offsets[e], rates, reals)
            if guess <= 0.0:
                guess = parabola_fall(amplitudes, offsets[e], rates, reals)
            at = falls_through(amplitudes, offsets[e], rates, reals, 0.0, h, guess)
        elif alone:
            at = swing_crossing(amplitudes, offsets[e], rates, reals, begin, min(h, found))
        else:
            at = first_crossing(amplitudes, offsets[e], rates, reals, begin, min(h, found), ends)
        if at < found:
            found, which = at, e
    return found, which


@woven
def clock_is_due(floats, ints, forced):
    """Whether something happens now by the clock."""
    k = ints[FORCED]
    return floats[T_EDGE] <= floats[T] or (k < forced.shape[0] and forced[k] <= floats[T])


@woven
def flip(ints, diode):
    """Turn a diode, or a bend of a coil, to its other state."""
    ints[LAST], ints[CULPRIT] = 0, diode
    ints[MASK] ^= np.int64(1) << diode


@woven
def is_clocked(ints, floats, forced):
    """Whether the edge that is due is one of a clock, and nothing else comes by the clock."""
    return floats[T_EDGE] <= floats[T] and ints[CONTROL] >= TIMED_ON and ints[FORCED] >= forced.shape[0]


@woven
def clock_edge(given, limits, ints, floats):
    """Edge of a clock: the switch closes at each period and opens after the on-time."""
    bit = np.int64(1) << given[SWITCH_BIT]
    if ints[CONTROL] == TIMED_ON:
        ints[CONTROL], ints[LAST] = TIMED_OFF, AT_TURN_OFF
        ints[MASK] &= ~bit
        ints[EDGE] += 1
        floats[T_EDGE] = ints[EDGE] * limits[PERIOD]
    else:
        ints[CONTROL], ints[LAST] = TIMED_ON, AT_DECISION
        ints[MASK] |= bit
        floats[T_EDGE] = ints[EDGE] * limits[PERIOD] + limits[ON_TIME]


@woven
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
        if state.ints[CONTROL] >= TIMED_ON:
            clock_edge(setup.ints, setup.floats, state.ints, f)
        else:
            timed_edge(tables, setup, state, q, s)


@compiled_within
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
