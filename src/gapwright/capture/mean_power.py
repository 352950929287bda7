"""Mean power of a capture of voltage and current, with what its scatter leaves unsure."""

from itertools import pairwise

import numpy as np

from gapwright.capture.waveform import Capture

BLOCKS = 32
"""Stretches of equal length whose means tell the scatter: neighbours are alike, such stretches are not."""
AT_ONCE = 1 << 20


def mean_power(capture: Capture) -> tuple[float, float]:
    """Mean of voltage times current in watts, and its standard uncertainty from scatter alone.

    The uncertainty is the standard deviation of the mean, from the means of
    stretches; 0 where there are fewer samples than stretches.
    """
    borders = np.linspace(0, capture.count, min(BLOCKS, capture.count) + 1).astype(int)
    sums = np.array([_summed(capture, int(a), int(b)) for a, b in pairwise(borders)])
    mean = float(sums.sum()) / capture.count
    if capture.count < BLOCKS:
        return mean, 0.0
    means = sums / np.diff(borders)
    return mean, float(means.std(ddof=1) / np.sqrt(BLOCKS))


def _summed(capture: Capture, start: int, stop: int) -> float:
    """Sum of voltage times current over some samples, a stretch at a time."""
    total = 0.0
    for first in range(start, stop, AT_ONCE):
        last = min(first + AT_ONCE, stop)
        volts, amperes = capture.volts(first, last), capture.amperes(first, last)
        total += float(np.sum(volts.astype(np.float64) * amperes))
    return total
