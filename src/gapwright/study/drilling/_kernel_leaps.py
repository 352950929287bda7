"""Kernel: leaps over many stretches of a charge map at once, where nothing happens in them.

A stretch that leads back to its own chart can be put together with the one
after it; two such leaps make the next longer one. What a leap takes, gives and
exposes the gap to is kept for every node of the map, so that a quiet time of
sixty-four stretches costs as much as one. Where another chart would follow, a
stretch would be cut off, or the gap may ignite, no leap is made. All numbers in SI units.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place, compiled_within
from gapwright.circuit.map._grid_kernel import even_cell, leak_weights
from gapwright.circuit.map._map_kernel import MapArrays, following, length_share
from gapwright.study.grounds._drilling_state import Array, Marks

LEVELS = 7  # of 1, 2, 4 and so on to 64 stretches
L_TIME, L_END, L_EXPOSURE, L_VOLTS, L_READY, L_ENERGY = range(6)


@compiled_in_place
def fill_leaps(
    m: MapArrays, exposure: Array, volt_time: Array, ready_time: Array, table: Array, goes: Marks
) -> None:
    """Fill in what every leap does and where one may be made.

    `table` is (charts, levels, leaks, nodes, 5 + meters), `goes` (charts, levels, leaks, nodes);
    the phase tables are (charts, leaks, nodes, phases).
    """
    charts, leaks, nodes, phases = m.gap_volts.shape
    for c in range(charts):
        for g in range(leaks):
            for v in range(nodes):
                row = table[c, 0, g, v]
                row[L_TIME], row[L_END] = m.time[c, g, v], m.end[c, g, v]
                row[L_EXPOSURE] = exposure[c, g, v, phases - 1]
                row[L_VOLTS] = volt_time[c, g, v, phases - 1]
                row[L_READY] = ready_time[c, g, v, phases - 1]
                for k in range(m.energy.shape[4]):
                    row[L_ENERGY + k] = m.energy[c, g, v, phases - 1, k]
                goes[c, 0, g, v] = _stays(m, c, g, v)
            for level in range(1, LEVELS):
                for v in range(nodes):
                    _put_together(
                        m.volts, table[c, level - 1, g], goes[c, level - 1, g], v,
                        table[c, level, g], goes[c, level, g],
                    )  # fmt: skip


@compiled_in_place
def _stays(m: MapArrays, chart: int, g: int, v: int) -> int:
    """1 if a stretch from a node leads whole back to its own chart."""
    volts, leak = m.volts[v], m.leaks[g]
    at, wa, wb, wc = leak_weights(m.leaks, leak)
    k, wk = even_cell(m.volts, volts)
    if length_share(m, chart, volts, leak, at, wa, wb, wc, k, wk) < 1.0:
        return 0
    end = m.end[chart, g, v]
    after, chart_next = following(m, chart, leak, volts, end)
    return 1 if chart_next == chart and after == end else 0


@compiled_in_place
def _put_together(volts: Array, lower: Array, goes: Marks, v: int, upper: Array, goes_on: Marks) -> None:
    """A leap from node `v`, of two of the next shorter kind."""
    end = lower[v, L_END]
    k, w = even_cell(volts, end)
    goes_on[v] = goes[v] * goes[k] * goes[k + 1]
    for a in range(lower.shape[1]):
        upper[v, a] = lower[v, a] + lower[k, a] + w * (lower[k + 1, a] - lower[k, a])
    upper[v, L_END] -= end


@compiled_within
def _column(table: Array, g: int, wa: float, wb: float, wc: float, v: int, wv: float, a: int) -> float:
    """One column of a (leaks, nodes, columns) table between its nodes."""
    total = wa * (table[g, v, a] + wv * (table[g, v + 1, a] - table[g, v, a]))
    if wb != 0.0:
        total += wb * (table[g + 1, v, a] + wv * (table[g + 1, v + 1, a] - table[g + 1, v, a]))
        total += wc * (table[g + 2, v, a] + wv * (table[g + 2, v + 1, a] - table[g + 2, v, a]))
    return total


@compiled_within
def _may(goes: Marks, g: int, wb: float, v: int) -> bool:
    """Whether a leap may be made from all nodes around."""
    if goes[g, v] == 0 or goes[g, v + 1] == 0:
        return False
    if wb == 0.0:
        return True
    return bool(goes[g + 1, v] * goes[g + 1, v + 1] * goes[g + 2, v] * goes[g + 2, v + 1] != 0)


@compiled_within
def leap(
    m: MapArrays,
    table: Array,
    goes: Marks,
    chart: int,
    volts: float,
    leak: float,
    room: float,
    left: float,
    full: float,
    level: int,
    out_energy: Array,
) -> tuple[int, float, float, float, float, float]:
    """Make the longest leap of at most `level` that fits.

    One fits if its exposure stays below `room` and its time within `left`, and if it does not
    cross the voltage `full`; a single stretch need only keep the first of these. Returns
    (level, time, end, exposure, integral of the gap voltage, time fit to ignite); the level is
    -1 if none fits. The energy under each heading is added to `out_energy`.
    """
    g, wa, wb, wc = leak_weights(m.leaks, leak)
    v, wv = even_cell(m.volts, volts)
    while level >= 0:
        if _may(goes[chart, level], g, wb, v):
            t = table[chart, level]
            spent = _column(t, g, wa, wb, wc, v, wv, L_EXPOSURE)
            time = _column(t, g, wa, wb, wc, v, wv, L_TIME)
            end = _column(t, g, wa, wb, wc, v, wv, L_END)
            if spent < room and (level == 0 or (time <= left and (volts > full) == (end > full))):
                _add_rows(t, g, wa, wb, wc, v, wv, out_energy)
                mean = _column(t, g, wa, wb, wc, v, wv, L_VOLTS)
                ready = _column(t, g, wa, wb, wc, v, wv, L_READY)
                return level, time, end, spent, mean, ready
        level -= 1
    return -1, 0.0, 0.0, 0.0, 0.0, 0.0


@compiled_within
def _add_rows(table: Array, g: int, wa: float, wb: float, wc: float, v: int, wv: float, out: Array) -> None:
    """Add a leap's energies between the nodes."""
    for k, w in ((0, wa), (1, wb), (2, wc)):
        if w != 0.0:
            low, high = table[g + k, v], table[g + k, v + 1]
            for a in range(out.shape[0]):
                out[a] += w * (low[L_ENERGY + a] + wv * (high[L_ENERGY + a] - low[L_ENERGY + a]))


def leap_rooms(m: MapArrays) -> tuple[Array, Marks]:
    """Empty tables of a map's leaps, for `fill_leaps`."""
    charts, leaks, nodes, _ = m.gap_volts.shape
    columns = L_ENERGY + m.energy.shape[4]
    goes = np.zeros((charts, LEVELS, leaks, nodes), dtype=np.int8)
    return np.zeros((charts, LEVELS, leaks, nodes, columns)), goes
