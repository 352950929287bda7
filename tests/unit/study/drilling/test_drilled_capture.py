"""A capture of a stretch of the drilling reads back as the sparks that were drilled."""

from itertools import pairwise

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.capture.reading import understand
from gapwright.capture.settings import ReadingSettings
from gapwright.study.drilling.drilled_capture import (
    FULL_SCALE,
    RUN_UP,
    SPAN,
    Stretch,
    StretchRows,
    drilled_capture,
    fitting_rate,
    pieces,
)
from gapwright.study.drilling.records_kept import SPARK_COLUMNS, TICK_COLUMNS
from tests.unit.study.kept import kept

AT = {name: place for place, name in enumerate(SPARK_COLUMNS)}
TICK = {name: place for place, name in enumerate(TICK_COLUMNS)}


@pytest.fixture(scope="module")
def captured():
    done = kept()
    rows = done.recorded.stretch
    assert rows is not None
    return rows, drilled_capture(done.made, rows)


def in_capture(rows):
    """Sparks after the run-up."""
    return rows.sparks[rows.sparks[:, 0] >= rows.start + RUN_UP / (1.0 + RUN_UP) * (rows.stop - rows.start)]


def test_the_stretch_ends_where_the_front_passed_half_the_depth(captured):
    rows, capture = captured
    assert rows.stop - rows.start == pytest.approx(SPAN * (1.0 + RUN_UP), rel=1e-9)
    assert capture.duration == pytest.approx(SPAN, rel=0.01)
    assert 0.4 * 0.1e-3 < rows.ticks[-1, TICK["depth_m"]] < 0.6 * 0.1e-3


def test_it_shows_the_voltages_that_the_drilling_recorded(captured):
    rows, capture = captured
    volts = capture.volts()
    assert float(volts.max()) <= FULL_SCALE * kept().made.ceiling * 1.001
    assert capture.voltage_clipped < 1e-3
    sparks = in_capture(rows)
    assert len(sparks) > 30
    begin = rows.stop - capture.count / capture.rate
    at = np.round((sparks[:, 0] - begin) * capture.rate).astype(int)
    inside = at[at >= 8]
    before = np.array([volts[k - 8 : k - 1].max() for k in inside])
    told = sparks[at >= 8, AT["breakdown_v"]]
    # A spark follows another within microseconds here and there; the rest agree.
    assert np.median(np.abs(before / told - 1.0)) < 0.01
    assert np.mean(np.abs(before / told - 1.0) < 0.05) > 0.95


def test_the_same_seed_gives_the_same_samples(captured):
    rows, capture = captured
    again = drilled_capture(kept().made, rows)
    other = drilled_capture(kept().made, rows, seed=1)
    assert (np.asarray(again.voltage) == np.asarray(capture.voltage)).all()
    assert (np.asarray(other.voltage) != np.asarray(capture.voltage)).any()


def test_its_peak_currents_are_those_of_the_sparks(captured):
    rows, capture = captured
    sparks = in_capture(rows)
    highest = float(np.max(capture.amperes()))
    assert highest == pytest.approx(sparks[:, AT["peak_a"]].max(), rel=0.03)


def test_reading_it_finds_the_sparks_and_their_energy(captured):
    rows, capture = captured
    sparks = in_capture(rows)
    reading = understand(capture, ReadingSettings(generator="capacitor"))
    columns = reading.sparks.columns()
    burnt = np.asarray(columns["energy_j"])[np.asarray(columns["peak_current_a"]) > 1.0]
    assert len(burnt) == pytest.approx(len(sparks), rel=0.02)
    assert burnt.sum() == pytest.approx(sparks[:, AT["energy_j"]].sum(), rel=0.03)


@pytest.mark.parametrize(
    ("shortest", "span", "rate"),
    [(1.4e-6, 20e-3, 2e7), (16e-6, 20e-3, 1e6), (3.2e-6, 20e-3, 5e6), (1e-9, 20e-3, 2e8)],
)
def test_the_rate_is_round_and_fits_the_shortest_spark(shortest, span, rate):
    assert fitting_rate(shortest, span) == pytest.approx(rate, rel=1e-12)


def ticks(short: list[int]) -> np.ndarray:
    rows = np.zeros((len(short), len(TICK_COLUMNS)))
    rows[:, TICK["time_s"]] = 1e-3 * np.arange(1, len(short) + 1)
    rows[:, TICK["is_short"]] = short
    return rows


def test_pieces_are_open_and_short_in_turn_and_leave_nothing_out():
    rows = StretchRows(
        start=0.0, stop=5e-3, batch=1, sparks=np.zeros((0, len(SPARK_COLUMNS))), ticks=ticks([0, 0, 1, 1, 0])
    )
    found = list(pieces(rows))
    assert [short for *_, short in found] == [False, True, False]
    assert found[0][0] == 0.0
    assert found[-1][1] == pytest.approx(5e-3, rel=1e-12)
    for (_, end, _), (begin, _, _) in pairwise(found):
        assert end == begin


def test_a_stretch_forgets_what_is_long_past_and_keeps_its_span():
    stretch = Stretch(1e-3, span=4e-3)
    for k in range(100):
        more = ticks([0])
        more[:, 0] = 1e-3 * (k + 1)
        stretch.ticks(more)
    stretch.passed(0.5e-3)
    early = stretch.rows
    assert early is None
    stretch.passed(1e-3)
    found = stretch.rows
    assert found is not None
    assert len(found.ticks) == 5
    assert found.stop == pytest.approx(0.1, rel=1e-12)


def test_a_drilling_without_a_spark_has_no_capture():
    with pytest.raises(InputRefused, match="needs a stretch of the drilling with sparks in it"):
        drilled_capture(kept().made, None)
