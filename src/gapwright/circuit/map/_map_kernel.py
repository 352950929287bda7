"""Reading a charge map: linear between its nodes, so that energy closes as exactly as at the nodes."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gapwright.base.compiled import compiled_in_place, compiled_within
from gapwright.circuit.map._grid_kernel import (
    add_scaled,
    between,
    cell,
    even_cell,
    leak_weights,
)

Numbers = NDArray[np.float64]
Counts = NDArray[np.int64]

BY_END, BY_START, CUT = range(3)
"""How a chart decides what follows: by the voltage at its end, or at its start; or it is cut off at its first edge."""


class MapArrays(NamedTuple):
    """A charge map as the kernels take it; all arrays read-only."""

    volts: Numbers
    """(nodes,) evenly spaced store voltages at sections. [V]"""
    leaks: Numbers
    """(leaks,) gap leak conductances, rising from 0. [S]"""
    spark_leaks: Numbers
    """(few,) those of them for which discharges are worked out. [S]"""
    time: Numbers
    """(charts, leaks, nodes) duration of a stretch. [s]"""
    end: Numbers
    """(charts, leaks, nodes) store voltage at the end of a stretch. [V]"""
    stored: Numbers
    """(charts, leaks, nodes) energy in store and coil at the start of a stretch. [J]"""
    gap_volts: Numbers
    """(charts, leaks, nodes, phases) gap voltage at equal phases of a stretch. [V]"""
    energy: Numbers
    """(charts, leaks, nodes, phases, meters) energy under each heading since the start of a stretch. [J]"""
    rule: Counts
    """(charts,) `BY_END` or `BY_START`."""
    rederives: Counts
    """(charts,) whether the coordinate is the voltage of the section, so that it follows from the energy there."""
    edges: Numbers
    """(charts, leaks, 2) voltages between which the next chart changes. [V]"""
    follows: Counts
    """(charts, 3) next chart below the first edge, between the edges, above the second."""
    keeps: Counts
    """(charts, 3) whether the coordinate stays what it was at the start, instead of the voltage at the end."""
    spark_time: Numbers
    """(charts, few, nodes, phases, 2) from ignition to the first and the second section after it. [s]"""
    spark_end: Numbers
    """(charts, few, nodes, phases, 2) store voltage at those sections. [V]"""
    spark_next: Counts
    """(charts,) chart that begins there; -1 where that hangs on the node."""
    spark_chart: Counts
    """(charts, few, nodes, phases, 2) the same by node."""
    spark_energy: Numbers
    """(charts, few, nodes, phases, 2, meters) energy under each heading from ignition to those sections. [J]"""
    spark_facts: Numbers
    """(charts, few, nodes, phases, 6) of the discharge, see `FACTS` in `charge_map`."""
    spark_return: Numbers
    """(charts, few, nodes, phases, 2, 1 + points) time from the gap's recovery to a section; gap voltages in it."""
    short_time: Numbers
    """(1,) how long the store takes to empty into a short. [s]"""
    short_energy: Numbers
    """(charts, nodes, meters) energy under each heading in that time. [J]"""
    short_times: Numbers
    """(times,) since the store has emptied. [s]"""
    short_course: Numbers
    """(times, meters) energy under each heading up to those times. [J]"""
    short_power: Numbers
    """(meters,) power under each heading after the last of them. [W]"""
    leave_time: Numbers
    """(times,) from the opening of the short to the next section. [s]"""
    leave_volts: Numbers
    """(times,) store voltage there. [V]"""
    leave_energy: Numbers
    """(times, meters) energy under each heading in between. [J]"""
    leave_chart: Counts
    """(times,) chart that begins there."""
    lift: Numbers
    """(charts,) voltage of an open gap over that of the store: 0 where the generator keeps it from the gap."""
    train: Numbers
    """(4,) run and rest of pulses in trains [s], chart that a rest keeps waiting and chart of the rest; zeros if none."""


@compiled_within
def edge_at(m, chart, which, leak):
    """One of the voltages at which what follows a chart changes."""
    g, w = cell(m.leaks, leak)
    low, high = m.edges[chart, g, which], m.edges[chart, g + 1, which]
    return low if low == high else low + w * (high - low)


@compiled_within
def following(m, chart, leak, start, end):
    """Next chart and its coordinate."""
    edge0, edge1 = edge_at(m, chart, 0, leak), edge_at(m, chart, 1, leak)
    tested = start if m.rule[chart] == BY_START else end
    which = 0 if tested < edge0 else (1 if tested < edge1 else 2)
    volts = start if m.keeps[chart, which] == 1 else end
    return volts, m.follows[chart, which]


@compiled_within
def add_stretch(table, j, g, wa, wb, wc, v, wv, share, out):
    """Add a share of the energies of a stretch up to phase `j`; `table` is (leaks, nodes, phases, meters)."""
    if share == 0.0:
        return
    for k, w in ((0, wa), (1, wb), (2, wc)):
        if w != 0.0:
            add_scaled(table[g + k, v, j], share * w * (1.0 - wv), out)
            add_scaled(table[g + k, v + 1, j], share * w * wv, out)


