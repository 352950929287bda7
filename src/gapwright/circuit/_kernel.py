"""The event loop: from event to event in closed form, with all meters running."""

import numpy as np

from gapwright.base.compiled import compiled
from gapwright.circuit._event_kernel import NEVER, SPLITS, step_factors
from gapwright.circuit._happening_kernel import (
    BUDGET,
    CHATTER,
    DONE,
    DRAW,
    DRAWS_OUT,
    GAP_BIT,
    HAZARD,
    KNOTS,
    KNOTS_FROM,
    KNOTS_FULL,
    KNOTS_TO,
    LADDER_STEPS,
    LAST,
    MASK,
    MOST_STEPS,
    NEED_MODE,
    PEAK,
    RATE,
    SPARKS,
    SPARKS_FULL,
    STEPS,
    STOP,
    STOPPED,
    T,
    T_LADDER,
    T_READY,
    T_STOP,
    WATCH_KNOTS,
    WATCH_PEAKS,
    arm,
    chattering,
    clock_events,
    gap_of,
    happen,
    ignite,
    keep_knot,
    meter_arc,
    next_timed,
    search,
    violated,
)
from gapwright.circuit._hazard_kernel import hazard_crossing
from gapwright.circuit._ladder_kernel import carried_by_ladder, first_crossing_by_ladder, products_by_ladder
from gapwright.circuit._meter_kernel import applied, carried, products, row_peak, take_peaks, turned, widen


@compiled
def simulate(tables, setup, state, log):
    """Run until the stop time, an event asked for, or something the caller must see to.

    Returns one of the reason codes; calling again goes on from there.
    """
    m = state.x.shape[0]
    events = tables.events.shape[1]
    nd = setup.ints[0]
    signs, offsets = np.zeros(events), np.zeros(events)
    amplitudes, ends = np.zeros(m), np.zeros(SPLITS + 1)
    q0, q1 = np.zeros(m), np.zeros(m)
    integrals, factors = np.zeros((m, m)), np.zeros((3, m))
    room = np.zeros((6, max(m, tables.watched.shape[2])))
    watched = tables.watched.shape[2]
    ints, f, x = state.ints, state.floats, state.x
    random = setup.hazard[RATE] > 0.0
    for _ in range(setup.ints[MOST_STEPS]):
        s = np.int64(tables.slot[ints[MASK]])
        if s < 0:
            return NEED_MODE
        if ints[SPARKS] >= log.sparks.shape[0]:
            return SPARKS_FULL
        if ints[KNOTS] >= log.knot_times.shape[0]:
            return KNOTS_FULL
        for i in range(m):
            total = 0.0
            for k in range(m):
                total += tables.terms_of[s, i, k] * x[k]
            q0[i] = total
        ints[LAST] = 0
        arm(setup, state, signs, offsets)
        now = violated(tables, s, q0, signs, offsets, nd)
        if now >= 0 or clock_events(tables, setup, state, q0, s):
            if now >= 0:
                happen(now, tables, setup, state, log, q0, s)
            if chattering(state, setup):
                return CHATTER
            if ints[LAST] & ints[STOP]:
                return STOPPED
            continue
        if f[T] >= f[T_STOP]:
            return DONE
        t_next = next_timed(setup, state)
        h = t_next - f[T]
        modal = tables.modal[s]
        reals, rates = tables.reals[s], tables.rates[s]
        if modal:
            step_factors(rates, reals, h, factors)
            at, which = search(tables, s, q0, signs, offsets, h, amplitudes, ends, factors)
        else:
            at, which = first_crossing_by_ladder(tables.system[s], q0, tables.events[s], signs, offsets, h)
        gap = gap_of(ints[MASK], setup.ints[GAP_BIT])
        ignites = False
        if random and gap == 0 and f[T] >= f[T_READY] and modal:
            if ints[DRAW] >= setup.draws.shape[0]:
                return DRAWS_OUT
            due, f[HAZARD] = hazard_crossing(
                tables.gap_rows[s, 0],
                q0,
                rates,
                reals,
                setup.hazard,
                min(h, at),
                f[HAZARD],
                setup.draws[ints[DRAW]],
            )
            if due < NEVER:
                at, which, ignites = due, -1, True
        timed = which < 0 and not ignites
        if not timed:
            h = at
        if setup.ints[WATCH_KNOTS] and setup.floats[KNOTS_FROM] <= t_next and f[T] <= setup.floats[KNOTS_TO]:
            keep_knot(log, state, s, q0)
        if modal:
            if timed:
                turned(q0, reals, factors, q1)
            else:
                carried(q0, rates, reals, h, q1)
            products(q0, q1, rates, reals, h, integrals)
        else:
            q1[:] = carried_by_ladder(tables.system[s], q0, h)
            products_by_ladder(tables.system[s], q0, h, integrals)
            ints[LADDER_STEPS] += 1
            f[T_LADDER] += h
        ints[STEPS] += 1
        for i in range(m):
            for j in range(m):
                tables.products[s, i, j] += integrals[i, j]
        if setup.ints[WATCH_PEAKS] and modal:
            take_peaks(tables.watched[s], q0, q1, rates, reals, h, state.peaks, room[:, :watched])
        elif setup.ints[WATCH_PEAKS]:
            for q in (q0, q1):
                applied(tables.watched[s], q, room[0, :watched])
                for r in range(watched):
                    widen(room[0, r], r, state.peaks)
        if gap == 1:
            meter_arc(tables, setup, state, s, q0, q1, integrals)
            f[PEAK] = max(f[PEAK], row_peak(tables.gap_rows[s, 1], q0, q1, rates, reals, h, modal))
        for i in range(m):
            total = 0.0
            for k in range(m):
                total += tables.state_of[s, i, k] * q1[k]
            x[i] = total
        x[m - 1] = 1.0
        f[T] = t_next if timed else f[T] + h
        if ignites:
            ints[DRAW] += 1
            ignite(tables, setup, state, q1, s)
        elif which >= 0:
            happen(which, tables, setup, state, log, q1, s)
        if not timed and chattering(state, setup):
            return CHATTER
        if ints[LAST] & ints[STOP]:
            return STOPPED
    return BUDGET
