"""Kernel: shorts in a charge map: into one, through it, and out again."""

from gapwright.base.compiled import compiled_in_place
from gapwright.circuit.map._grid_kernel import cell, even_cell


@compiled_in_place
def enter_short(m, chart, volts, out_energy):
    """Short the gap at a section: time after which the store has emptied.

    A short that lasts less is to be taken as lasting this long.
    """
    v, wv = even_cell(m.volts, volts)
    for a in range(out_energy.shape[0]):
        low = m.short_energy[chart, v, a]
        out_energy[a] += low + wv * (m.short_energy[chart, v + 1, a] - low)
    return m.short_time[0]


@compiled_in_place
def short_share(m, since, out_energy, share):
    """Add a share of the energy from the emptying of the store up to a time."""
    last = m.short_times.shape[0] - 1
    k, w = cell(m.short_times, since)
    beyond = max(0.0, since - m.short_times[last])
    for a in range(out_energy.shape[0]):
        low = m.short_course[k, a]
        low += w * (m.short_course[k + 1, a] - low)
        out_energy[a] += share * (low + beyond * m.short_power[a])


@compiled_in_place
def stay_short(m, since, until, out_energy):
    """Energy of a short between two times, both counted from the emptying of the store."""
    short_share(m, until, out_energy, 1.0)
    short_share(m, since, out_energy, -1.0)


@compiled_in_place
def leave_short(m, since, out_energy):
    """Open a short that has lasted `since` from the emptying of the store: voltage, chart, time to the next section."""
    k, w = cell(m.short_times, since)
    if m.leave_chart[k] != m.leave_chart[k + 1]:
        w = 0.0 if w < 0.5 else 1.0
    for a in range(out_energy.shape[0]):
        low = m.leave_energy[k, a]
        out_energy[a] += low + w * (m.leave_energy[k + 1, a] - low)
    volts = m.leave_volts[k] + w * (m.leave_volts[k + 1] - m.leave_volts[k])
    time = m.leave_time[k] + w * (m.leave_time[k + 1] - m.leave_time[k])
    return volts, m.leave_chart[k if w < 0.5 else k + 1], time
