"""Exact runs of a generator from section to section, for the nodes of a charge map.

A section is an instant at which the gap is open and the whole state of the
circuit follows from one voltage.
"""

from typing import NamedTuple

import numpy as np

from gapwright.base.compiled import compiled
from gapwright.circuit._happening_kernel import (
    AT_ARC_END,
    AT_DECISION,
    AT_EMPTY,
    AT_TURN_OFF,
    BUDGET,
    CONTROL,
    DONE,
    DRAINING,
    GAP_BIT,
    IDLE,
    MASK,
    MINIMUM_OFF,
    NO_CONTROL,
    RECOVERY,
    SPARKS,
    STOP,
    STOPPED,
    STORE,
    STORE_SCALE,
    SWITCH_BIT,
    SWITCH_OFF,
    SWITCH_ON,
    T_EDGE,
    T_READY,
    T_STOP,
    WAITING,
    Counts,
    Numbers,
    T,
    extinguish,
    ignite,
)
from gapwright.circuit._event_kernel import NEVER
from gapwright.circuit._kernel import simulate

CHARGING, OFF, ON, DRAIN, REST, BEGIN = range(6)
"""Kinds of stretches between sections: by itself; switch open; switch closed; coil emptying; full; first closing."""

STANDING = 1e9
"""Duration written down for a discharge that does not end by itself. [s]"""
UNREACHED = -1
"""Reason, and mark of a node, where no section is reached."""


class Nodes(NamedTuple):
    """What the nodes of a map are worked out from and written into; one leak conductance."""

    forms: Numbers
    """(modes, meters, m, m) power under each heading, over products of terms."""
    kinds: Counts
    """(charts,) kind of stretch of each chart."""
    aside: Counts
    """(k, 3) states that are no part of a section: state, meter that takes their energy, sign."""
    limits: Numbers
    """Coil current at turn-off, slice, longest discharge, longest return, full supply, coil settling time."""
    volts: Numbers
    time: Numbers
    end: Numbers
    stored: Numbers
    after: Counts
    gap_volts: Numbers
    energy: Numbers
    spark_time: Numbers
    spark_end: Numbers
    spark_energy: Numbers
    spark_facts: Numbers
    spark_return: Numbers
    """(charts, nodes, phases, 2, 1 + points) time from the gap's recovery to a section, gap voltages in it."""
    sections: Counts
    """(charts, nodes, phases) how many sections after a discharge are wanted: 0, 1 or 2."""
    starts: Numbers
    """(charts, nodes, m) state at the start of each stretch."""
    phase_x: Numbers
    phase_ints: Counts
    phase_floats: Numbers
    """(phases, ...) state at each phase of the present stretch."""


@compiled
def until(tables, setup, state, log, stop, t_stop):
    """Run until one of the events in `stop`, or a time."""
    state.ints[STOP] = stop
    state.floats[T_STOP] = t_stop
    reason = BUDGET
    while reason == BUDGET:
        reason = simulate(tables, setup, state, log)
    return reason


@compiled
def add_energies(tables, nodes, before, state, out):
    """Energies under each heading since the meters were cleared; what is no part of a section is booked too."""
    for s in range(nodes.forms.shape[0]):
        spent = 0.0
        for i in range(nodes.forms.shape[2]):
            spent += abs(tables.products[s, i, i])
        if spent == 0.0:
            continue
        for a in range(nodes.forms.shape[1]):
            total = 0.0
            for i in range(nodes.forms.shape[2]):
                for j in range(nodes.forms.shape[2]):
                    total += nodes.forms[s, a, i, j] * tables.products[s, i, j]
            out[a] += total
    for k in range(nodes.aside.shape[0]):
        n = nodes.aside[k, 0]
        change = 0.5 * (state.x[n] * state.x[n] - before[n] * before[n])
        out[nodes.aside[k, 1]] += nodes.aside[k, 2] * change


@compiled
def gap_voltage(tables, state):
    """Voltage across the gap now."""
    s = tables.slot[state.ints[MASK]]
    q = tables.terms_of[s] @ state.x
    return tables.gap_rows[s, 0] @ q


@compiled
def begin(kind, setup, state, x):
    """Put a state at the start of a stretch."""
    state.x[:] = x
    state.ints[:] = 0
    state.floats[:] = 0.0
    state.floats[T_EDGE] = NEVER
    bit = np.int64(1) << setup.ints[SWITCH_BIT]
    if kind == OFF:
        state.ints[CONTROL], state.floats[T_EDGE] = SWITCH_OFF, setup.floats[MINIMUM_OFF]
    elif kind == ON or kind == BEGIN:
        state.ints[CONTROL] = SWITCH_ON
        state.ints[MASK] |= bit
    elif kind == DRAIN:
        state.ints[CONTROL] = DRAINING
    else:
        state.ints[CONTROL] = NO_CONTROL


