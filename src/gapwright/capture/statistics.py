"""Statistics of spark records, over all and over windows: shares, rates, energy, drift, bursts, periods."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.capture.classify import (
    CLASS_NAMES,
    CONTACT,
    NORMAL,
    OPEN,
    PARTIAL,
    SHORT,
    STATIONARY,
    TRANSIENT,
    Codes,
    Flag,
    Numbers,
)
from gapwright.capture.delays import DelayStatistics, delay_statistics
from gapwright.capture.sparks import SparkTable

WINDOWS = 100
"""Windows of a capture whose window was not given."""
BINS = 40
"""Bins of the energy histogram."""
BURST_ARCS = 3
"""Arcs in a row that are a burst."""
FEWEST_FOR_PERIODS = 64
PERIOD_NOISE = 12.0
"""Power of a periodicity over the mean power of its surroundings, at least."""
ARCS = (TRANSIENT, STATIONARY)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EnergyStatistics:
    """Energies of the discharges."""

    total_j: float
    mean_j: float
    median_j: float
    charge_c: float
    edges_j: Numbers
    """Edges of the histogram's bins, equal steps of the logarithm."""
    counts: Codes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WindowSeries:
    """Gap states window by window; each a row, classes in columns."""

    start_s: Numbers
    length_s: float
    counts: NDArray[np.int64]
    """(windows, classes) events that began in the window."""
    time_shares: Numbers
    """(windows, classes) share of the window's time."""
    rate_hz: Numbers
    energy_j: Numbers
    breakdown_voltage_v: Numbers
    """Mean over the window's discharges; NaN without one."""
    delay_s: Numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """Straight line through the windows: change over the whole capture and how sure it is."""

    quantity: str
    change: float
    uncertainty: float

    @property
    def is_real(self) -> bool:
        """Whether the change is more than three of its uncertainties."""
        return abs(self.change) > 3.0 * self.uncertainty


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """A frequency at which sparks come and go."""

    frequency_hz: float
    strength: float
    """Power over the mean power of its surroundings."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CaptureStatistics:
    """What the spark records of a capture say together."""

    duration_s: float
    counts: dict[str, int]
    count_shares: dict[str, float]
    time_shares: dict[str, float]
    """Share of the recorded time taken by the events of a class."""
    rate_hz: float
    """Discharges in a second."""
    delayed: int
    energy: EnergyStatistics
    delay: DelayStatistics
    windows: WindowSeries
    drift: tuple[Drift, ...]
    bursts: Codes
    """Lengths of the bursts of arcs, in arcs."""
    periods: tuple[Period, ...]


def capture_statistics(
    sparks: SparkTable, *, duration: float, pulses: bool, window: float | None = None
) -> CaptureStatistics:
    """Statistics of spark records over a recorded time in seconds.

    Parameters
    ----------
    sparks
        Events in the order of time.
    duration
        Recorded time, in seconds.
    pulses
        Whether voltage is offered in pulses: those that stay open are censored delays.
    window
        Length of a window, in seconds; None gives a hundred windows.
    """
    code, fired = sparks.class_code, sparks.fired
    counts = np.bincount(code, minlength=len(CLASS_NAMES))
    busy = np.bincount(code, weights=sparks.duration_s, minlength=len(CLASS_NAMES)) / duration
    series = window_series(sparks, duration=duration, window=window)
    return CaptureStatistics(
        duration_s=duration,
        counts=dict(zip(CLASS_NAMES, map(int, counts), strict=True)),
        count_shares=dict(zip(CLASS_NAMES, map(float, counts / max(counts.sum(), 1)), strict=True)),
        time_shares=dict(zip(CLASS_NAMES, map(float, busy), strict=True)),
        rate_hz=float(np.count_nonzero(fired)) / duration,
        delayed=int(np.count_nonzero(sparks.flag_bits & Flag.DELAYED)),
        energy=energy_statistics(sparks),
        delay=_delays(sparks, pulses=pulses),
        windows=series,
        drift=_drifts(series),
        bursts=burst_lengths(sparks),
        periods=periodicities(sparks, duration=duration),
    )


def energy_statistics(sparks: SparkTable) -> EnergyStatistics:
    """Total, median and histogram of the energies of discharges."""
    energy = sparks.energy_j[sparks.fired & (sparks.energy_j > 0.0)]
    if not energy.size:
        none = np.zeros(0)
        unknown = bool(np.isnan(sparks.energy_j).any())
        return EnergyStatistics(
            total_j=np.nan if unknown else 0.0,
            mean_j=np.nan,
            median_j=np.nan,
            charge_c=np.nan if unknown else 0.0,
            edges_j=none,
            counts=none.astype(np.int64),
        )
    low, high = np.quantile(energy, [0.001, 0.999])
    edges = np.geomspace(max(low, 1e-3 * high), high * 1.0001, BINS + 1)
    return EnergyStatistics(
        total_j=float(sparks.energy_j.sum()),
        mean_j=float(energy.mean()),
        median_j=float(np.median(energy)),
        charge_c=float(sparks.charge_c.sum()),
        edges_j=edges,
        counts=np.histogram(energy, edges)[0],
    )


def _delays(sparks: SparkTable, *, pulses: bool) -> DelayStatistics:
    """Delays of the sparks that ignited after one, and of pulses that stayed open."""
    good = sparks.fired & np.isin(sparks.class_code, (NORMAL, OPEN))
    open_pulse = ~sparks.fired & (sparks.class_code == OPEN) & pulses
    delays = np.where(open_pulse, sparks.duration_s, sparks.delay_s)
    which = good | open_pulse
    return delay_statistics(delays[which], open_pulse[which])


def window_series(sparks: SparkTable, *, duration: float, window: float | None) -> WindowSeries:
    """Counts, times and means in windows of equal length; an event counts where it began."""
    count = WINDOWS if window is None else max(1, int(np.ceil(duration / window - 1e-9)))
    length = duration / count if window is None else window
    classes = len(CLASS_NAMES)
    span = float(sparks.start_s[-1]) + 1e-12 if sparks.count else duration
    length = max(length, span / count)
    place = np.clip((sparks.start_s / length).astype(np.int64), 0, count - 1)
    cell = place * classes + sparks.class_code
    fired = sparks.fired
    hits = np.bincount(place[fired], minlength=count)

    def mean(values: Numbers) -> Numbers:
        known = fired & np.isfinite(values)
        number = np.bincount(place[known], minlength=count)
        total = np.bincount(place[known], weights=values[known], minlength=count)
        answer: Numbers = np.divide(total, number, out=np.full(count, np.nan), where=number > 0)
        return answer

    busy = np.bincount(cell, weights=sparks.duration_s, minlength=count * classes)
    return WindowSeries(
        start_s=np.arange(count, dtype=np.float64) * length,
        length_s=length,
        counts=np.bincount(cell, minlength=count * classes).reshape(count, classes),
        time_shares=busy.reshape(count, classes) / length,
        rate_hz=hits / length,
        energy_j=np.bincount(place, weights=sparks.energy_j, minlength=count).astype(np.float64),
        breakdown_voltage_v=mean(sparks.breakdown_voltage_v),
        delay_s=mean(sparks.delay_s),
    )


def _drifts(series: WindowSeries) -> tuple[Drift, ...]:
    good = series.counts[:, [NORMAL, PARTIAL, CONTACT]].sum(axis=1)
    all_events = np.maximum(series.counts.sum(axis=1), 1)
    quantities = {
        "rate_hz": series.rate_hz,
        "breakdown_voltage_v": series.breakdown_voltage_v,
        "delay_s": series.delay_s,
        "good_share": good / all_events,
        "short_time_share": series.time_shares[:, SHORT],
        "open_time_share": series.time_shares[:, OPEN],
        "arc_share": series.counts[:, list(ARCS)].sum(axis=1) / all_events,
    }
    return tuple(
        drift for name, values in quantities.items() if (drift := drift_of(name, values)) is not None
    )


def drift_of(quantity: str, values: Numbers) -> Drift | None:
    """Change of a straight line through values in equal steps, and its standard uncertainty."""
    known = np.isfinite(values)
    if np.count_nonzero(known) < 5:
        return None
    x = np.linspace(-0.5, 0.5, values.size)[known]
    y = values[known]
    x = x - x.mean()
    slope = float((x * (y - y.mean())).sum() / (x**2).sum())
    rest = y - y.mean() - slope * x
    spread = float(np.sqrt((rest**2).sum() / (x.size - 2) / (x**2).sum()))
    return Drift(quantity=quantity, change=slope, uncertainty=spread)


def burst_lengths(sparks: SparkTable) -> Codes:
    """Lengths of runs of at least three arcs, other discharges ending a run."""
    arcs = np.isin(sparks.class_code[sparks.fired], ARCS).astype(np.int8)
    edge = np.flatnonzero(np.diff(np.concatenate([[0], arcs, [0]])))
    lengths = edge[1::2] - edge[::2]
    answer: Codes = lengths[lengths >= BURST_ARCS]
    return answer


def periodicities(sparks: SparkTable, *, duration: float) -> tuple[Period, ...]:
    """Frequencies well above chance in the count of discharges over time, strongest first.

    What turns or steps shows here: the spindle, the axis, the mains. The rate
    of the sparks themselves does not: counts are taken over several of them.
    """
    starts = sparks.start_s[sparks.fired]
    if starts.size < FEWEST_FOR_PERIODS:
        return ()
    bins = int(min(1 << 16, max(32, starts.size // 2)))
    span = max(duration, float(starts[-1]))
    counts = np.histogram(starts, bins, (0.0, span))[0].astype(np.float64)
    power = np.abs(np.fft.rfft((counts - counts.mean()) * np.hanning(bins))) ** 2
    power, frequency = power[2:], np.fft.rfftfreq(bins, span / bins)[2:]
    ground = np.array([np.median(part) for part in np.array_split(power, max(1, power.size // 64))])
    level = np.interp(
        np.arange(power.size), (np.arange(ground.size) + 0.5) * power.size / ground.size, ground
    )
    ratio = power * np.log(2.0) / np.maximum(level, 1e-300)
    least = max(PERIOD_NOISE, np.log(power.size) + 7.0)
    peak = (ratio > least) & (ratio >= np.roll(ratio, 1)) & (ratio >= np.roll(ratio, -1))
    order = np.flatnonzero(peak)[np.argsort(-ratio[peak])][:5]
    return tuple(Period(frequency_hz=float(frequency[n]), strength=float(ratio[n])) for n in order)
