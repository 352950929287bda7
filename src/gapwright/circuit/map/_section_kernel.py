"""Kernel: what the nodes of a charge map are worked out from and written into, and runs of the engine for them.

A section is an instant at which the gap is open and the whole state of the
circuit follows from one voltage.
"""

from typing import NamedTuple

from gapwright.base.compiled import compiled, woven
from gapwright.circuit.engine._happening_kernel import BUDGET, MASK, STOP, T_STOP, Counts, Numbers
from gapwright.circuit.engine._kernel import simulate

CHARGING, OFF, ON, DRAIN, REST, BEGIN = range(6)
"""Kinds of stretches between sections: by itself; switch open; switch closed; coil emptying; full; first closing."""
MARKED, HELD, FREE = range(6, 9)
"""Kinds under governors: to the next mark; a slice in which the first governor is held; a slice in which all are free."""

M_CHART, M_GOVERNOR, M_PHASE, M_FRESH, M_STRETCH, M_SPARK = range(6)
"""Columns of the marks: chart, governor and phase; whether it has to be entered just then; where it counts."""

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
    phase_current: Counts
    phase_clock: Numbers
    """(phases, ...) state at each phase of the present stretch, governors included."""
    begins: Counts
    """(charts, governors) phase of each governor at a section."""
    needs: Counts
    """(charts, governors) phase in which each must be there; -1 for any."""
    freed: Counts
    """(2, charts, governors) phase that a discharge and a short find a governor in; -1 for that of the section."""
    marks: Counts
    """(k, 6) by which phase of which governor a section is known."""
    waits: Numbers
    """(k,) how long that phase must have lasted. [s]"""
    found: Counts
    """(1,) chart of the section that a run came to."""
    spark_next: Counts
    """(charts, nodes, phases, 2) chart of the sections after a discharge."""
    path: Numbers
    """(rows, 1 + m) chart and state of the sections that a journey came through."""


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
