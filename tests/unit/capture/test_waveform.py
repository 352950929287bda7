"""A capture gives its codes a meaning, and refuses what cannot belong to one recording."""

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.capture.waveform import Capture, Segments

VOLTAGE = np.array([0, 100, 200, -50, 7, 8], dtype=np.int16)
CURRENT = np.array([0, 0, 1, 2, 3, 4], dtype=np.int8)


def small(**changes):
    given = {"voltage": VOLTAGE, "voltage_scale": 0.5, "voltage_offset": 1.0, "rate": 2e6}
    return Capture(**given | changes)


def pair(**changes):
    return small(current=CURRENT, current_scale=2.0, current_from="shunt", **changes)


def test_values_are_scale_times_code_and_offset() -> None:
    capture = pair(current_offset=-1.0)
    assert capture.volts(1, 4).tolist() == [51.0, 101.0, -24.0]
    assert capture.amperes(2).tolist() == [1.0, 3.0, 5.0, 7.0]
    assert capture.volts().dtype == np.float32
    assert capture.count == 6
    assert capture.duration == 3e-6


def test_one_segment_where_none_is_given() -> None:
    capture = small()
    assert capture.segments.starts.tolist() == [0]
    assert capture.segments.lengths.tolist() == [6]


def test_times_know_the_gaps_between_segments() -> None:
    parts = Segments(starts=np.array([0, 2]), lengths=np.array([2, 4]), times=np.array([0.0, 1.0]))
    times = small(segments=parts).times(np.array([0, 1, 2, 5]))
    assert times.tolist() == [0.0, 5e-7, 1.0, 1.0 + 1.5e-6]


def test_samples_are_read_only() -> None:
    with pytest.raises(ValueError, match="read-only"):
        small().voltage[0] = 1


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"voltage": VOLTAGE.astype(float)}, "voltage must hold int8, int16, float32, got float64"),
        ({"voltage": VOLTAGE[:0]}, "voltage must be one row of at least one sample"),
        ({"rate": 0.0}, "rate must be above 0 Hz"),
        ({"voltage_scale": 0.0}, "voltage_scale must not be 0"),
        ({"voltage_scale": float("nan")}, "voltage_scale must be a finite number"),
        ({"start": float("inf")}, "start must be a finite number of s"),
        ({"voltage_clipped": 1.5}, "voltage_clipped must be between 0 and 1"),
        ({"voltage_step": -1.0}, "voltage_step must be at least 0 V"),
        ({"current": CURRENT}, "current and current_from must be given together"),
        ({"current": CURRENT[:3], "current_from": "clamp"}, "current must have as many samples as voltage"),
        ({"segments": Segments.whole(4)}, "segments must hold all 6 samples, got 4"),
    ],
)
def test_what_cannot_be_is_refused(changes, message) -> None:
    with pytest.raises(InputRefused, match=message):
        small(**changes)


def test_a_missing_current_is_refused() -> None:
    with pytest.raises(InputRefused, match="must hold a current for this, got voltage alone"):
        small().amperes()


@pytest.mark.parametrize(
    ("starts", "lengths", "times", "message"),
    [
        ([], [], [], "at least one"),
        ([0, 3], [3], [0.0, 1.0], "at least one"),
        ([0, 4], [3, 3], [0.0, 1.0], "without a hole"),
        ([0, 3], [3, 0], [0.0, 1.0], "without a hole"),
        ([0, 3], [3, 3], [1.0, 1.0], "in the order of time"),
    ],
)
def test_segments_that_cannot_be_are_refused(starts, lengths, times, message) -> None:
    with pytest.raises(InputRefused, match=message):
        Segments(
            starts=np.array(starts, dtype=np.int64),
            lengths=np.array(lengths, dtype=np.int64),
            times=np.array(times),
        )
