"""What the figures of a capture show is what was recorded."""

import numpy as np
import pytest

from gapwright.app.capture_pictures import (
    class_rows,
    delay_curve,
    energies,
    examples,
    overview,
)
from gapwright.app.captures import CaptureRequest, extremes_made, read_capture
from tests.unit.app.test_captures import CHARGE, COUNT, hands, recording
from tests.unit.capture.recorded import BURNING, PERIOD, RATE, sparks


@pytest.fixture(scope="module")
def found():
    return read_capture(CaptureRequest(places=("run-0",)), hands(recording(*sparks(COUNT, noise=0.2))))


def test_an_overview_holds_every_extreme(found) -> None:
    shown = overview(found, columns=100)
    volts = found.capture.volts()
    assert shown.volts.times[-1] == pytest.approx(volts.size / RATE, rel=1e-9)
    assert shown.volts.greatest.max() == pytest.approx(float(volts.max()), rel=1e-6)
    assert shown.volts.least.min() == pytest.approx(float(volts.min()), rel=1e-6)
    assert shown.amperes is not None
    kept = overview(found, columns=100, pyramids=extremes_made((), found.capture))
    assert np.array_equal(kept.volts.least, shown.volts.least)


def test_a_span_shows_single_samples(found) -> None:
    shown = overview(found, columns=500, pyramids=extremes_made((), found.capture), span=(1000, 1100))
    assert np.array_equal(shown.volts.least, found.capture.volts(1000, 1100))
    assert np.array_equal(shown.volts.least, shown.volts.greatest)


def test_an_example_is_the_middle_event_of_its_class(found) -> None:
    (example,) = examples(found)
    assert (example.name, example.count) == ("normal", COUNT)
    inside = (example.times > 0.2 * example.last) & (example.times < 0.8 * example.last)
    assert float(np.median(example.volts[inside])) == pytest.approx(BURNING, rel=0.02)
    assert example.amperes is not None
    assert example.reason


def test_half_of_the_sparks_have_waited_longer_than_the_median(found) -> None:
    shown = delay_curve(found)
    assert shown is not None
    assert np.all(np.diff(shown.shares) <= 0)
    assert shown.shares[shown.times.size // 2 - 1] == pytest.approx(0.5, rel=0.05)
    assert shown.mean < PERIOD / RATE


def test_energies_are_those_of_the_sparks(found) -> None:
    shown = energies(found)
    assert shown.size == COUNT
    assert float(np.median(shown)) == pytest.approx(BURNING * CHARGE, rel=0.01)


def test_each_class_has_its_line(found) -> None:
    (row,) = class_rows(found)
    assert row.name == "normal"
    assert np.diff(row.starts) == pytest.approx(np.full(COUNT - 1, PERIOD / RATE), rel=0.01)
