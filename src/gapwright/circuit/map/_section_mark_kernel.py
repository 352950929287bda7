"""Kernel: sections of a generator under governors, known by the phase that a governor is in, and the way to them."""

from gapwright.base.compiled import compiled, woven
from gapwright.circuit.engine._governor_kernel import ENTERED
from gapwright.circuit.engine._happening_kernel import (
    AT_PHASE,
    DONE,
    GAP_BIT,
    MASK,
    STOPPED,
    T_READY,
    T,
    change_phase,
    gap_of,
)
from gapwright.circuit.map._section_kernel import (
    FREE,
    HELD,
    M_CHART,
    M_FRESH,
    M_GOVERNOR,
    M_PHASE,
    M_SPARK,
    M_STRETCH,
    UNREACHED,
    until,
)

ROUNDING = 1e-9
"""Share by which a wait may fall short of its time."""


@woven
def enter_phases(phases, setup, state):
    """Put each governor at the start of its phase."""
    for g in range(phases.shape[0]):
        state.current[g] = -1
        state.clock[g, :] = 0.0
        change_phase(setup, state, phases[g])


@woven
def free_phases(phases, setup, state):
    """Let governors go on that a section holds."""
    for g in range(phases.shape[0]):
        if phases[g] >= 0 and state.current[g] != phases[g]:
            change_phase(setup, state, phases[g])


@woven
def others_ready(c, governor, state, nodes):
    """Whether all governors but one are in the phase that a section needs."""
    for g in range(nodes.needs.shape[1]):
        if g != governor and nodes.needs[c, g] >= 0 and nodes.needs[c, g] != state.current[g]:
            return False
    return True


@woven
def chart_now(setup, state, nodes, where):
    """Chart whose section this instant is, -1 if it is none; `where` is the column of marks that count."""
    if state.floats[T] < state.floats[T_READY] or gap_of(state.ints[MASK], setup.ints[GAP_BIT]) != 0:
        return -1
    for k in range(nodes.marks.shape[0]):
        g = nodes.marks[k, M_GOVERNOR]
        if nodes.marks[k, where] == 0 or state.current[g] != nodes.marks[k, M_PHASE]:
            continue
        since = state.floats[T] - state.clock[g, ENTERED]
        if (nodes.marks[k, M_FRESH] == 1 and since > 0.0) or since < nodes.waits[k] * (1.0 - ROUNDING):
            continue
        if others_ready(nodes.marks[k, M_CHART], g, state, nodes):
            return nodes.marks[k, M_CHART]
    return -1


@woven
def next_look(state, nodes, latest):
    """Time at which to look for a section if no governor changes its phase before."""
    stop, now = latest, state.floats[T]
    if state.floats[T_READY] > now:
        stop = min(stop, state.floats[T_READY])
    for k in range(nodes.marks.shape[0]):
        g = nodes.marks[k, M_GOVERNOR]
        due = state.clock[g, ENTERED] + nodes.waits[k]
        if state.current[g] == nodes.marks[k, M_PHASE] and due > now:
            stop = min(stop, due)
    return stop


@compiled
def to_mark(tables, setup, state, log, nodes, where):
    """Run to the next section; its chart is put into `nodes.found`."""
    latest = state.floats[T] + nodes.limits[3]
    while True:
        reason = until(tables, setup, state, log, AT_PHASE, next_look(state, nodes, latest))
        if reason != DONE and reason != STOPPED:
            return reason
        chart = chart_now(setup, state, nodes, where)
        if chart >= 0:
            nodes.found[0] = chart
            return DONE
        if state.floats[T] >= latest:
            return UNREACHED


@woven
def stays_at_mark(setup, state, nodes):
    """Whether this instant already is a section, and one that lasts."""
    chart = chart_now(setup, state, nodes, M_SPARK)
    if chart < 0:
        return False
    nodes.found[0] = chart
    return nodes.kinds[chart] == HELD or nodes.kinds[chart] == FREE


@woven
def journey(tables, setup, state, log, nodes):
    """Go from section to section with an open gap until the store is full; returns a reason and how many came."""
    for row in range(nodes.path.shape[0]):
        if nodes.kinds[0] == FREE:
            reason = until(tables, setup, state, log, 0, state.floats[T] + nodes.limits[1])
        else:
            reason = to_mark(tables, setup, state, log, nodes, M_STRETCH)
        if reason != DONE:
            return reason, row
        nodes.path[row, 0] = nodes.found[0]
        nodes.path[row, 1:] = state.x
        if nodes.kinds[nodes.found[0]] == HELD:
            return DONE, row + 1
    return DONE, nodes.path.shape[0]
