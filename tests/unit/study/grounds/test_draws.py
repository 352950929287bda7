"""Random numbers by counting."""

import numpy as np
import pytest

from gapwright.study.grounds._draws import (
    EFFECT,
    PURPOSES,
    SCATTER,
    exponential,
    mixed,
    normal,
    stream_keys,
    uniform,
)


@pytest.mark.source("steele-2014", "SplitMix64, seed 1234567, first values, from memory")
def test_mixing_is_that_of_splitmix64() -> None:
    got = [int(np.uint64(mixed(np.uint64(1234567), np.uint64(k)))) for k in range(3)]
    assert got == [6457827717110365317, 3203168211198807973, 9817491932198370423]


def test_streams_differ_by_seed_member_hole_and_purpose() -> None:
    keys = [stream_keys(*who).tolist() for who in ((1, 0, 0), (2, 0, 0), (1, 1, 0), (1, 0, 1))]
    flat = [key for row in keys for key in row]
    assert len(set(flat)) == 4 * PURPOSES


def test_the_same_stream_repeats() -> None:
    a = [uniform(stream_keys(5, 3, 0), np.full(PURPOSES, k, dtype=np.uint64), EFFECT) for k in range(4)]
    b = [uniform(stream_keys(5, 3, 0), np.full(PURPOSES, k, dtype=np.uint64), EFFECT) for k in range(4)]
    assert a == b


def test_moments() -> None:
    keys, counts = stream_keys(7, 0, 0), np.zeros(PURPOSES, dtype=np.uint64)
    flat = np.array([uniform(keys, counts, EFFECT) for _ in range(20000)])
    waits = np.array([exponential(keys, counts, EFFECT) for _ in range(20000)])
    bell = np.array([normal(keys, counts, SCATTER) for _ in range(20000)])
    assert flat.mean() == pytest.approx(0.5, rel=0.02)
    assert flat.min() > 0.0
    assert flat.max() < 1.0
    assert waits.mean() == pytest.approx(1.0, rel=0.03)
    assert abs(bell.mean()) < 0.03
    assert bell.std() == pytest.approx(1.0, rel=0.03)
