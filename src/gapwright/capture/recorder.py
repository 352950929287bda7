"""What a recorder makes of true waveforms: bandwidth, skew, ringing, hum, drift, noise, clipping, counts."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from gapwright.capture.truth import Samples, Truth
from gapwright.capture.waveform import Capture, Segments

Wide = NDArray[np.float64]

DROPPED_SHARE = 1e-3
"""Length of a lost stretch over that of the record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorder:
    """A recorder and its faults; shares are of the span from nothing to the greatest true value."""

    noise: float = 0.01
    """White noise, r.m.s."""
    heavy_tails: bool = False
    """Noise after Student's law with five degrees of freedom instead of Gauss's."""
    bandwidth: float | None = None
    """Of both probes, one pole. [Hz]"""
    ringing: float = 0.0
    """Share of each step that rings on."""
    ringing_frequency: float = 8e6
    ringing_decay: float = 0.3e-6
    skew: float = 0.0
    """How late the current comes. [s]"""
    drift: float = 0.0
    """Slow rise of both zero lines over the record."""
    hum: float = 0.0
    """Pick-up of the mains' 50 Hz, amplitude."""
    bits: int | None = None
    """None keeps float32; 8 gives int8 counts, 9 to 16 give int16 counts."""
    headroom: float = 1.25
    """Full scale over the greatest true value; below 1 the tops are clipped."""
    dropouts: int = 0
    """Stretches that it lost, each of `DROPPED_SHARE` of the record: gaps in time between segments."""


def recorded(truth: Truth, recorder: Recorder, *, rng: np.random.Generator) -> Capture:
    """Capture of a truth by a recorder."""
    voltage, v_scale = _channel(truth.voltage, truth.rate, recorder, rng, 0.0)
    current, i_scale = _channel(truth.current, truth.rate, recorder, rng, recorder.skew)
    kept, segments = _without_dropouts(truth.voltage.size, truth.rate, recorder.dropouts, rng)
    return Capture(
        voltage=voltage[kept],
        voltage_scale=v_scale,
        segments=segments,
        current=current[kept],
        current_scale=i_scale,
        rate=truth.rate,
        current_from="given",
        voltage_step=v_scale if recorder.bits else 0.0,
        current_step=i_scale if recorder.bits else 0.0,
    )


def _without_dropouts(
    count: int, rate: float, dropouts: int, rng: np.random.Generator
) -> tuple[NDArray[np.int64], Segments]:
    """Samples that are left, and the segments they make; spread over the record."""
    width = int(DROPPED_SHARE * count)
    parts = np.linspace(0, count, dropouts + 1).astype(int)
    spans = list(pairwise(map(int, parts))) if dropouts and width else []
    lost = [int(rng.integers(a + 1, b - width)) for a, b in spans]
    begins = np.array([0, *(place + width for place in lost)], dtype=np.int64)
    ends = np.array([*lost, count], dtype=np.int64)
    kept = np.concatenate([np.arange(a, b) for a, b in zip(begins, ends, strict=True)])
    starts = np.concatenate([[0], np.cumsum(ends - begins)[:-1]]).astype(np.int64)
    return kept, Segments(starts=starts, lengths=ends - begins, times=begins / rate)


def _channel(
    true: Samples, rate: float, recorder: Recorder, rng: np.random.Generator, skew: float
) -> tuple[NDArray[np.generic], float]:
    """One channel as recorded, and the value of one count."""
    x = true.astype(np.float64)
    span = float(np.abs(x).max())
    if skew:
        late = round(skew * rate)
        x = np.concatenate([np.full(late, x[0]), x[: x.size - late]])
    x = _blurred(x, rate, recorder)
    place = np.arange(x.size)
    if recorder.drift:
        x += recorder.drift * span * place / x.size
    if recorder.hum:
        x += recorder.hum * span * np.sin(2 * np.pi * 50.0 * place / rate)
    if recorder.heavy_tails:
        x += recorder.noise * span * rng.standard_t(5, x.size) / np.sqrt(5.0 / 3.0)
    else:
        x += recorder.noise * span * rng.standard_normal(x.size)
    full = recorder.headroom * span
    if recorder.bits is None:
        return np.clip(x, -full, full).astype(np.float32), 1.0
    most = 2 ** (recorder.bits - 1) - 1
    counts = np.clip(np.rint(x / full * most), -most - 1, most)
    return counts.astype(np.int8 if recorder.bits <= 8 else np.int16), full / most


def _blurred(x: Wide, rate: float, recorder: Recorder) -> Wide:
    """Through one pole, and with the ringing that each step leaves."""
    if recorder.bandwidth is not None:
        keep = float(np.exp(-2 * np.pi * recorder.bandwidth / rate))
        x = np.asarray(lfilter([1.0 - keep], [1.0, -keep], x))
    if recorder.ringing:
        radius = float(np.exp(-1.0 / (recorder.ringing_decay * rate)))
        angle = 2 * np.pi * recorder.ringing_frequency / rate
        steps = np.diff(x, prepend=x[0])
        tail = lfilter([1.0, -radius * np.cos(angle)], [1.0, -2 * radius * np.cos(angle), radius**2], steps)
        x = x + recorder.ringing * np.asarray(tail)
    return x
