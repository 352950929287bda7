"""Windows, events and distributions of an open capture are those of its samples and records."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.app.capture_views import OpenCapture, capture_window, class_timeline, open_capture
from gapwright.app.capture_window import spark_at, spark_near
from gapwright.app.captures import CaptureRequest
from gapwright.base.errors import InputRefused
from tests.unit.app.test_captures import COUNT, hands, recording
from tests.unit.capture.recorded import RATE, sparks

PERIOD_S = 2000 / RATE


@pytest.fixture(scope="module")
def opened() -> OpenCapture:
    return open_capture(CaptureRequest(places=("run-0",)), hands(recording(*sparks(COUNT, noise=0.2))))


@pytest.fixture(scope="module")
def parted() -> OpenCapture:
    """Two files with twice their length between their beginnings."""
    span = COUNT * PERIOD_S
    files = [replace(recording(*sparks(COUNT, noise=0.2, seed=k)), start=2.0 * k * span) for k in range(2)]
    return open_capture(CaptureRequest(places=("run-0", "run-1")), hands(*files))


def test_a_window_holds_every_extreme(opened) -> None:
    seen = capture_window(opened, start=0.0, stop=opened.end_s, columns=150)
    volts = opened.found.capture.volts()
    assert max(seen.voltage_v.greatest) == pytest.approx(float(volts.max()), rel=1e-6)
    assert min(seen.voltage_v.least) == pytest.approx(float(volts.min()), rel=1e-6)
    assert not seen.single
    assert len(seen.left_s) == len(seen.right_s) == len(seen.voltage_v.least) == 150
    assert seen.left_s[0] == 0.0
    assert seen.right_s[-1] == pytest.approx(opened.end_s, rel=1e-12)
    assert seen.current_a is not None


def test_a_narrow_window_shows_single_samples(opened) -> None:
    seen = capture_window(opened, start=1000 / RATE, stop=1100 / RATE, columns=400)
    assert seen.single
    assert np.allclose(seen.voltage_v.least, opened.found.capture.volts(1000, 1100), rtol=1e-6, atol=0)
    assert seen.voltage_v.least == seen.voltage_v.greatest
    assert seen.left_s[3] == pytest.approx(1003 / RATE, rel=1e-9)


def test_a_gap_in_time_has_no_column(parted) -> None:
    seen = capture_window(parted, start=0.0, stop=parted.end_s, columns=300)
    left, right = np.array(seen.left_s), np.array(seen.right_s)
    jump = int(np.argmax(left[1:] - right[:-1]))
    assert left[jump + 1] - right[jump] == pytest.approx(COUNT * PERIOD_S, rel=1e-6)
    assert len(left) == pytest.approx(200, rel=0.02)
    nothing = capture_window(parted, start=right[jump] * 1.001, stop=left[jump + 1] * 0.999, columns=100)
    assert nothing.left_s == ()
    event = spark_near(parted.found, left[jump + 1] + 0.5 * PERIOD_S, classes=frozenset())
    start = event.numbers["start_s"]
    assert start is not None
    assert start > left[jump + 1]


def test_many_short_segments_are_drawn_over(parted) -> None:
    seen = capture_window(parted, start=0.0, stop=parted.end_s, columns=3)
    assert len(seen.left_s) == 3


@pytest.mark.parametrize(("start", "stop"), [(1.0, 2.0), (0.0, 0.0), (-2.0, -1.0), (0.0, np.nan)])
def test_a_window_outside_is_refused(opened, start, stop) -> None:
    with pytest.raises(InputRefused, match="a window must lie within 0 to"):
        capture_window(opened, start=start, stop=stop, columns=10)


def test_the_event_under_a_time_has_class_and_reason(opened) -> None:
    table = opened.found.reading.sparks
    event = spark_near(opened.found, float(table.start_s[7] + 0.5 * table.duration_s[7]), classes=frozenset())
    assert (event.row, event.name) == (7, "normal")
    assert event.reason.startswith("fired at 0.6 of the way")
    assert (event.before, event.after) == (6, 8)
    assert event.numbers["energy_j"] == pytest.approx(float(table.energy_j[7]))
    assert spark_at(opened.found, 7, classes=frozenset()) == event


def test_the_timeline_adds_up(opened) -> None:
    line = class_timeline(opened, start=0.0, stop=opened.end_s, columns=37)
    table, width = opened.found.reading.sparks, opened.end_s / 37
    for strip in line.classes:
        rows = table.class_code == {"normal": 1, "open": 0}[strip.class_name]
        assert sum(strip.count) == np.count_nonzero(rows)
        assert sum(strip.time_share) * width == pytest.approx(float(table.duration_s[rows].sum()), rel=1e-9)
