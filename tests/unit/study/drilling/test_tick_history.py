"""A thinned history loses no extreme and no count."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gapwright.study.drilling.records_kept import TICK_COLUMNS
from gapwright.study.drilling.tick_history import AT, TickHistory
from tests.unit.study.kept import kept


def made_up(count: int, seed: int = 1) -> np.ndarray:
    """Ticks a millisecond apart with numbers that know no bounds but their own."""
    rng = np.random.default_rng(seed)
    ticks = rng.uniform(0.0, 1.0, (count, len(TICK_COLUMNS)))
    ticks[:, AT["time_s"]] = 1e-3 * np.arange(1, count + 1)
    ticks[:, AT["depth_m"]] = np.sort(ticks[:, AT["depth_m"]])
    ticks[:, AT["normal"]] = rng.integers(0, 9, count)
    ticks[:, AT["open_s"]] *= 1e-3
    return ticks


@given(
    pieces=st.lists(st.integers(min_value=0, max_value=300), min_size=1, max_size=12),
    most=st.sampled_from([2, 8, 64]),
)
def test_extremes_and_sums_survive_any_bunching(pieces, most):
    ticks = made_up(max(1, sum(pieces)))
    history = TickHistory(most)
    start = 0
    for piece in pieces:
        history.ticks(ticks[start : start + piece])
        start += piece
    history.ticks(ticks[start:])
    found = history.history()
    assert 1 <= len(found) <= most + 2
    assert found.gap_low_m.min() == ticks[:, AT["gap_m"]].min()
    assert found.gap_high_m.max() == ticks[:, AT["gap_m"]].max()
    assert found.mean_low_v.min() == ticks[:, AT["mean_v"]].min()
    assert found.mean_high_v.max() == ticks[:, AT["mean_v"]].max()
    assert found.time_s[-1] == ticks[-1, AT["time_s"]]
    assert found.class_count[:, 1].sum() == ticks[:, AT["normal"]].sum()
    assert (np.diff(found.time_s) > 0.0).all()
    assert (np.diff(found.depth_m) >= 0.0).all()


def test_a_spike_of_one_tick_is_seen_among_a_hundred_thousand():
    ticks = made_up(100_000)
    ticks[71_234, AT["gap_m"]] = 5.0
    history = TickHistory()
    history.ticks(ticks)
    found = history.history()
    assert 512 <= len(found) <= 1026
    at = int(np.argmax(found.gap_high_m))
    assert found.gap_high_m[at] == 5.0
    assert found.time_s[at - 1] < 71.235 <= found.time_s[at]


def test_no_tick_is_an_empty_history():
    assert len(TickHistory().history()) == 0


def test_the_history_of_a_drilling_tells_its_end_and_its_classes():
    done = kept()
    history, course = done.recorded.history, done.fine.course
    assert history.time_s[-1] == pytest.approx(course.time, rel=1e-12)
    assert history.depth_m[-1] == course.depth
    assert history.class_count.sum(axis=0)[1:].tolist() == course.class_count[1:].tolist()
    assert (history.open_share >= 0.0).all()
    assert (history.open_share <= 1.0).all()
    assert (history.gap_low_m <= history.gap_high_m).all()
