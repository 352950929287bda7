"""The event loop: from event to event in closed form, with all meters running."""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.circuit.engine._calm_kernel import calm
from gapwright.circuit.engine._event_kernel import NEVER
from gapwright.circuit.engine._governor_kernel import arm_rules, settled_phase
from gapwright.circuit.engine._happening_kernel import (
    BUDGET,
    CHATTER,
    CULPRIT,
    DIODES,
    DONE,
    DRAW,
    DRAWS_OUT,
    GAP_BIT,
    GAP_ROW,
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
    NO_CHANCE,
    PEAK,
    RATE,
    RISING,
    SPARKS,
    SPARKS_FULL,
    STEPS,
    STOP,
    STOPPED,
    T_LADDER,
    T_READY,
    T_STOP,
    WATCH_KNOTS,
    WATCH_PEAKS,
    T,
    arm,
    change_phase,
    gap_of,
    happen,
    ignite,
    is_arc,
)
from gapwright.circuit.engine._hazard_kernel import hazard_crossing
from gapwright.circuit.engine._ladder_kernel import (
    carried_by_ladder,
    first_crossing_by_ladder,
    products_by_ladder,
)
from gapwright.circuit.engine._ladder_peak_kernel import ladder_peaks
from gapwright.circuit.engine._meter_kernel import add_products, carried, turned
from gapwright.circuit.engine._peak_kernel import row_peak, take_peaks
from gapwright.circuit.engine._screen_kernel import step_factors
from gapwright.circuit.engine._search_kernel import (
    chattering,
    clock_edge,
    clock_events,
    clock_is_due,
    flip,
    is_clocked,
    keep_knot,
    meter_arc,
    next_timed,
    search,
    violated,
)