@compiled_within
def stretch_cell(m, chart, volts, leak):
    """Cell for a stretch; where what follows changes inside a cell, the one beside it on the same side."""
    v, wv = even_cell(m.volts, volts)
    if m.rule[chart] == BY_START:
        edge = edge_at(m, chart, 0, leak)
        if m.volts[v] < edge <= m.volts[v + 1]:
            if volts < edge and v > 0:
                return v - 1, wv + 1.0
            if volts >= edge and v + 2 < m.volts.shape[0]:
                return v + 1, wv - 1.0
    return v, wv


@compiled_within
def phase_cell(m, phase):
    """Phase below a place in a stretch, and how far from it to the next (0 to 1)."""
    last = m.gap_volts.shape[3] - 1
    j = min(int(phase * last), last - 1)
    return j, phase * last - j


@compiled_within
def length_share(m, chart, volts, leak, g, wa, wb, wc, v, wv):
    """How much of a stretch is gone through: all, but a chart that is cut ends where the store is at its edge.

    The gap is open and its voltage falls as the store's does.
    """
    if m.rule[chart] != CUT:
        return 1.0
    edge = edge_at(m, chart, 0, leak)
    if volts <= edge:
        return 0.0
    last = m.gap_volts.shape[3] - 1
    before = between(m.gap_volts[chart, :, :, 0], g, wa, wb, wc, v, wv)
    wanted = before * edge / volts
    for j in range(1, last + 1):
        now = between(m.gap_volts[chart, :, :, j], g, wa, wb, wc, v, wv)
        if now < wanted:
            return (j - 1 + (before - wanted) / (before - now)) / last
        before = now
    return 1.0


@compiled_within
def advance(m, chart, volts, leak, out_energy):
    """Go through one stretch without a discharge: voltage coordinate after it, next chart, time taken.

    The energy under each heading is added to `out_energy`.
    """
    v, wv = stretch_cell(m, chart, volts, leak)
    g, wa, wb, wc = leak_weights(m.leaks, leak)
    end = between(m.end[chart], g, wa, wb, wc, v, wv)
    share = length_share(m, chart, volts, leak, g, wa, wb, wc, v, wv)
    j, wj = phase_cell(m, share)
    add_stretch(m.energy[chart], j, g, wa, wb, wc, v, wv, 1.0 - wj, out_energy)
    add_stretch(m.energy[chart], j + 1, g, wa, wb, wc, v, wv, wj, out_energy)
    time = share * between(m.time[chart], g, wa, wb, wc, v, wv)
    if m.rule[chart] == CUT and share < 1.0:
        return min(volts, edge_at(m, chart, 0, leak)), m.follows[chart, 0], time
    after, chart_next = following(m, chart, leak, volts, end)
    return after, chart_next, time


@compiled_in_place
def phase_value(m, table, chart, volts, leak, phase):
    """Value at a phase (0 to 1) of a stretch from a table like the gap voltages, (charts, leaks, nodes, phases).

    The phase is that of the stretch as it is gone through, cut off or not.
    """
    v, wv = stretch_cell(m, chart, volts, leak)
    g, wa, wb, wc = leak_weights(m.leaks, leak)
    j, wj = phase_cell(m, phase * length_share(m, chart, volts, leak, g, wa, wb, wc, v, wv))
    low = between(table[chart, :, :, j], g, wa, wb, wc, v, wv)
    return low + wj * (between(table[chart, :, :, j + 1], g, wa, wb, wc, v, wv) - low)


@compiled_in_place
def phase_volts(m, chart, volts, leak, out):
    """Gap voltage at equal phases of a stretch, from its start to its end."""
    for k in range(out.shape[0]):
        out[k] = phase_value(m, m.gap_volts, chart, volts, leak, k / (out.shape[0] - 1))


@compiled_within
def stretch_time(m, chart, volts, leak):
    """Duration of a stretch."""
    v, wv = stretch_cell(m, chart, volts, leak)
    g, wa, wb, wc = leak_weights(m.leaks, leak)
    share = length_share(m, chart, volts, leak, g, wa, wb, wc, v, wv)
    return share * between(m.time[chart], g, wa, wb, wc, v, wv)


@compiled_in_place
def stored_energy(m, chart, volts, leak):
    """Energy in store and coil at a section."""
    v, wv = even_cell(m.volts, volts)
    g, wa, wb, wc = leak_weights(m.leaks, leak)
    return between(m.stored[chart], g, wa, wb, wc, v, wv)


@compiled_within
def volts_from_stored(m, chart, stored, guess):
    """Voltage coordinate near `guess` at which store and coil hold an energy.

    Where the energy does not rise with voltage (at and below zero) the guess
    is given back, and so it is where the coordinate of a chart is not the
    voltage of its section.
    """
    v, _ = even_cell(m.volts, guess)
    table = m.stored[chart, 0]
    n = table.shape[0]
    if m.rederives[chart] == 0:
        return guess
    while v + 1 < n - 1 and stored > table[v + 1] and table[v + 1] > table[v]:
        v += 1
    while v > 0 and stored < table[v] and table[v] > table[v - 1] and m.volts[v - 1] > 0.0:
        v -= 1
    rise = table[v + 1] - table[v]
    if m.volts[v] <= 0.0 or rise <= 0.0:
        return guess
    return m.volts[v] + (m.volts[v + 1] - m.volts[v]) * (stored - table[v]) / rise
