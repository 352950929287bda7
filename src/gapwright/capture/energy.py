"""Volts, amperes, coulombs and joules of discharges, from sums of codes."""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import uniform_filter1d

from gapwright.base.units import Amperes, Number, Volts
from gapwright.capture import _rows_kernel as k
from gapwright.capture.classify import Codes, Numbers
from gapwright.capture.segment import Rows
from gapwright.capture.waveform import Capture, upright

SUMMED_AGAIN, LONGEST_AGAIN, AROUND = 256, 1 << 16, 8
"""Discharges, their samples at most, and samples around them that tell what a skew does to the energy."""
NEIGHBOURS, CALM_ENOUGH = 33, 4.0
"""Discharges whose waits tell the zero line together, and samples of each on average that are enough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scales:
    """What a code means in upright samples."""

    voltage: Number
    voltage_offset: Volts
    current: Number
    current_offset: Amperes
    """Offset less the zero line of the current: what is left at no current is zero."""
    rate: float


def scales_of(capture: Capture, zero: float) -> Scales:
    """Scales of a capture whose current has its zero line at `zero`.

    Parameters
    ----------
    capture
        Samples with their meaning; without a current its scale is 0.
    zero
        What the recorder shows at no current, in amperes.
    """
    _, v, v0 = upright(capture.voltage[:1], capture.voltage_scale, capture.voltage_offset)
    i, i0 = 0.0, 0.0
    if capture.current is not None:
        _, i, i0 = upright(capture.current[:1], capture.current_scale, capture.current_offset)
    return Scales(voltage=v, voltage_offset=v0, current=i, current_offset=i0 - zero, rate=capture.rate)


def volts_of(codes: Numbers, scales: Scales) -> Numbers:
    """Volts of mean codes."""
    return codes * scales.voltage + scales.voltage_offset


def zero_lines(rows: Rows, scales: Scales) -> Numbers:
    """Current in amperes that the recorder shows at none, near each row: it may drift and hum.

    It is the mean of the current just before some discharges in a row, as many
    samples before each as there were.
    """
    count = uniform_filter1d(rows.sums[:, k.S_CALM], NEIGHBOURS, mode="nearest")
    total = uniform_filter1d(rows.sums[:, k.S_ZERO], NEIGHBOURS, mode="nearest")
    mean = np.divide(total, count, out=np.full(rows.count, np.nan), where=count >= CALM_ENOUGH)
    answer: Numbers = np.where(np.isnan(mean), 0.0, mean * scales.current + scales.current_offset)
    return answer


def charges(rows: Rows, scales: Scales, zero: Numbers) -> Numbers:
    """Coulombs of each row, tails under the threshold included."""
    samples = rows.marks[:, k.M_STOP] - rows.marks[:, k.M_FIRST]
    total = scales.current * rows.sums[:, k.S_I] + (scales.current_offset - zero) * samples
    answer: Numbers = total / scales.rate
    return answer


def energies(rows: Rows, scales: Scales, zero: Numbers) -> Numbers:
    """Joules that went into the gap in each row, from sums of codes and of their products."""
    samples = rows.marks[:, k.M_STOP] - rows.marks[:, k.M_FIRST]
    v, v0, i, i0 = scales.voltage, scales.voltage_offset, scales.current, scales.current_offset - zero
    total = (
        v * i * rows.sums[:, k.S_VI]
        + v * i0 * rows.sums[:, k.S_V]
        + v0 * i * rows.sums[:, k.S_I]
        + v0 * i0 * samples
    )
    answer: Numbers = total / scales.rate
    return answer


def skew_effect(capture: Capture, zero: float, *, starts: Codes, ends: Codes) -> float:
    """Share by which the energy changes with the skew that is left: its rest, and its uncertainty.

    Some discharges are summed again with the current one sample earlier and
    one later; between whole samples the energy goes in a straight line.

    Parameters
    ----------
    capture
        Samples, and the skew that is left in them.
    zero
        What the recorder shows at no current, in amperes.
    starts, ends
        First sample of each discharge, and the one after its last.
    """
    left = float(np.hypot(capture.skew, capture.skew_uncertainty)) * capture.rate
    if capture.current is None or left == 0.0 or not starts.size:
        return 0.0
    some = np.unique(np.linspace(0, starts.size - 1, SUMMED_AGAIN).astype(int))
    shifted = np.zeros(3)
    for first, end in zip(starts[some], np.minimum(ends[some], starts[some] + LONGEST_AGAIN), strict=True):
        low, high = max(int(first) - AROUND, 1), min(int(end) + AROUND, capture.count - 1)
        volts = capture.volts(low, high).astype(np.float64)
        amperes = capture.amperes(low - 1, high + 1).astype(np.float64) - zero
        shifted += [float(volts @ amperes[k : k + volts.size]) for k in range(3)]
    change = float(np.max(np.abs(shifted[[0, 2]] - shifted[1])))
    return left * change / abs(float(shifted[1])) if shifted[1] else 0.0


def store_charges(before: Numbers, after: Numbers, capacitance: float) -> Numbers:
    """Coulombs that a store gave between two voltages of the gap.

    Parameters
    ----------
    before
        Voltages before the discharges, in volts.
    after
        Voltages after them, in volts.
    capacitance
        Of the store, in farads.
    """
    return capacitance * (before - after)


def store_energies(before: Numbers, after: Numbers, capacitance: float) -> Numbers:
    """Joules that a store gave between two voltages; the leads' share is in it.

    Parameters
    ----------
    before
        Voltages before the discharges, in volts.
    after
        Voltages after them, in volts.
    capacitance
        Of the store, in farads.
    """
    answer: Numbers = 0.5 * capacitance * (before**2 - after**2)
    return answer
