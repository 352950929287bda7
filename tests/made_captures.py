"""Captures with known answers that several tests share: generators and recorders, by name."""

from functools import cache

import numpy as np

from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.truth import Truth
from gapwright.capture.truth_pulses import PulseCourse, pulse_truth
from gapwright.capture.truth_relaxation import CapacitorCourse, capacitor_truth
from gapwright.capture.waveform import Capture

CAPACITORS = {
    "resistor": (CapacitorCourse(), 10e6),
    "pump": (
        CapacitorCourse(pump=True, shape="decay", open_voltage=70.0, time_constant=60e-6, spark_time=16e-6),
        10e6,
    ),
}
PULSES = {"pulses": (PulseCourse(), 10e6)}
RECORDERS = {
    "float": Recorder(),
    "twelve bits": Recorder(bits=12, bandwidth=4e6, skew=1e-7),
    "eight bits": Recorder(bits=8),
}
"""All at 1 % noise."""


def drawn(key: int) -> np.random.Generator:
    """Randomness by key."""
    return np.random.Generator(np.random.Philox(key))


@cache
def truth(name: str, count: int = 1500, key: int = 1) -> Truth:
    """Truth of a generator by its name."""
    if name in PULSES:
        course, rate = PULSES[name]
        return pulse_truth(course, count=count, rate=rate, rng=drawn(key))
    capacitor, rate = CAPACITORS[name]
    return capacitor_truth(capacitor, count=count, rate=rate, rng=drawn(key))


def captured(name: str, recorder: str = "float", **how: int) -> Capture:
    """Capture of a generator by a recorder."""
    return recorded(truth(name, **how), RECORDERS[recorder], rng=drawn(2))
