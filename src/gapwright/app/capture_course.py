"""How the sparks of a capture went over time, and what that means: the part of its answer about the run."""

from dataclasses import dataclass

import numpy as np

from gapwright.base.units import Hertz, Joules, Number, Seconds, Volts
from gapwright.capture.classify import CLASS_NAMES
from gapwright.capture.delays import Numbers
from gapwright.capture.reading import CaptureReading
from gapwright.capture.statistics import EnergyStatistics


@dataclass(frozen=True, slots=True, kw_only=True)
class FitAnswer:
    """A law fitted to the ignition delays, and how far it is from them."""

    law: str
    parameters: dict[str, Number]
    distance: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class SurvivorAnswer:
    """Share of the waits that had not ended with a spark by a time; those that never did count as longer."""

    time_s: tuple[Seconds, ...]
    share: tuple[Number, ...]
    ignitions: int
    censored: int


@dataclass(frozen=True, slots=True, kw_only=True)
class HistogramAnswer:
    """Discharges by their energy, over bins of equal steps of the logarithm."""

    edges_j: tuple[Joules, ...]
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftAnswer:
    """Change of a quantity from the beginning to the end of the capture."""

    quantity: str
    change: Number
    uncertainty: Number
    stands_out: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BurstsAnswer:
    """Arcs that follow each other: how many such rows, and the longest in arcs."""

    count: int
    longest: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PeriodAnswer:
    """A frequency at which sparks come and go."""

    frequency_hz: Hertz
    strength: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowsAnswer:
    """State of the gap window by window; None where a window holds no discharge."""

    length_s: Seconds
    start_s: tuple[Seconds, ...]
    rate_hz: tuple[Hertz, ...]
    energy_j: tuple[Joules | None, ...]
    """None all through where no energy is told."""
    breakdown_voltage_v: tuple[Volts | None, ...]
    delay_s: tuple[Seconds | None, ...]
    time_shares: dict[str, tuple[Number, ...]]
    """By class."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeaningAnswer:
    """Something that the capture means for the drilling, and why."""

    key: str
    text: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseAnswer:
    """How a run went."""

    count_shares: dict[str, Number]
    delayed: int
    energies: HistogramAnswer
    delay_survivor: SurvivorAnswer
    delay_fits: tuple[FitAnswer, ...]
    drift: tuple[DriftAnswer, ...]
    bursts: BurstsAnswer
    periods: tuple[PeriodAnswer, ...]
    windows: WindowsAnswer
    meaning: tuple[MeaningAnswer, ...]


def known(value: float) -> float | None:
    """A number, or None for one that is not."""
    return float(value) if np.isfinite(value) else None


def course_answer(reading: CaptureReading, *, energy_told: bool) -> CourseAnswer:
    """Statistics over time of a capture that was read, as a record; energies only where they are told."""
    found = reading.statistics
    return CourseAnswer(
        count_shares=found.count_shares,
        delayed=found.delayed,
        energies=_histogram(found.energy) if energy_told else HistogramAnswer(edges_j=(), counts=()),
        delay_survivor=SurvivorAnswer(
            time_s=tuple(found.delay.times_s.tolist()),
            share=tuple(found.delay.survivor.tolist()),
            ignitions=found.delay.ignitions,
            censored=found.delay.censored,
        ),
        delay_fits=tuple(
            FitAnswer(law=fit.law, parameters=dict(fit.parameters), distance=fit.distance)
            for fit in found.delay.fits
        ),
        drift=tuple(
            DriftAnswer(
                quantity=each.quantity,
                change=each.change,
                uncertainty=each.uncertainty,
                stands_out=each.is_real,
            )
            for each in found.drift
        ),
        bursts=BurstsAnswer(count=int(found.bursts.size), longest=int(found.bursts.max(initial=0))),
        periods=tuple(
            PeriodAnswer(frequency_hz=each.frequency_hz, strength=each.strength) for each in found.periods
        ),
        windows=_windows(reading, energy_told=energy_told),
        meaning=tuple(MeaningAnswer(key=each.key, text=each.text, why=each.why) for each in reading.meaning),
    )


def _histogram(energy: EnergyStatistics) -> HistogramAnswer:
    return HistogramAnswer(edges_j=tuple(energy.edges_j.tolist()), counts=tuple(energy.counts.tolist()))


def _windows(reading: CaptureReading, *, energy_told: bool) -> WindowsAnswer:
    series = reading.statistics.windows

    def row(values: Numbers) -> tuple[float | None, ...]:
        return tuple(known(value) for value in values)

    return WindowsAnswer(
        length_s=series.length_s,
        start_s=tuple(map(float, series.start_s)),
        rate_hz=tuple(map(float, series.rate_hz)),
        energy_j=row(series.energy_j if energy_told else np.full(series.energy_j.size, np.nan)),
        breakdown_voltage_v=row(series.breakdown_voltage_v),
        delay_s=row(series.delay_s),
        time_shares={
            name: tuple(map(float, series.time_shares[:, code])) for code, name in enumerate(CLASS_NAMES)
        },
    )
