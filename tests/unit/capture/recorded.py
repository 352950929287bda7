"""A small capture of capacitor sparks as an instrument would record it, with faults put in on request."""

import numpy as np

RATE = 50e6
PERIOD, WIDTH = 2000, 60
"""Samples from spark to spark and of one half sine of current."""
OPEN, BURNING, PEAK = 70.0, 24.0, 40.0


def sparks(count: int = 40, *, late: float = 0.0, noise: float = 0.0, seed: int = 0):
    """Gap voltage and current of `count` sparks; the current comes `late` samples later."""
    k = np.arange(count * PERIOD, dtype=float)
    within = k % PERIOD - PERIOD // 2
    volts = np.where(within < 0, OPEN, np.where(within < WIDTH, BURNING, OPEN * (1 - np.exp(-within / 300))))
    shifted = within - late
    flowing = (shifted >= 0) & (shifted < WIDTH)
    amperes = np.where(flowing, PEAK * np.sin(np.pi * shifted / WIDTH), 0.0)
    draws = np.random.default_rng(seed).normal(0, 1, (2, k.size)) * noise
    return (volts + draws[0]).astype(np.float32), (amperes + draws[1]).astype(np.float32)
