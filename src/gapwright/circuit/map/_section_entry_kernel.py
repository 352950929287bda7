"""The one entry to exact runs from section to section: everything below it is compiled once, with it."""

import numpy as np

from gapwright.base.compiled import compiled
from gapwright.circuit.map._section_mark_kernel import journey
from gapwright.circuit.map._section_short_kernel import into_short, on_in_short, out_of_short
from gapwright.circuit.map._section_spark_kernel import burn, work_out
from gapwright.circuit.map._section_stretch_kernel import edge_between

NODES, AGAIN, TURN, FULL, INTO, ON, OUT, GO, BURN = range(9)
"""Orders: nodes; nodes of which a second section is wanted; edges of the first chart; ways of a short;
a journey from section to section; a discharge from where one is."""


@compiled
def carry_out(order, at, tables, setup, state, log, nodes, before, time, out):
    """Carry out an order; returns a reason, and the number of the node it came to.

    `at` are the two numbers an order needs: the first node (and nothing), the
    nodes beside an edge, or a chart and a node. `before` is the state at which
    meters were cleared, `time` when to stop; energies, or an edge, go into `out`.
    """
    reason, number = np.int64(0), at[0]
    if order in (NODES, AGAIN):
        reason, number = work_out(at[0], order == AGAIN, tables, setup, state, log, nodes)
    elif order in (TURN, FULL):
        out[0], reason = edge_between(tables, setup, state, log, nodes, at[0], at[1], order == FULL)
    elif order == INTO:
        reason = into_short(at[0], at[1], tables, setup, state, log, nodes, time, out)
    elif order == ON:
        reason = on_in_short(tables, setup, state, log, nodes, before, time, out)
    elif order == GO:
        reason, number = journey(tables, setup, state, log, nodes)
    elif order == BURN:
        reason, _ = burn(at[0], tables, setup, state, log, nodes)
    else:
        reason = out_of_short(tables, setup, state, log, nodes, out)
    return reason, number
