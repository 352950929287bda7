"""Budgets on generators and noise that were not looked at while thresholds were chosen."""

import numpy as np
import pytest

from gapwright.capture.classify import NORMAL
from gapwright.capture.reading import understand
from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.score import scored
from gapwright.capture.truth import Truth
from gapwright.capture.truth_pulses import PulseCourse, pulse_truth
from gapwright.capture.truth_relaxation import CapacitorCourse, capacitor_truth
from tests.made_captures import drawn

WATER = CapacitorCourse(
    open_voltage=120.0, burning_voltage=25.0, burning_spread=0.05, capacitance=0.22e-6, time_constant=70e-6,
    spark_time=3.5e-6, swing=0.3, ripple=1.5, spread=(1.6, 1.3),
    shares={"spark": 0.8, "arc": 0.1, "burst": 0.012, "short": 0.05, "open": 0.04},
)  # fmt: skip
SLOW_PUMP = CapacitorCourse(
    open_voltage=62.0, burning_voltage=18.0, capacitance=10e-6, time_constant=900e-6, pump=True,
    spark_time=60e-6, shape="decay", swing=0.1, spread=(3.0, 0.8),
)  # fmt: skip
FINE_PULSES = PulseCourse(
    open_voltage=200.0, burning_voltage=25.0, on_time=15e-6, off_time=9e-6, current=3.5, rise=0.4e-6,
    mean_delay=4e-6, formative=1.1e-6, ripple=3.0, quiet_ripple=0.3, arc_sag=0.2, short_voltage=3.0,
    shares={"pulse": 0.8, "arc": 0.08, "burst": 0.01, "short": 0.06},
)  # fmt: skip
LONG_PULSES = PulseCourse(
    open_voltage=80.0, burning_voltage=21.0, on_time=250e-6, off_time=50e-6, current=12.0, rise=2e-6,
    mean_delay=70e-6, formative=3e-6, ripple=1.0, quiet_ripple=0.05, arc_sag=0.12,
)  # fmt: skip

HELD_OUT: dict[str, tuple[CapacitorCourse | PulseCourse, float, Recorder]] = {
    "water": (WATER, 40e6, Recorder(heavy_tails=True, bits=12)),
    "slow pump": (SLOW_PUMP, 2e6, Recorder(bits=8, bandwidth=0.8e6)),
    "fine pulses": (FINE_PULSES, 25e6, Recorder(heavy_tails=True, bandwidth=10e6)),
    "long pulses": (LONG_PULSES, 5e6, Recorder(bits=10, skew=0.2e-6)),
}


def made(name: str) -> tuple[Truth, Recorder]:
    course, rate, recorder = HELD_OUT[name]
    if isinstance(course, PulseCourse):
        return pulse_truth(course, count=2000, rate=rate, rng=drawn(201)), recorder
    return capacitor_truth(course, count=1500, rate=rate, rng=drawn(202)), recorder


@pytest.mark.parametrize("name", list(HELD_OUT))
def test_budgets_are_met(name: str) -> None:
    truth, recorder = made(name)
    score = scored(truth, understand(recorded(truth, recorder, rng=drawn(103))).sparks)
    assert not score.breaches(), "\n".join(score.breaches())


@pytest.mark.parametrize(
    "faults",
    [
        Recorder(ringing=0.05, ringing_frequency=5e6, bits=12),
        Recorder(drift=0.001, hum=0.001),
        Recorder(skew=0.5e-7, bandwidth=15e6, heavy_tails=True),
    ],
    ids=["ringing", "drift and hum", "skew and bandwidth"],
)
def test_budgets_hold_with_faults(faults: Recorder) -> None:
    truth = capacitor_truth(WATER, count=3000, rate=20e6, rng=drawn(203))
    score = scored(truth, understand(recorded(truth, faults, rng=drawn(105))).sparks)
    assert not score.breaches(), "\n".join(score.breaches())


def test_dropouts_lose_what_fell_into_them_and_no_more() -> None:
    truth, _ = made("water")
    whole = understand(recorded(truth, Recorder(), rng=drawn(106))).sparks
    capture = recorded(truth, Recorder(dropouts=8), rng=drawn(106))
    assert capture.segments.starts.size == 9
    found = understand(capture).sparks
    assert 0.985 < found.count / whole.count < 1.005
    assert found.energy_j.sum() == pytest.approx(whole.energy_j.sum(), rel=0.015)
    # What began outside the gaps is found where it was: counted in time, not in samples.
    near = np.abs(found.start_s[:, None] - whole.start_s[None, :]).min(axis=1)
    assert np.quantile(near, 0.98) < 3.0 / truth.rate


def test_more_noise_is_graceful() -> None:
    truth, _ = made("water")
    reading = understand(recorded(truth, Recorder(noise=0.04), rng=drawn(104)))
    score = scored(truth, reading.sparks)
    # At 4 % noise the arcs, of a fifteenth of the greatest peak, vanish; the reading says so.
    assert score.right(NORMAL) > 0.9
    assert abs(score.energy_error) < 0.1
    assert any("noise hides currents below" in note for note in reading.notes)
    calm = understand(recorded(truth, Recorder(noise=0.002), rng=drawn(104)))
    assert reading.sparks.confidence.mean() < calm.sparks.confidence.mean()