@compiled_in_place
def simulate(tables, setup, state, log):
    """Run until the stop time, an event asked for, or something the caller must see to.

    Returns one of the reason codes; calling again goes on from there. Arrays
    are taken out of their tuples once: every other access would be counted.
    """
    slot, all_modal, all_reals, all_rates = tables.slot, tables.modal, tables.reals, tables.rates
    all_terms, all_states, all_events, totals = (
        tables.terms_of,
        tables.state_of,
        tables.events,
        tables.products,
    )
    all_watched, all_gap_rows, all_gap_forms = tables.watched, tables.gap_rows, tables.gap_forms
    all_inverse = tables.inverse
    given, limits, forced, draws = setup.ints, setup.floats, setup.forced, setup.draws
    ints, f, x, peaks = state.ints, state.floats, state.x, state.peaks
    m, nd = x.shape[0], given[DIODES]
    vectors, squares, factors, room = state.vectors, state.squares, state.factors, state.room
    signs, offsets, ends = room[0], room[1], room[2]
    q0, q1, amplitudes = vectors[0], vectors[1], vectors[2]
    integrals = state.integrals
    events = all_events.shape[1]
    signs, offsets = signs[:events], offsets[:events]
    for e in range(nd):
        signs[e], offsets[e] = 1.0, 0.0
    phases, rules, levels = setup.phases, setup.rules, setup.levels
    current, clock = state.current, state.clock
    governors = current.shape[0]
    random = setup.hazard[RATE] > 0.0
    spark_room, knot_room = log.sparks.shape[0], log.knot_times.shape[0]
    for _ in range(given[MOST_STEPS]):
        s = np.int64(slot[ints[MASK]])
        if s < 0:
            return NEED_MODE
        if ints[SPARKS] >= spark_room:
            return SPARKS_FULL
        if ints[KNOTS] >= knot_room:
            return KNOTS_FULL
        for i in range(m):
            total = 0.0
            for k in range(m):
                total += all_terms[s, i, k] * x[k]
            q0[i] = total
        ints[LAST] = 0
        gap = gap_of(ints[MASK], given[GAP_BIT])
        burning = is_arc(gap)
        arm(given, limits, ints, f, signs, offsets)
        if governors > 0:
            arm_rules(phases, rules, levels, current, nd + 4, signs, offsets)
            seen = 1 if burning else gap
            phase = settled_phase(phases, rules, levels, current, clock, seen, f[T])
            if phase >= 0:
                change_phase(setup, state, phase)
                ints[CULPRIT] = nd + 4
                if chattering(f, ints, nd):
                    return CHATTER
                if ints[LAST] & ints[STOP]:
                    return STOPPED
                continue
        rows = all_events[s]
        now = violated(rows, q0, signs, offsets, nd)
        if now >= 0 or clock_is_due(f, ints, forced):
            if 0 <= now < nd:
                flip(ints, now)
            elif now >= 0:
                happen(now, tables, setup, state, log, q0, s)
            elif is_clocked(ints, f, forced):
                clock_edge(given, limits, ints, f)
            else:
                clock_events(tables, setup, state, q0, s)
            if chattering(f, ints, nd):
                return CHATTER
            if ints[LAST] & ints[STOP]:
                return STOPPED
            continue
        if f[T] >= f[T_STOP]:
            return DONE
        t_next = next_timed(f, ints, forced, clock)
        h = t_next - f[T]
        modal, reals, rates = all_modal[s], all_reals[s], all_rates[s]
        if modal:
            step_factors(rates, reals, h, factors)
            late, since = -1, 0.0
            while True:
                at, which = search(
                    rows, rates, reals, q0, signs, offsets, h, late, since, amplitudes, ends, factors
                )
                if not (which == nd and burning and ints[RISING] == 1):
                    break
                # The discharge has come above its hold current; the circuit stays as it is.
                ints[RISING], late, since = 0, nd, at
                arm(given, limits, ints, f, signs, offsets)
        else:
            at, which = first_crossing_by_ladder(
                tables.system[s], q0, rows, signs, offsets, h, vectors[3:], squares
            )
        ignites = False
        if random and gap == 0 and f[T] >= f[T_READY]:
            if not modal:
                return NO_CHANCE
            if ints[DRAW] >= draws.shape[0]:
                return DRAWS_OUT
            due, f[HAZARD] = hazard_crossing(
                all_gap_rows[s, 0], q0, rates, reals, setup.hazard, min(h, at), f[HAZARD], draws[ints[DRAW]]
            )
            if due < NEVER:
                at, which, ignites = due, -1, True
        timed = which < 0 and not ignites
        if not timed:
            h = at
        if given[WATCH_KNOTS] and limits[KNOTS_FROM] <= t_next and f[T] <= limits[KNOTS_TO]:
            keep_knot(log, state, s, q0)
        if modal:
            if timed:
                turned(q0, reals, factors, q1)
            else:
                carried(q0, rates, reals, h, q1)
            if burning:
                for i in range(m):
                    for j in range(m):
                        integrals[i, j] = 0.0
            add_products(q0, q1, rates, all_inverse[s], reals, h, integrals if burning else totals[s])
        else:
            carried_by_ladder(tables.system[s], q0, h, q1, squares)
            products_by_ladder(tables.system[s], q0, h, integrals, squares)
            ints[LADDER_STEPS] += 1
            f[T_LADDER] += h
        ints[STEPS] += 1
        if burning or not modal:
            for i in range(m):
                for j in range(m):
                    totals[s, i, j] += integrals[i, j]
        if given[WATCH_PEAKS] and modal:
            mine = given[GAP_ROW] if gap == 1 else -1
            if mine >= 0 or not calm(all_watched[s], q0, q1, rates, reals, h, peaks, room[10:]):
                high = take_peaks(all_watched[s], q0, q1, rates, reals, h, peaks, room[3:], mine)
                if gap == 1:
                    f[PEAK] = max(f[PEAK], high)
        elif given[WATCH_PEAKS]:
            ladder_peaks(tables.system[s], q0, all_watched[s], h, peaks, -1, vectors[2:], squares)
        if burning:
            meter_arc(all_gap_forms[s], integrals, f)
            if not modal:
                high = ladder_peaks(
                    tables.system[s], q0, all_gap_rows[s].T, h, room[3:5], 1, vectors[2:], squares
                )
                f[PEAK] = max(f[PEAK], high)
            elif not (given[WATCH_PEAKS] and gap == 1):
                f[PEAK] = max(f[PEAK], row_peak(all_gap_rows[s, 1], q0, q1, rates, reals, h, ends))
        for i in range(m):
            total = 0.0
            for k in range(m):
                total += all_states[s, i, k] * q1[k]
            x[i] = total
        x[m - 1] = 1.0
        f[T] = t_next if timed else f[T] + h
        if ignites:
            ints[DRAW] += 1
            ignite(tables, setup, state, q1, s)
        elif 0 <= which < nd:
            flip(ints, which)
        elif which >= 0:
            happen(which, tables, setup, state, log, q1, s)
        elif governors == 0 and is_clocked(ints, f, forced):
            clock_edge(given, limits, ints, f)
            timed = False
        if not timed and chattering(f, ints, nd):
            return CHATTER
        if ints[LAST] & ints[STOP]:
            return STOPPED
    return BUDGET
