"""Kernel: discharges in a charge map, between its nodes."""

from gapwright.base.compiled import compiled_in_place, compiled_within
from gapwright.circuit.map._grid_kernel import add_scaled, between, leak_weights
from gapwright.circuit.map._map_kernel import add_stretch, length_share, phase_cell, stretch_cell
from gapwright.circuit.map._section_kernel import STANDING

DURATION = 2  # place of a discharge's duration among its facts


@compiled_in_place
def add_facts(facts, share, out_facts):
    """Add a node's facts; the duration of one that stands is left out. Returns the share that stands."""
    lasted = out_facts[DURATION]
    add_scaled(facts, share, out_facts[:6])
    if facts[DURATION] < STANDING:
        return 0.0
    out_facts[DURATION] = lasted
    return share


@compiled_in_place
def settle_duration(stood, out_facts):
    """A discharge stands where most of its nodes do; else it lasts as long as in those that do not."""
    out_facts[DURATION] = STANDING if stood > 0.5 else out_facts[DURATION] / (1.0 - stood)


@compiled_in_place
def likeliest(m, chart, g, wa, wb, wc, v, wv, j, wj):
    """Chart that most of the nodes around come to after a discharge, and their share."""
    best, most = 0, 0.0
    for c in range(m.rule.shape[0]):
        total = 0.0
        for k, w in ((0, wa), (1, wb), (2, wc)):
            for dv, x in ((0, 1.0 - wv), (1, wv)):
                for dj, y in ((0, 1.0 - wj), (1, wj)):
                    if m.spark_chart[chart, g + k, v + dv, j + dj, 0] == c:
                        total += w * x * y
        if total > most:
            best, most = c, total
    return best, most


@compiled_in_place
def add_mixed(m, chart, g, wa, wb, wc, v, wv, j, wj, time, out_energy, out_facts):
    """Rest of a discharge whose nodes come to different charts: those tell that come to the commonest."""
    after, whole = likeliest(m, chart, g, wa, wb, wc, v, wv, j, wj)
    most, end, stood = 0.0, 0.0, 0.0
    for told in range(2):
        for k, w in ((0, wa), (1, wb), (2, wc)):
            for dv, x in ((0, 1.0 - wv), (1, wv)):
                for dj, y in ((0, 1.0 - wj), (1, wj)):
                    share = w * x * y / whole
                    if share == 0.0 or m.spark_chart[chart, g + k, v + dv, j + dj, 0] != after:
                        continue
                    times = m.spark_time[chart, g + k, v + dv, j + dj]
                    if told == 0:
                        most = max(most, times[0])
                        continue
                    step = 1 if abs(times[1] - most) < abs(times[0] - most) else 0
                    add_scaled(m.spark_energy[chart, g + k, v + dv, j + dj, step], share, out_energy)
                    stood += add_facts(m.spark_facts[chart, g + k, v + dv, j + dj], share, out_facts)
                    if out_facts.shape[0] > 6:
                        add_scaled(m.spark_return[chart, g + k, v + dv, j + dj, step], share, out_facts[6:])
                    end += share * m.spark_end[chart, g + k, v + dv, j + dj, step]
                    time += share * times[step]
    settle_duration(stood, out_facts)
    return end, after, time


@compiled_within
def latest(m, chart, g, wa, wb, wc, v, wv, j, wj):
    """Latest first section after a discharge, of all nodes that take part."""
    times = m.spark_time[chart]
    most = 0.0
    for k, w in ((0, wa), (1, wb), (2, wc)):
        for dv, x in ((0, 1.0 - wv), (1, wv)):
            for dj, y in ((0, 1.0 - wj), (1, wj)):
                if w != 0.0 and x != 0.0 and y != 0.0:
                    most = max(most, times[g + k, v + dv, j + dj, 0])
    return most


@compiled_within
def ignite(m, chart, volts, leak, phase, out_energy, out_facts):
    """Ignite at a phase (0 to 1) of a stretch: voltage coordinate at the next section, its chart, time taken.

    Energy from the start of the stretch to that section is added to
    `out_energy`; `out_facts` is overwritten. Where some of the nodes around
    reach a section one opening of the switch earlier than others, their
    second section is taken, so that all tell of the same one; where they come
    to different charts, those of the commonest tell. Behind the six
    facts of the discharge `out_facts` holds the time from the recovery of the
    gap to the section, and the gap voltages at equal times in it: what could
    have ignited the gap on the way back is to be added to the next stretch.
    """
    v, wv = stretch_cell(m, chart, volts, leak)
    g, wa, wb, wc = leak_weights(m.leaks, leak)
    share = length_share(m, chart, volts, leak, g, wa, wb, wc, v, wv)
    phase = min(max(phase, 0.0), 1.0) * share
    j, wj = phase_cell(m, phase)
    add_stretch(m.energy[chart], j, g, wa, wb, wc, v, wv, 1.0 - wj, out_energy)
    add_stretch(m.energy[chart], j + 1, g, wa, wb, wc, v, wv, wj, out_energy)
    time = phase * between(m.time[chart], g, wa, wb, wc, v, wv)
    g, wa, wb, wc = leak_weights(m.spark_leaks, leak)
    out_facts[:] = 0.0
    if m.spark_next[chart] < 0:
        return add_mixed(m, chart, g, wa, wb, wc, v, wv, j, wj, time, out_energy, out_facts)
    most = latest(m, chart, g, wa, wb, wc, v, wv, j, wj)
    end, stood = 0.0, 0.0
    for k, w in ((0, wa), (1, wb), (2, wc)):
        for dv, x in ((0, 1.0 - wv), (1, wv)):
            for dj, y in ((0, 1.0 - wj), (1, wj)):
                share = w * x * y
                if share == 0.0:
                    continue
                times = m.spark_time[chart, g + k, v + dv, j + dj]
                step = 1 if abs(times[1] - most) < abs(times[0] - most) else 0
                add_scaled(m.spark_energy[chart, g + k, v + dv, j + dj, step], share, out_energy)
                stood += add_facts(m.spark_facts[chart, g + k, v + dv, j + dj], share, out_facts)
                if out_facts.shape[0] > 6:
                    add_scaled(m.spark_return[chart, g + k, v + dv, j + dj, step], share, out_facts[6:])
                end += share * m.spark_end[chart, g + k, v + dv, j + dj, step]
                time += share * m.spark_time[chart, g + k, v + dv, j + dj, step]
    settle_duration(stood, out_facts)
    return end, m.spark_next[chart], time
