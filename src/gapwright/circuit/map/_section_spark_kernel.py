"""Kernel: discharges from the nodes of a charge map, and the way back to a section."""

from gapwright.base.compiled import woven
from gapwright.circuit.engine._happening_kernel import (
    AT_ARC_END,
    AT_TURN_OFF,
    CONTROL,
    DONE,
    IDLE,
    MASK,
    NEED_MODE,
    SPARKS,
    STOPPED,
    STORE,
    STORE_SCALE,
    T_READY,
    T,
    extinguish,
    ignite,
)
from gapwright.circuit.map._section_kernel import (
    CHARGING,
    DRAIN,
    M_SPARK,
    OFF,
    ON,
    REST,
    STANDING,
    UNREACHED,
    add_energies,
    gap_voltage,
    until,
)
from gapwright.circuit.map._section_mark_kernel import free_phases, stays_at_mark, to_mark
from gapwright.circuit.map._section_stretch_kernel import stretch


@woven
def is_section(state, nodes):
    """Whether states that are no part of a section have settled."""
    for k in range(nodes.aside.shape[0]):
        if nodes.aside[k, 2] < 0 and state.x[nodes.aside[k, 0]] < nodes.limits[4]:
            return False
    return True


@woven
def back_to_section(tables, setup, state, log, nodes):
    """With the gap open again: run to the next section."""
    if nodes.marks.shape[0] > 0:
        if stays_at_mark(setup, state, nodes):
            return DONE
        return to_mark(tables, setup, state, log, nodes, M_SPARK)
    nodes.found[0] = 0
    charging = nodes.kinds[0] == CHARGING
    stop = 0 if charging else AT_TURN_OFF
    give_up = max(state.floats[T], state.floats[T_READY]) if charging else state.floats[T] + nodes.limits[3]
    while True:
        reason = until(tables, setup, state, log, stop, give_up)
        if charging:
            return reason
        if reason == DONE:
            return UNREACHED
        if reason != STOPPED:
            return reason
        if state.floats[T] >= state.floats[T_READY] and is_section(state, nodes):
            return DONE


@woven
def book_return(c, v, j, step, began, tables, setup, state, nodes):
    """Write down the return to a section after a discharge."""
    nodes.spark_time[c, v, j, step] = state.floats[T] - began
    nodes.spark_next[c, v, j, step] = nodes.found[0]
    nodes.spark_end[c, v, j, step] = state.x[setup.ints[STORE]] / setup.floats[STORE_SCALE]
    nodes.spark_energy[c, v, j, step, :] = 0.0
    add_energies(tables, nodes, nodes.phase_x[j], state, nodes.spark_energy[c, v, j, step])


@woven
def burn(c, tables, setup, state, log, nodes):
    """Ignite the gap as it is in a chart; run until the discharge has ended and the gap has recovered.

    Returns a reason, and whether the discharge had to be put out.
    """
    state.ints[SPARKS] = 0
    if nodes.kinds[c] == REST:
        state.ints[CONTROL] = IDLE
    free_phases(nodes.freed[0, c], setup, state)
    began = state.floats[T]
    tables.products[:] = 0.0
    s = tables.slot[state.ints[MASK]]
    if s < 0:
        return NEED_MODE, False
    ignite(tables, setup, state, tables.terms_of[s] @ state.x, s)
    reason = until(tables, setup, state, log, AT_ARC_END, began + nodes.limits[2])
    stands = reason == DONE
    if stands:
        extinguish(setup, state, log)
    elif reason != STOPPED:
        return reason, False
    return until(tables, setup, state, log, 0, max(state.floats[T], state.floats[T_READY])), stands


@woven
def spark_of(c, v, j, tables, setup, state, log, nodes):
    """One discharge from phase `j` of a stretch, until the gap has recovered."""
    state.x[:] = nodes.phase_x[j]
    state.ints[:] = nodes.phase_ints[j]
    state.floats[:] = nodes.phase_floats[j]
    state.current[:] = nodes.phase_current[j]
    state.clock[:] = nodes.phase_clock[j]
    reason, stands = burn(c, tables, setup, state, log, nodes)
    if reason != DONE:
        return reason
    row = log.sparks[0]
    facts = nodes.spark_facts[c, v, j]
    facts[0], facts[1], facts[2] = row[1], row[5], row[3]
    facts[3], facts[4], facts[5] = row[4], row[2], row[7]
    if stands:
        facts[2] = STANDING
    return DONE


@woven
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


@woven
def discharge(c, v, j, tables, setup, state, log, nodes):
    """One discharge from phase `j` of a stretch to the next section or the one after it."""
    reason = spark_of(c, v, j, tables, setup, state, log, nodes)
    if reason != DONE:
        return reason
    began = nodes.phase_floats[j, T]
    x, ints, floats = state.x.copy(), state.ints.copy(), state.floats.copy()
    current, clock = state.current.copy(), state.clock.copy()
    for step in range(nodes.sections[c, v, j]):
        reason = back_to_section(tables, setup, state, log, nodes)
        if reason != DONE:
            return reason
        book_return(c, v, j, step, began, tables, setup, state, nodes)
    for step in range(nodes.sections[c, v, j]):
        state.x[:], state.ints[:], state.floats[:] = x, ints, floats
        state.current[:], state.clock[:] = current, clock
        stop = began + nodes.spark_time[c, v, j, step]
        reason = voltages_back(tables, setup, state, log, stop, nodes.spark_return[c, v, j, step])
        if reason != DONE:
            return reason
    if nodes.sections[c, v, j] == 1:
        nodes.spark_time[c, v, j, 1] = nodes.spark_time[c, v, j, 0]
        nodes.spark_next[c, v, j, 1] = nodes.spark_next[c, v, j, 0]
    return DONE


@woven
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


@woven
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
