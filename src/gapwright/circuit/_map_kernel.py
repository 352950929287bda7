"""Reading a charge map: linear between its nodes, so that energy closes as exactly as at the nodes."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gapwright.base.compiled import compiled

Numbers = NDArray[np.float64]
Counts = NDArray[np.int64]

BY_END, BY_START = 0, 1
"""How a chart decides what follows: by the voltage at its end, or by the one at its start."""


class MapArrays(NamedTuple):
    """A charge map as the kernels take it; all arrays read-only."""

    volts: Numbers
    """(nodes,) evenly spaced store voltages at sections. [V]"""
    leaks: Numbers
    """(leaks,) gap leak conductances, rising from 0. [S]"""
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
    edges: Numbers
    """(charts, leaks, 2) voltages between which the next chart changes. [V]"""
    follows: Counts
    """(charts, 3) next chart below the first edge, between the edges, above the second."""
    keeps: Counts
    """(charts, 3) whether the coordinate stays what it was at the start, instead of the voltage at the end."""
    spark_time: Numbers
    """(charts, leaks, nodes, phases) from ignition to the next section. [s]"""
    spark_end: Numbers
    """(charts, leaks, nodes, phases) store voltage at that section. [V]"""
    spark_next: Counts
    """(charts,) chart that begins at that section."""
    spark_energy: Numbers
    """(charts, leaks, nodes, phases, meters) energy under each heading from ignition to that section. [J]"""
    spark_facts: Numbers
    """(charts, leaks, nodes, phases, 6) of the discharge, see `FACTS` in `charge_map`."""
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


@compiled
def cell(grid, value):
    """Cell of an evenly or unevenly rising grid in which a value lies, and how far into it (0 to 1)."""
    n = grid.shape[0]
    if n == 1 or value <= grid[0]:
        return 0, 0.0
    if value >= grid[n - 1]:
        return n - 2, 1.0
    k = min(np.searchsorted(grid, value, side="right") - 1, n - 2)
    return k, (value - grid[k]) / (grid[k + 1] - grid[k])


@compiled
def even_cell(grid, value):
    """Cell of an evenly spaced grid in which a value lies, and how far into it (0 to 1)."""
    n = grid.shape[0]
    place = (value - grid[0]) / (grid[n - 1] - grid[0]) * (n - 1)
    place = min(max(place, 0.0), n - 1.0)
    k = min(int(place), n - 2)
    return k, place - k


@compiled
def between(table, g, wg, v, wv):
    """Value of a (leaks, nodes) table between four nodes."""
    low = table[g, v] + wv * (table[g, v + 1] - table[g, v])
    if wg == 0.0:
        return low
    high = table[g + 1, v] + wv * (table[g + 1, v + 1] - table[g + 1, v])
    return low + wg * (high - low)


@compiled
def add_between(table, phase, g, wg, v, wv, share, out):
    """Add `share` of a (leaks, nodes, phases, columns) table at one phase between four nodes."""
    for a in range(out.shape[0]):
        low = table[g, v, phase, a]
        low += wv * (table[g, v + 1, phase, a] - low)
        if wg != 0.0:
            high = table[g + 1, v, phase, a]
            high += wv * (table[g + 1, v + 1, phase, a] - high)
            low += wg * (high - low)
        out[a] += share * low


@compiled
def following(m, chart, g, wg, start, end):
    """Next chart and its coordinate."""
    edge0, edge1 = m.edges[chart, g, 0], m.edges[chart, g, 1]
    if wg != 0.0:
        edge0 += wg * (m.edges[chart, g + 1, 0] - edge0)
        edge1 += wg * (m.edges[chart, g + 1, 1] - edge1)
    tested = end if m.rule[chart] == BY_END else start
    which = 0 if tested < edge0 else (1 if tested < edge1 else 2)
    volts = start if m.keeps[chart, which] == 1 else end
    return volts, m.follows[chart, which]


@compiled
def advance(m, chart, volts, leak, out_energy):
    """Go through one stretch without a discharge: voltage coordinate after it, next chart, time taken.

    The energy under each heading is added to `out_energy`.
    """
    v, wv = even_cell(m.volts, volts)
    g, wg = cell(m.leaks, leak)
    add_between(m.energy[chart], m.gap_volts.shape[3] - 1, g, wg, v, wv, 1.0, out_energy)
    end = between(m.end[chart], g, wg, v, wv)
    after, chart_next = following(m, chart, g, wg, volts, end)
    return after, chart_next, between(m.time[chart], g, wg, v, wv)


@compiled
def phase_volts(m, chart, volts, leak, out):
    """Gap voltage at the equal phases of a stretch, from its start to its end."""
    v, wv = even_cell(m.volts, volts)
    g, wg = cell(m.leaks, leak)
    for j in range(out.shape[0]):
        out[j] = between(m.gap_volts[chart, :, :, j], g, wg, v, wv)


@compiled
def stretch_time(m, chart, volts, leak):
    """Duration of a stretch."""
    v, wv = even_cell(m.volts, volts)
    g, wg = cell(m.leaks, leak)
    return between(m.time[chart], g, wg, v, wv)


@compiled
def ignite(m, chart, volts, leak, phase, out_energy, out_facts):
    """Ignite at a phase (0 to 1) of a stretch: voltage coordinate at the next section, its chart, time taken.

    Energy from the start of the stretch to that section is added to
    `out_energy`; `out_facts` is overwritten.
    """
    v, wv = even_cell(m.volts, volts)
    g, wg = cell(m.leaks, leak)
    last = m.gap_volts.shape[3] - 1
    place = min(max(phase, 0.0), 1.0) * last
    j = min(int(place), last - 1)
    out_facts[:] = 0.0
    end = time = 0.0
    for step in range(2):
        share = place - j if step == 1 else 1.0 - (place - j)
        if share == 0.0:
            continue
        add_between(m.energy[chart], j + step, g, wg, v, wv, share, out_energy)
        add_between(m.spark_energy[chart], j + step, g, wg, v, wv, share, out_energy)
        add_between(m.spark_facts[chart], j + step, g, wg, v, wv, share, out_facts)
        end += share * between(m.spark_end[chart, :, :, j + step], g, wg, v, wv)
        time += share * between(m.spark_time[chart, :, :, j + step], g, wg, v, wv)
    time += min(max(phase, 0.0), 1.0) * between(m.time[chart], g, wg, v, wv)
    return end, m.spark_next[chart], time


@compiled
def stored_energy(m, chart, volts, leak):
    """Energy in store and coil at a section."""
    v, wv = even_cell(m.volts, volts)
    g, wg = cell(m.leaks, leak)
    return between(m.stored[chart], g, wg, v, wv)


@compiled
def volts_from_stored(m, chart, stored, guess):
    """Voltage coordinate near `guess` at which store and coil hold an energy.

    Where the energy does not rise with voltage (at and below zero) the guess
    is given back.
    """
    v, _ = even_cell(m.volts, guess)
    table = m.stored[chart, 0]
    n = table.shape[0]
    while v + 1 < n - 1 and stored > table[v + 1] and table[v + 1] > table[v]:
        v += 1
    while v > 0 and stored < table[v] and table[v] > table[v - 1] and m.volts[v - 1] > 0.0:
        v -= 1
    rise = table[v + 1] - table[v]
    if m.volts[v] <= 0.0 or rise <= 0.0:
        return guess
    return m.volts[v] + (m.volts[v + 1] - m.volts[v]) * (stored - table[v]) / rise


@compiled
def enter_short(m, chart, volts, out_energy):
    """Short the gap at a section: time after which the store has emptied.

    A short that lasts less is to be taken as lasting this long.
    """
    v, wv = even_cell(m.volts, volts)
    for a in range(out_energy.shape[0]):
        low = m.short_energy[chart, v, a]
        out_energy[a] += low + wv * (m.short_energy[chart, v + 1, a] - low)
    return m.short_time[0]


@compiled
def short_share(m, since, out_energy, share):
    """Add a share of the energy from the emptying of the store up to a time."""
    last = m.short_times.shape[0] - 1
    k, w = cell(m.short_times, since)
    beyond = max(0.0, since - m.short_times[last])
    for a in range(out_energy.shape[0]):
        low = m.short_course[k, a]
        low += w * (m.short_course[k + 1, a] - low)
        out_energy[a] += share * (low + beyond * m.short_power[a])


@compiled
def stay_short(m, since, until, out_energy):
    """Energy of a short between two times, both counted from the emptying of the store."""
    short_share(m, until, out_energy, 1.0)
    short_share(m, since, out_energy, -1.0)


@compiled
def leave_short(m, since, out_energy):
    """Open a short that has lasted `since` from the emptying of the store: voltage, chart, time to the next section."""
    k, w = cell(m.short_times, since)
    for a in range(out_energy.shape[0]):
        low = m.leave_energy[k, a]
        out_energy[a] += low + w * (m.leave_energy[k + 1, a] - low)
    volts = m.leave_volts[k] + w * (m.leave_volts[k + 1] - m.leave_volts[k])
    time = m.leave_time[k] + w * (m.leave_time[k + 1] - m.leave_time[k])
    return volts, 0, time
