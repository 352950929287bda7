"""Exact runs of a generator from section to section, for the nodes of a charge map.

A section is an instant at which the gap is open and the whole state of the
circuit follows from one voltage.
"""

from typing import NamedTuple

import numpy as np

from gapwright.base.compiled import compiled, woven
from gapwright.circuit.engine._event_kernel import NEVER
from gapwright.circuit.engine._happening_kernel import (
    AT_DECISION,
    AT_EMPTY,
    AT_TURN_OFF,
    BUDGET,
    CONTROL,
    DONE,
    DRAINING,
    IDLE,
    MASK,
    MINIMUM_OFF,
    NEED_MODE,
    NO_CONTROL,
    STOP,
    STOPPED,
    STORE,
    STORE_SCALE,
    SWITCH_BIT,
    SWITCH_OFF,
    SWITCH_ON,
    T_EDGE,
    T_STOP,
    WAITING,
    Counts,
    Numbers,
    T,
)
from gapwright.circuit.engine._kernel import simulate

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
def proceed(tables, setup, state, log):
    """Run until the event or the time that the state asks for."""
    reason = BUDGET
    while reason == BUDGET:
        reason = simulate(tables, setup, state, log)
    return reason


@woven
def until(tables, setup, state, log, stop, t_stop):
    """Run until one of the events in `stop`, or a time."""
    state.ints[STOP] = stop
    state.floats[T_STOP] = t_stop
    return proceed(tables, setup, state, log)


@woven
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


@woven
def gap_voltage(tables, state):
    """Voltage across the gap now."""
    s = tables.slot[state.ints[MASK]]
    q = tables.terms_of[s] @ state.x
    return tables.gap_rows[s, 0] @ q


@woven
def begin(kind, setup, state, x):
    """Put a state at the start of a stretch."""
    state.x[:] = x
    state.ints[:] = 0
    state.floats[:] = 0.0
    state.floats[T_EDGE] = NEVER
    bit = np.int64(1) << setup.ints[SWITCH_BIT]
    if kind == OFF:
        state.ints[CONTROL], state.floats[T_EDGE] = SWITCH_OFF, setup.floats[MINIMUM_OFF]
    elif kind in (ON, BEGIN):
        state.ints[CONTROL] = SWITCH_ON
        state.ints[MASK] |= bit
    elif kind == DRAIN:
        state.ints[CONTROL] = DRAINING
    else:
        state.ints[CONTROL] = NO_CONTROL


@woven
def whole_stretch(kind, tables, setup, state, log, nodes):
    """Run one stretch to its end; at one place only, since the engine is passed much."""
    stop, t_stop = 0, nodes.limits[3]
    if kind in (CHARGING, REST):
        t_stop = nodes.limits[1]
    elif kind == DRAIN:
        stop = AT_EMPTY | AT_DECISION
    elif kind == OFF:
        stop = AT_DECISION
    else:
        stop = AT_TURN_OFF
    settles = False
    while True:
        reason = until(tables, setup, state, log, stop, t_stop)
        if settles:
            return STOPPED if reason == DONE else reason
        if reason == STOPPED and kind == DRAIN:
            stop, t_stop, settles = 0, state.floats[T] + nodes.limits[5], True
        elif reason == STOPPED and stop == AT_DECISION and state.ints[CONTROL] == WAITING:
            stop = AT_TURN_OFF
        else:
            return reason


@woven
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


@woven
def stays_off(tables, setup, state, log, nodes, x, full):
    """Whether the stretch from an opening ends with a full store (or, if not `full`, with a closing of the switch).

    Returns 1 or 0, or -1 where a mode is missing.
    """
    begin(OFF, setup, state, x)
    reason = whole_stretch(OFF, tables, setup, state, log, nodes)
    if reason == NEED_MODE:
        return -1
    if reason != STOPPED:
        return 0
    control = state.ints[CONTROL]
    if full:
        return 1 if control in (DRAINING, IDLE) else 0
    return 0 if control == SWITCH_OFF else 1


@woven
def edge_between(tables, setup, state, log, nodes, low, high, full):
    """Store voltage between two nodes of the first chart at which what follows it changes, and a reason."""
    x = nodes.starts[0, low].copy()
    store = setup.ints[STORE]
    below, above = nodes.volts[low], nodes.volts[high]
    for _ in range(40):
        middle = 0.5 * (below + above)
        x[store] = middle * setup.floats[STORE_SCALE]
        answer = stays_off(tables, setup, state, log, nodes, x, full)
        if answer < 0:
            return above, NEED_MODE
        if answer == 1:
            above = middle
        else:
            below = middle
    return above, DONE
