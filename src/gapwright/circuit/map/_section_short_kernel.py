"""Kernel: shorts from the nodes of a charge map: in, on, and out again."""

import numpy as np

from gapwright.base.compiled import woven
from gapwright.circuit.engine._happening_kernel import (
    GAP_BIT,
    MASK,
    RECOVERY,
    T_READY,
    T,
)
from gapwright.circuit.map._section_kernel import (
    add_energies,
    until,
)
from gapwright.circuit.map._section_mark_kernel import free_phases
from gapwright.circuit.map._section_spark_kernel import back_to_section
from gapwright.circuit.map._section_stretch_kernel import begin


@woven
def into_short(c, v, tables, setup, state, log, nodes, time, out):
    """Short the gap at a section and run until the store has emptied."""
    x = nodes.starts[c, v]
    begin(c, setup, state, nodes, x)
    free_phases(nodes.freed[1, c], setup, state)
    state.ints[MASK] |= np.int64(2) << setup.ints[GAP_BIT]
    tables.products[:] = 0.0
    reason = until(tables, setup, state, log, 0, time)
    out[:] = 0.0
    add_energies(tables, nodes, x, state, out)
    return reason


@woven
def on_in_short(tables, setup, state, log, nodes, before, until_time, out):
    """Go on in a short; `out` holds the energies since the meters were cleared."""
    reason = until(tables, setup, state, log, 0, until_time)
    out[:] = 0.0
    add_energies(tables, nodes, before, state, out)
    return reason


@woven
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
