"""Kernel: stretches from the nodes of a charge map to the next section, and where what follows them changes."""

import numpy as np

from gapwright.base.compiled import woven
from gapwright.circuit.engine._event_kernel import NEVER
from gapwright.circuit.engine._happening_kernel import (
    AT_DECISION,
    AT_EMPTY,
    AT_TURN_OFF,
    CONTROL,
    DONE,
    DRAINING,
    IDLE,
    MASK,
    MINIMUM_OFF,
    NEED_MODE,
    NO_CONTROL,
    STOPPED,
    STORE,
    STORE_SCALE,
    SWITCH_BIT,
    SWITCH_OFF,
    SWITCH_ON,
    T_EDGE,
    WAITING,
    T,
)
from gapwright.circuit.map._section_kernel import (
    BEGIN,
    CHARGING,
    DRAIN,
    FREE,
    HELD,
    M_STRETCH,
    MARKED,
    OFF,
    ON,
    REST,
    UNREACHED,
    add_energies,
    gap_voltage,
    until,
)
from gapwright.circuit.map._section_mark_kernel import enter_phases, to_mark


@woven
def begin(c, setup, state, nodes, x):
    """Put a state at the start of a stretch."""
    kind = nodes.kinds[c]
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
    enter_phases(nodes.begins[c], setup, state)


@woven
def whole_stretch(kind, tables, setup, state, log, nodes):
    """Run one stretch to its end; at one place only, since the engine is passed much."""
    if kind == MARKED:
        reason = to_mark(tables, setup, state, log, nodes, M_STRETCH)
        return STOPPED if reason == DONE else (DONE if reason == UNREACHED else reason)
    stop, t_stop = 0, nodes.limits[3]
    if kind in (CHARGING, REST, HELD, FREE):
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
    begin(c, setup, state, nodes, x)
    reason = whole_stretch(kind, tables, setup, state, log, nodes)
    if reason != STOPPED and reason != DONE:
        return reason
    if reason == DONE and kind not in (CHARGING, REST, HELD, FREE):
        return UNREACHED
    duration = state.floats[T]
    nodes.time[c, v] = duration
    nodes.after[c, v] = nodes.found[0] if kind == MARKED else state.ints[CONTROL]
    begin(c, setup, state, nodes, x)
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
        nodes.phase_current[j, :] = state.current
        nodes.phase_clock[j] = state.clock
    nodes.end[c, v] = state.x[setup.ints[STORE]] / setup.floats[STORE_SCALE]
    return DONE


@woven
def stays_off(tables, setup, state, log, nodes, x, full):
    """Whether the stretch from an opening ends with a full store (or, if not `full`, with a closing of the switch).

    Returns 1 or 0, or -1 where a mode is missing.
    """
    begin(0, setup, state, nodes, x)
    reason = whole_stretch(nodes.kinds[0], tables, setup, state, log, nodes)
    if reason == NEED_MODE:
        return -1
    if reason != STOPPED:
        return 0
    if nodes.kinds[0] == MARKED:
        return 0 if nodes.found[0] == 0 else 1
    control = state.ints[CONTROL]
    if full:
        return 1 if control in (DRAINING, IDLE) else 0
    return 0 if control == SWITCH_OFF else 1


@woven
def edge_between(tables, setup, state, log, nodes, low, high, full):
    """Store voltage between two nodes of the first chart at which what follows it changes, and a reason."""
    first, last = nodes.starts[0, low], nodes.starts[0, high]
    start, span = nodes.volts[low], nodes.volts[high] - nodes.volts[low]
    below, above = start, nodes.volts[high]
    for _ in range(40):
        middle = 0.5 * (below + above)
        x = first + (middle - start) / span * (last - first)
        answer = stays_off(tables, setup, state, log, nodes, x, full)
        if answer < 0:
            return above, NEED_MODE
        if answer == 1:
            above = middle
        else:
            below = middle
    return above, DONE
