"""Captures of the circuit engine are read as what the engine's meters say they are."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.capture.reading import understand
from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.score import COUNT_BUDGET, scored
from gapwright.capture.settings import ReadingSettings
from gapwright.capture.truth import Truth
from gapwright.circuit.control.control import NoControl
from gapwright.circuit.control.ignition import Chance
from gapwright.study.captures.synthetic_capture import MOST_SAMPLES, Scenery, generator_truth
from gapwright.study.generator.scenes import burning_on
from tests.made_captures import drawn
from tests.two_generators import relaxation

SCENERY = Scenery(duration=60e-3, rate=25e6, open_voltage=80.0)


@cache
def simulated() -> Truth:
    chance = Chance(
        rate=6e3, reference=60.0, exponent=5.0, zero_below=30.0, draws=drawn(11).exponential(size=4000)
    )
    return generator_truth(
        relaxation(off=1e6, lead_damper=1e3), NoControl(), ignition=chance, scenery=SCENERY
    )


def test_the_truth_is_that_of_the_meters() -> None:
    truth = simulated()
    burnt = float((truth.voltage.astype(float) * truth.current).sum()) / truth.rate
    assert len(truth.events) > 100
    assert burnt == pytest.approx(truth.energy, rel=0.01)


def test_a_reading_meets_the_simulation() -> None:
    truth = simulated()
    reading = understand(recorded(truth, Recorder(), rng=drawn(12)), ReadingSettings(open_voltage=80.0))
    score = scored(truth, reading.sparks)
    assert abs(score.count_error) <= max(COUNT_BUDGET, 1.0 / len(truth.events))
    assert abs(score.energy_error) < 0.01
    found = reading.sparks.charge_c.sum()
    assert found == pytest.approx(truth.events["charge"].sum(), rel=0.01)


def test_the_open_voltage_is_found_though_it_is_never_reached() -> None:
    reading = understand(recorded(simulated(), Recorder(), rng=drawn(13)))
    assert simulated().voltage.max() < 79.0
    assert reading.calibration.open_voltage.value == pytest.approx(80.0, rel=0.03)
    assert reading.calibration.time_constant is not None
    assert reading.calibration.time_constant.value == pytest.approx(220e-6, rel=0.05)


def test_what_cannot_be_captured_is_refused() -> None:
    with pytest.raises(InputRefused, match=f"at most {MOST_SAMPLES} samples"):
        replace(SCENERY, duration=10.0)
    gapless = burning_on(relaxation())
    with pytest.raises(InputRefused, match="must have a gap"):
        generator_truth(gapless, NoControl(), ignition=Chance(
            rate=1.0, reference=1.0, exponent=1.0, zero_below=1.0, draws=np.ones(1)
        ), scenery=SCENERY)  # fmt: skip
