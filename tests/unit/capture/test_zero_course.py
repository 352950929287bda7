"""Drift and hum of both zeros are found, taken out and told; where they cannot be told, that is said."""

from typing import Any

import numpy as np
import pytest

from gapwright.capture.drift import Mark, told_drift, told_hum
from gapwright.capture.reading import CaptureReading, understand
from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.recording import Channel, Recording
from gapwright.capture.scaling import Hooked, Hookup, hooked
from gapwright.capture.score import ENERGY_BUDGET, scored
from gapwright.capture.truth import Truth
from gapwright.capture.truth_pulses import pulse_truth
from gapwright.capture.truth_relaxation import capacitor_truth
from gapwright.capture.waveform import Capture
from tests.made_captures import drawn, truth
from tests.unit.capture.test_held_out import FINE_PULSES, HELD_OUT, made

OF_SHARES = 2.0
"""Times the told uncertainty that an error may be beside the budget."""


def through_hookup(capture: Capture, **hookup: Any) -> Hooked:
    """A capture as it comes from a file: both zeros are looked for."""
    assert capture.current is not None
    channels = (
        Channel(name="u", unit="V", codes=capture.voltage, scale=capture.voltage_scale),
        Channel(name="i", unit="A", codes=capture.current, scale=capture.current_scale),
    )
    recording = Recording(channels=channels, rate=capture.rate, segments=capture.segments, form="made")
    return hooked(recording, Hookup(**hookup))


def read(true: Truth, recorder: Recorder, **hookup: Any) -> CaptureReading:
    return understand(through_hookup(recorded(true, recorder, rng=drawn(105)), **hookup).capture)


def slope(true: Truth, share: float) -> float:
    """Volts a second of a drift by a share of the span over the whole capture."""
    return share * float(np.abs(true.voltage).max()) * true.rate / true.voltage.size


@pytest.mark.parametrize("share", [0.01, -0.01, 0.05])
@pytest.mark.parametrize("name", list(HELD_OUT))
def test_a_drift_is_found_and_taken_out(name: str, share: float) -> None:
    true, _ = made(name)
    found = read(true, Recorder(drift=share))
    drift = found.voltage_drift
    assert drift is not None
    assert drift.from_ == "capture"
    assert abs(drift.value - slope(true, share)) < 4.0 * drift.uncertainty
    score = scored(true, found.sparks)
    assert abs(score.energy_error) < ENERGY_BUDGET + OF_SHARES * found.zero_share
    assert abs(score.count_error) < 0.001
    assert found.zero_share < 0.005
    assert any("the voltage's zero drifts by" in note and "taken out" in note for note in found.notes)


@pytest.mark.parametrize("name", ["water", "fine pulses", "long pulses"])
def test_hum_is_found_and_taken_out(name: str) -> None:
    true, _ = made(name)
    found = read(true, Recorder(hum=0.01))
    assert any("the voltage's zero hums by" in note and "at 50 Hz" in note for note in found.notes)
    score = scored(true, found.sparks)
    assert abs(score.energy_error) < ENERGY_BUDGET
    calm = read(true, Recorder())
    assert not any("hums" in note for note in calm.notes)


@pytest.mark.parametrize("name", ["water", "fine pulses", "slow pump"])
def test_without_a_drift_none_is_found(name: str) -> None:
    true, _ = made(name)
    found = read(true, Recorder())
    assert found.voltage_drift is not None
    assert found.voltage_drift.value == 0.0
    assert found.voltage_drift.uncertainty > 0.0
    assert not any("zero drifts" in note for note in found.notes)


@pytest.mark.parametrize("key", range(3))
def test_too_short_a_capture_says_how_much_the_energy_may_be_off(key: int) -> None:
    true = pulse_truth(FINE_PULSES, count=500, rate=25e6, rng=drawn(300 + key))
    for recorder in (Recorder(hum=0.01), Recorder(drift=0.01)):
        found = read(true, recorder)
        error = abs(scored(true, found.sparks).energy_error)
        assert error > ENERGY_BUDGET
        assert error < ENERGY_BUDGET + found.zero_share
        assert any("does not tell hum of the mains from a drift" in note for note in found.notes)


def test_the_zero_between_pulses_is_found_when_asked() -> None:
    true = pulse_truth(FINE_PULSES, count=500, rate=25e6, rng=drawn(301))
    made_of = through_hookup(recorded(true, Recorder(drift=0.01), rng=drawn(105)), voltage_zero="find")
    assert made_of.voltage_zero is not None
    assert made_of.capture.voltage_drift == pytest.approx(slope(true, 0.01), rel=0.2)
    score = scored(true, understand(made_of.capture).sparks)
    assert abs(score.energy_error) < 0.01


