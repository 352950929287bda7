"""Statistics of spark records, and what they mean in words."""

from dataclasses import replace

import numpy as np
import pytest

from gapwright.capture import classify as cl
from gapwright.capture.meaning import meaning, whose
from gapwright.capture.reading import CaptureReading, understand
from gapwright.capture.sparks import SparkTable
from gapwright.capture.statistics import (
    burst_lengths,
    capture_statistics,
    drift_of,
    periodicities,
    window_series,
)
from tests.made_captures import captured, drawn


def table(codes, starts=None, duration=1e-5, energy=1e-3) -> SparkTable:
    """Events of given classes; waits have no current."""
    codes = np.asarray(codes, dtype=np.int64)
    n = codes.size
    starts = np.arange(n) * 1e-3 if starts is None else starts
    fired = codes != cl.OPEN
    one, nothing = np.ones(n), np.zeros(n, dtype=np.int64)
    return SparkTable(
        first=(starts * 1e7).astype(np.int64), end=(starts * 1e7).astype(np.int64) + 100, start_s=starts,
        delay_s=np.where(fired, 1e-5, np.nan), charging_s=one, breakdown_voltage_v=60 * one,
        burning_voltage_v=20 * one, peak_current_a=np.where(fired, 10.0, 0.0),
        duration_s=duration * one, charge_c=np.where(fired, 5e-5, 0.0),
        energy_j=np.where(fired, energy, 0.0), remaining_voltage_v=one, ripple_v=one, class_code=codes,
        confidence=one, reason_code=nothing, flag_bits=nothing,
    )  # fmt: skip


@pytest.fixture(scope="module")
def pulses() -> CaptureReading:
    return understand(captured("pulses"))


def keys(sparks: SparkTable, reading: CaptureReading, duration: float) -> set[str]:
    statistics = capture_statistics(sparks, duration=duration, pulses=True)
    return {remark.key for remark in meaning(statistics, reading.calibration)}


def test_shares_rates_and_energy_add_up(pulses: CaptureReading) -> None:
    s = pulses.statistics
    assert sum(s.counts.values()) == pulses.sparks.count
    assert sum(s.count_shares.values()) == pytest.approx(1.0)
    assert s.energy.total_j == pytest.approx(s.windows.energy_j.sum())
    assert s.energy.total_j == pytest.approx(pulses.sparks.energy_j.sum())
    assert s.windows.counts.sum() == pulses.sparks.count
    assert s.rate_hz * s.duration_s == pytest.approx(np.count_nonzero(pulses.sparks.fired))


def test_windows_of_a_given_length() -> None:
    series = window_series(table([1] * 10), duration=10e-3, window=2e-3)
    assert list(series.counts[:, cl.NORMAL]) == [2] * 5
    assert series.rate_hz == pytest.approx([1000.0] * 5)
    assert series.breakdown_voltage_v == pytest.approx([60.0] * 5)


def test_bursts_are_runs_of_arcs() -> None:
    n, t, s = cl.NORMAL, cl.TRANSIENT, cl.STATIONARY
    assert list(burst_lengths(table([t, t, n, t, s, s, n, s, s, s, s]))) == [3, 4]


def test_a_spindle_shows_as_a_period() -> None:
    rng = drawn(5)
    t = np.sort(rng.random(20_000) * 2.0)
    t = t[rng.random(t.size) < 0.5 * (1 + 0.5 * np.sin(2 * np.pi * 41.0 * t))]
    found = periodicities(table([1] * t.size, starts=t), duration=2.0)
    assert found[0].frequency_hz == pytest.approx(41.0, rel=0.02)


def test_gaps_in_time_do_not_shift_a_period() -> None:
    rng = drawn(5)
    t = np.sort(rng.random(20_000) * 2.0)
    t = t[rng.random(t.size) < 0.5 * (1 + 0.5 * np.sin(2 * np.pi * 41.0 * t))]
    found = periodicities(table([1] * t.size, starts=t), duration=1.2)
    assert found[0].frequency_hz == pytest.approx(41.0, rel=0.02)


def test_a_period_says_whose_it_is() -> None:
    assert whose(20.3, 0.5, 20.0) == " (the spindle's)"
    assert whose(39.8, 0.5, 20.0) == " (twice the spindle's)"
    assert whose(100.1, 0.5, None) == " (twice the mains')"
    assert whose(100.1, 0.5, 100.0) == " (the spindle's)"
    assert whose(73.0, 0.5, 20.0) == ""


def test_chance_shows_no_period() -> None:
    t = np.sort(drawn(6).random(20_000))
    assert periodicities(table([1] * t.size, starts=t), duration=1.0) == ()


def test_drift_has_an_uncertainty() -> None:
    y = 5.0 + np.linspace(0.0, 2.0, 100) + 0.1 * drawn(7).standard_normal(100)
    drift = drift_of("rate_hz", y)
    assert drift is not None
    assert drift.change == pytest.approx(2.0, rel=0.1)
    assert drift.is_real
    flat = drift_of("rate_hz", 5.0 + 0.1 * drawn(8).standard_normal(100))
    assert flat is not None
    assert not flat.is_real
    assert drift_of("rate_hz", np.full(4, 1.0)) is None


def test_words(pulses: CaptureReading) -> None:
    n = 2000
    good = np.full(n, cl.NORMAL)
    assert keys(table(good), pulses, 2.0) == {"good"}
    assert "arcing" in keys(table(np.where(np.arange(n) % 4, cl.NORMAL, cl.TRANSIENT)), pulses, 2.0)
    assert "too wide" in keys(table(np.where(np.arange(n) % 4, cl.OPEN, cl.NORMAL)), pulses, 2.0)
    shorts = table(np.where(np.arange(n) % 4, cl.NORMAL, cl.SHORT), duration=9e-4)
    assert "too narrow" in keys(shorts, pulses, 2.0)
    slow = table([cl.SHORT] * 10, starts=np.arange(10) * 0.1, duration=50e-3)
    assert {"too narrow", "slow short detector"} <= keys(slow, pulses, 1.0)
    worse = np.where(drawn(9).random(n) < np.linspace(0.0, 0.9, n), cl.TRANSIENT, cl.NORMAL)
    assert "flushing" in keys(table(worse), pulses, 2.0)
    assert "inverted" in keys(table(good, energy=-1e-3), pulses, 2.0)


def test_a_starved_store() -> None:
    reading = understand(captured("resistor"))
    sparks = table([cl.NORMAL] * 1000)
    sparks = replace(sparks, flag_bits=np.full(1000, int(cl.Flag.DELAYED)))
    statistics = capture_statistics(sparks, duration=1.0, pulses=False)
    assert [remark.key for remark in meaning(statistics, reading.calibration)] == ["starved"]


def test_an_empty_table_has_statistics() -> None:
    found = capture_statistics(table([]), duration=1.0, pulses=False)
    assert found.rate_hz == 0.0
    assert np.isnan(found.energy.median_j)
    assert found.delay.ignitions == 0
