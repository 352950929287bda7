"""Clipped samples are counted where that can be told; steps of a converter are found."""

import numpy as np
import pytest

from gapwright.capture.clipping import clipped_share, smallest_step
from gapwright.capture.recording import Channel

NOISE = np.random.default_rng(5).normal(0, 1, 20_000).astype(np.float32)
WAVE = (30 * np.sin(np.arange(20_000) / 50)).astype(np.float32)


def channel(codes, **more) -> Channel:
    return Channel(name="one", unit="V", codes=codes, **more)


def test_counts_at_the_rails_are_clipped() -> None:
    codes = np.clip(WAVE * 10, -128, 127).astype(np.int8)
    share = float(np.mean((codes == -128) | (codes == 127)))
    assert share > 0.3
    assert clipped_share(channel(codes, rails=(-128.0, 127.0))) == share
    assert clipped_share(channel(codes)) == 0.0


def test_a_flat_top_above_noise_is_clipped() -> None:
    cut = np.clip(WAVE + NOISE, -20, 20).astype(np.float32)
    runs = float(np.mean(np.abs(cut) == 20))
    assert clipped_share(channel(cut)) == pytest.approx(runs, rel=0.05)


@pytest.mark.parametrize(
    "codes",
    [
        WAVE + NOISE,
        np.where(WAVE > 0, 30, 0).astype(np.float32) + NOISE,
        np.clip(WAVE, -20, 20).astype(np.float32),
        np.round((WAVE + 0.1 * NOISE) / 2).astype(np.float32) * 2,
    ],
    ids=["a sine", "a plateau with noise", "a plateau without noise", "coarse steps"],
)
def test_what_may_be_a_plateau_is_not_called_clipped(codes) -> None:
    assert clipped_share(channel(codes)) == 0.0


@pytest.mark.parametrize("step", [0.04, 0.3125, 1.0, 0.0078125])
def test_the_steps_of_a_converter_are_found(step) -> None:
    codes = (np.round(WAVE / 30 * 100) * step + 0.013).astype(np.float32)
    assert smallest_step(codes) == pytest.approx(step, rel=1e-3)


def test_values_without_steps_have_none() -> None:
    assert smallest_step(NOISE) == 0.0
    assert smallest_step(np.full(10, 3.0, dtype=np.float32)) == 0.0
    assert smallest_step(np.array([1, 2], dtype=np.int16)) == 1.0
