"""Extremes of any window are exact, whatever level they come from."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gapwright.base.errors import InputRefused
from gapwright.capture import pyramid as pyramids
from gapwright.capture.pyramid import pyramid_of, window

CODES = np.random.default_rng(3).normal(0, 1000, 300_007).astype(np.int16)
LEVELS = pyramid_of(CODES)


@given(st.integers(0, CODES.size - 1), st.integers(1, CODES.size), st.integers(1, 3000))
def test_every_column_is_the_plain_extreme(start, length, columns) -> None:
    stop = min(start + length, CODES.size)
    view = window(CODES, LEVELS, start=start, stop=stop, columns=columns)
    assert (view.edges[0], view.edges[-1]) == (start, stop)
    assert np.all(np.diff(view.edges) > 0)
    assert view.least.size == min(columns, stop - start)
    at = view.edges[:-1] - start
    assert np.array_equal(view.least, np.minimum.reduceat(CODES[start:stop], at))
    assert np.array_equal(view.greatest, np.maximum.reduceat(CODES[start:stop], at))


def test_columns_are_nearly_equal_in_width() -> None:
    view = window(CODES, LEVELS, start=11, stop=CODES.size - 5, columns=800)
    widths = np.diff(view.edges)
    assert widths.max() <= 1.5 * np.median(widths)


def test_a_lone_spike_is_never_lost() -> None:
    codes = np.zeros(1_000_003, dtype=np.float32)
    codes[777_777] = 5.0
    view = window(codes, pyramid_of(codes), start=0, stop=codes.size, columns=500)
    assert view.greatest.max() == 5.0


def test_a_short_channel_has_one_level(monkeypatch) -> None:
    assert [level.shape for level in pyramid_of(CODES[:100]).levels] == [(2, 2)]
    monkeypatch.setattr(pyramids, "AT_ONCE", 128)
    assert np.array_equal(pyramid_of(CODES[:1000]).levels[0][0], [*_blocks(CODES[:1000])])


def _blocks(codes):
    return [codes[k : k + 64].min() for k in range(0, codes.size, 64)]


@pytest.mark.parametrize(("start", "stop", "columns"), [(5, 5, 10), (-1, 5, 10), (0, 400_000, 10), (0, 5, 0)])
def test_a_window_outside_is_refused(start, stop, columns) -> None:
    with pytest.raises(InputRefused):
        window(CODES, LEVELS, start=start, stop=stop, columns=columns)
