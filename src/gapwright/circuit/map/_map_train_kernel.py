"""Kernel: pulses that come in trains: the rests between them."""

from gapwright.base.compiled import compiled_in_place, compiled_within
from gapwright.circuit.map._grid_kernel import between, leak_weights
from gapwright.circuit.map._map_kernel import add_stretch, phase_cell, stretch_cell

RUN, REST, GATE, RESTING = range(4)
NOTHING = 1e-9
"""Rest that is none but rounding. [s]"""


@compiled_within
def rest_left(m, chart, clock):
    """Time for which a train still rests at a section, by the generator's clock; 0 if none does [s]."""
    if m.train[RUN] <= 0.0 or chart != m.train[GATE]:
        return 0.0
    period = m.train[RUN] + m.train[REST]
    into = clock % period
    left = period - into
    return left if into >= m.train[RUN] and left > NOTHING else 0.0


@compiled_in_place
def rest(m, volts, leak, most, out_energy):
    """Rest for one slice, or `most` if that is less: store voltage after it, time taken."""
    chart = int(m.train[RESTING])
    v, wv = stretch_cell(m, chart, volts, leak)
    g, wa, wb, wc = leak_weights(m.leaks, leak)
    length = between(m.time[chart], g, wa, wb, wc, v, wv)
    share = min(1.0, most / length)
    j, wj = phase_cell(m, share)
    add_stretch(m.energy[chart], j, g, wa, wb, wc, v, wv, 1.0 - wj, out_energy)
    add_stretch(m.energy[chart], j + 1, g, wa, wb, wc, v, wv, wj, out_energy)
    end = between(m.end[chart], g, wa, wb, wc, v, wv)
    return volts + share * (end - volts), share * length