@compiled
def whole_stretch(kind, tables, setup, state, log, nodes):
    """Run one stretch to its end."""
    if kind == CHARGING or kind == REST:
        return until(tables, setup, state, log, 0, nodes.limits[1])
    if kind == DRAIN:
        reason = until(tables, setup, state, log, AT_EMPTY | AT_DECISION, nodes.limits[3])
        if reason != STOPPED:
            return reason
        reason = until(tables, setup, state, log, 0, state.floats[T] + nodes.limits[5])
        return STOPPED if reason == DONE else reason
    if kind == ON or kind == BEGIN:
        return until(tables, setup, state, log, AT_TURN_OFF, nodes.limits[3])
    reason = until(tables, setup, state, log, AT_DECISION, nodes.limits[3])
    if reason == STOPPED and state.ints[CONTROL] == WAITING:
        return until(tables, setup, state, log, AT_TURN_OFF, nodes.limits[3])
    return reason


@compiled
def stretch(c, v, tables, setup, state, log, nodes):
    """One stretch from its section on: time, voltages and energies at equal phases; states are kept."""
    kind = nodes.kinds[c]
    x = nodes.starts[c, v]
    begin(kind, setup, state, x)
    reason = whole_stretch(kind, tables, setup, state, log, nodes)
    if reason != STOPPED and reason != DONE:
        return reason
    if reason == DONE and kind != CHARGING and kind != REST:
        return UNREACHED
    duration = state.floats[T]
    nodes.time[c, v] = duration
    nodes.after[c, v] = state.ints[CONTROL]
    begin(kind, setup, state, x)
    tables.products[:] = 0.0
    last = nodes.gap_volts.shape[2] - 1
    for j in range(last + 1):
        reason = until(tables, setup, state, log, 0, duration * j / last)
        if reason != DONE:
            return reason
        nodes.gap_volts[c, v, j] = gap_voltage(tables, state)
        nodes.energy[c, v, j, :] = 0.0
        add_energies(tables, nodes, x, state, nodes.energy[c, v, j])
        nodes.phase_x[j, :] = state.x
        nodes.phase_ints[j, :] = state.ints
        nodes.phase_floats[j, :] = state.floats
    nodes.end[c, v] = state.x[setup.ints[STORE]] / setup.floats[STORE_SCALE]
    return DONE


@compiled
def is_section(state, nodes):
    """Whether states that are no part of a section have settled."""
    for k in range(nodes.aside.shape[0]):
        if nodes.aside[k, 2] < 0:
            if state.x[nodes.aside[k, 0]] < nodes.limits[4]:
                return False
    return True


@compiled
def back_to_section(tables, setup, state, log, nodes):
    """With the gap open again: run to the next section."""
    if nodes.kinds[0] == CHARGING:
        ready = max(state.floats[T], state.floats[T_READY])
        return until(tables, setup, state, log, 0, ready)
    give_up = state.floats[T] + nodes.limits[3]
    while True:
        reason = until(tables, setup, state, log, AT_TURN_OFF, give_up)
        if reason == DONE:
            return UNREACHED
        if reason != STOPPED:
            return reason
        if state.floats[T] >= state.floats[T_READY] and is_section(state, nodes):
            return DONE


@compiled
def book_return(c, v, j, step, began, tables, setup, state, nodes):
    """Write down the return to a section after a discharge."""
    nodes.spark_time[c, v, j, step] = state.floats[T] - began
    nodes.spark_end[c, v, j, step] = state.x[setup.ints[STORE]] / setup.floats[STORE_SCALE]
    nodes.spark_energy[c, v, j, step, :] = 0.0
    add_energies(tables, nodes, nodes.phase_x[j], state, nodes.spark_energy[c, v, j, step])


@compiled
def spark_of(c, v, j, tables, setup, state, log, nodes):
    """One discharge from phase `j` of a stretch, until the gap has recovered."""
    state.x[:] = nodes.phase_x[j]
    state.ints[:] = nodes.phase_ints[j]
    state.floats[:] = nodes.phase_floats[j]
    state.ints[SPARKS] = 0
    if nodes.kinds[c] == REST:
        state.ints[CONTROL] = IDLE
    began = state.floats[T]
    tables.products[:] = 0.0
    s = tables.slot[state.ints[MASK]]
    ignite(tables, setup, state, tables.terms_of[s] @ state.x, s)
    reason = until(tables, setup, state, log, AT_ARC_END, began + nodes.limits[2])
    stands = reason == DONE
    if stands:
        extinguish(setup, state, log)
    elif reason != STOPPED:
        return reason
    row = log.sparks[0]
    facts = nodes.spark_facts[c, v, j]
    facts[0], facts[1], facts[2] = row[1], row[5], row[3]
    facts[3], facts[4], facts[5] = row[4], row[2], row[7]
    if stands:
        facts[2] = STANDING
    return until(tables, setup, state, log, 0, max(state.floats[T], state.floats[T_READY]))


@compiled
def voltages_back(tables, setup, state, log, stop, out):
    """Gap voltage at equal times from now to `stop`; the first of `out` is the time this takes."""
    start, points = state.floats[T], out.shape[0] - 1
    out[0] = stop - start
    for k in range(points):
        reason = until(tables, setup, state, log, 0, start + out[0] * k / (points - 1))
        if reason != DONE:
            return reason
        out[1 + k] = gap_voltage(tables, state)
    return DONE