def test_a_drift_that_is_given_is_taken_out_and_not_sought() -> None:
    true, _ = made("water")
    found = read(true, Recorder(drift=0.02), voltage_drift=slope(true, 0.02))
    assert found.voltage_drift is not None
    assert found.voltage_drift.from_ == "given"
    assert abs(scored(true, found.sparks).energy_error) < ENERGY_BUDGET
    left = read(true, Recorder(drift=0.02), voltage_drift=0.0)
    assert scored(true, left.sparks).energy_error > 0.02


def test_a_drift_of_the_current_does_not_hide_sparks() -> None:
    true = truth("pump")
    made_of = through_hookup(recorded(true, Recorder(drift=0.05), rng=drawn(105)))
    assert made_of.zero is not None
    span = true.voltage.size / true.rate
    assert made_of.zero.drift == pytest.approx(0.05 * float(true.current.max()) / span, rel=0.02)
    assert abs(made_of.zero.drift * span / float(true.current.max()) - 0.05) < 1e-3
    assert made_of.zero.drift_uncertainty > 0.0
    drifting, still = understand(made_of.capture), read(true, Recorder())
    assert drifting.calibration.edges.on == pytest.approx(still.calibration.edges.on, rel=0.02)
    assert drifting.sparks.count == pytest.approx(still.sparks.count, rel=0.002)
    left = read(true, Recorder(drift=0.05), current_drift=0.0)
    assert left.calibration.edges.on > 1.5 * still.calibration.edges.on


def test_two_threads_agree_on_a_drifting_capture() -> None:
    true = capacitor_truth(HELD_OUT["water"][0], count=1500, rate=40e6, rng=drawn(202))
    capture = through_hookup(recorded(true, Recorder(drift=0.03), rng=drawn(105))).capture
    from gapwright.capture.calibration import calibrated
    from gapwright.capture.segment import segmented, stretch_of
    from gapwright.capture.settings import AS_FOUND

    stretch = stretch_of(capture, 0, calibrated(capture, AS_FOUND).edges)
    assert len(stretch.voltage_edges) > 100
    one, three = segmented(stretch), segmented(stretch, pieces=3)
    assert np.array_equal(one.marks, three.marks)
    assert np.array_equal(one.sums, three.sums)


def course(name: str, per_second: float, *, key: int, is_zero: bool = False, hum: float = 0.0) -> Mark:
    rng = drawn(key)
    times = np.sort(rng.uniform(0.0, 1.0, 2000))
    volts = 20.0 + per_second * times + hum * np.sin(2 * np.pi * 50.0 * times) + rng.normal(0.0, 0.5, 2000)
    return Mark(name=name, times=times, volts=volts, is_zero=is_zero)


def test_levels_that_move_alike_tell_a_drift() -> None:
    found = told_drift([course("burning", 1.0, key=1), course("open", 1.0, key=2)], 1.0)
    assert found.level is not None
    assert found.level.value == pytest.approx(1.0, rel=0.2)
    assert found.marks == ("burning", "open")


def test_a_level_that_moves_alone_is_the_sparks_own() -> None:
    found = told_drift([course("burning", 1.0, key=1), course("open", 0.0, key=2)], 1.0)
    assert found.level is not None
    assert found.level.value == 0.0
    supply = told_drift([course("burning", 0.0, key=1), course("open", 1.0, key=2)], 1.0)
    assert supply.level is not None
    assert supply.level.value == 0.0


def test_a_level_that_is_alone_cannot_tell() -> None:
    found = told_drift([course("burning", 1.0, key=1)], 1.0)
    assert found.level is None
    assert found.doubt == pytest.approx(1.0, rel=0.2)
    apart = told_drift([course("burning", 1.0, key=1), course("open", 4.0, key=2)], 1.0)
    assert apart.level is None


def test_hum_of_one_level_alone_is_not_taken_out() -> None:
    alone = told_hum([course("burning", 0.0, key=1, hum=0.4), course("open", 0.0, key=2)], 1.0)
    assert alone[0] is not None
    assert not alone[1]
    both = told_hum([course("burning", 0.0, key=1, hum=0.4), course("open", 0.0, key=2, hum=0.4)], 1.0)
    assert both[1]
    assert both[0] is not None
    assert both[0].amplitude == pytest.approx(0.4, rel=0.2)