@compiled
def discharge(c, v, j, tables, setup, state, log, nodes):
    """One discharge from phase `j` of a stretch to the next section or the one after it."""
    reason = spark_of(c, v, j, tables, setup, state, log, nodes)
    if reason != DONE:
        return reason
    began = nodes.phase_floats[j, T]
    x, ints, floats = state.x.copy(), state.ints.copy(), state.floats.copy()
    for step in range(nodes.sections[c, v, j]):
        reason = back_to_section(tables, setup, state, log, nodes)
        if reason != DONE:
            return reason
        book_return(c, v, j, step, began, tables, setup, state, nodes)
    for step in range(nodes.sections[c, v, j]):
        state.x[:], state.ints[:], state.floats[:] = x, ints, floats
        stop = began + nodes.spark_time[c, v, j, step]
        reason = voltages_back(tables, setup, state, log, stop, nodes.spark_return[c, v, j, step])
        if reason != DONE:
            return reason
    if nodes.sections[c, v, j] == 1:
        nodes.spark_time[c, v, j, 1] = nodes.spark_time[c, v, j, 0]
    return DONE


@compiled
def work_out_node(c, v, tables, setup, state, log, nodes):
    """Work one node out: its stretch, and the discharges that are wanted."""
    reason = stretch(c, v, tables, setup, state, log, nodes)
    if reason == DONE and nodes.kinds[c] == OFF:
        for other in range(len(nodes.kinds)):
            if nodes.kinds[other] == ON or nodes.kinds[other] == DRAIN:
                nodes.starts[other, v, :] = state.x
    if reason == UNREACHED and nodes.kinds[c] == DRAIN:
        nodes.after[c, v] = UNREACHED
        return DONE
    if reason != DONE:
        return reason
    for j in range(nodes.spark_time.shape[2]):
        if nodes.sections[c, v, j] > 0:
            reason = discharge(c, v, j, tables, setup, state, log, nodes)
            if reason != DONE:
                return reason
    return DONE


@compiled
def work_out(first, again, tables, setup, state, log, nodes):
    """Work out nodes from number `first` on; returns a reason and the number of the node it stopped at.

    The second time (`again`) only those of which a second section is wanted.
    """
    charts, count = nodes.time.shape
    for n in range(first, charts * count):
        c, v = n // count, n % count
        if again and (nodes.sections[c, v].size == 0 or nodes.sections[c, v].max() < 2):
            continue
        reason = work_out_node(c, v, tables, setup, state, log, nodes)
        if reason != DONE:
            return reason, n
    return DONE, charts * count


@compiled
def stays_off(tables, setup, state, log, nodes, x, full):
    """Whether the stretch from an opening ends with a full store (or, if not `full`, with a closing of the switch).

    Returns 1 or 0, or 2 where a mode is missing.
    """
    begin(OFF, setup, state, x)
    reason = whole_stretch(OFF, tables, setup, state, log, nodes)
    if reason != STOPPED:
        return 2
    control = state.ints[CONTROL]
    if full:
        return 1 if control == DRAINING or control == IDLE else 0
    return 0 if control == SWITCH_OFF else 1


@compiled
def edge_between(tables, setup, state, log, nodes, low, high, full):
    """Store voltage between two nodes of the first chart at which what follows it changes."""
    x = nodes.starts[0, low].copy()
    store = setup.ints[STORE]
    below, above = nodes.volts[low], nodes.volts[high]
    for _ in range(40):
        middle = 0.5 * (below + above)
        x[store] = middle * setup.floats[STORE_SCALE]
        if stays_off(tables, setup, state, log, nodes, x, full) == 1:
            above = middle
        else:
            below = middle
    return above


@compiled
def into_short(c, v, tables, setup, state, log, nodes, time, out):
    """Short the gap at a section and run until the store has emptied."""
    x = nodes.starts[c, v]
    begin(nodes.kinds[c], setup, state, x)
    state.ints[MASK] |= np.int64(2) << setup.ints[GAP_BIT]
    tables.products[:] = 0.0
    reason = until(tables, setup, state, log, 0, time)
    out[:] = 0.0
    add_energies(tables, nodes, x, state, out)
    return reason


@compiled
def on_in_short(tables, setup, state, log, nodes, before, until_time, out):
    """Go on in a short; `out` holds the energies since the meters were cleared."""
    reason = until(tables, setup, state, log, 0, until_time)
    out[:] = 0.0
    add_energies(tables, nodes, before, state, out)
    return reason


@compiled
def out_of_short(tables, setup, state, log, nodes, out):
    """Open the shorted gap and run to the next section."""
    before = state.x.copy()
    state.ints[MASK] &= ~(np.int64(3) << setup.ints[GAP_BIT])
    state.floats[T_READY] = state.floats[T] + setup.floats[RECOVERY]
    tables.products[:] = 0.0
    reason = back_to_section(tables, setup, state, log, nodes)
    out[:] = 0.0
    add_energies(tables, nodes, before, state, out)
    return reason
