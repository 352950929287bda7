"""How the zero of the voltage channel drifts, told from levels that a drift moves alike.

Burning voltage, open voltage and how long charging takes have nothing to do
with each other, but a zero that drifts moves them by the same volts. Where
they move alike the zero drifts; where only one moves, the sparks or the
supply changed; where only one is there, it cannot be told.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from gapwright.capture.levels import Level

Row = NDArray[np.float64]

BLOCKS, LEAST_BLOCKS, IN_BLOCK = 32, 8, 3
"""Pieces of a course whose medians make its line, how many it takes, and values in each at least."""
SURE, ALIKE, SEEN = 4.0, 3.0, 2.0
"""Standard uncertainties from which on a drift counts, up to which two drifts are alike, and which a drift
must reach to be seen by a mark at all."""
FAR = 4.0
"""Median deviations from the median beyond which a value does not count in the middle of a piece."""
MOVES = 8.0
"""Uncertainties of a piece that a level must move from lowest to highest; noise of 32 makes four to six."""
MAINS = (50.0, 60.0)
PERIODS = 2.0
"""Whole periods of the mains that a capture must hold, or its hum looks like a drift."""
OFF_MAINS, MOST_LINES, MOST_VALUES = 0.3, 41, 4096
"""How far the mains may be off in hertz, frequencies tried, and values taken for them."""
HUM_SURE, ALIKE_SHARE = 5.0, 0.1
"""Uncertainties from which on a swing counts; share of it by which another may differ beside its own."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mark:
    """A level that stays where it is but for the zero: its values in volts, in the order of time."""

    name: str
    times: Row
    volts: Row
    is_zero: bool = False
    """Whether the level is zero itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trend:
    """Volts a second by which a mark moves."""

    name: str
    slope: float
    uncertainty: float
    is_zero: bool
    moved: float
    """Volts from the lowest to the highest piece of it, however it moves."""
    unrest: float
    """Standard uncertainty of a piece from the scatter within it, in volts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """What was found of the zero's drift; `level` is None where it cannot be told from the capture."""

    level: Level | None
    marks: tuple[str, ...] = ()
    """What moved, or stayed, alike."""
    doubt: float = 0.0
    """Volts a second by which the zero may drift where that cannot be told."""


def trend_of(mark: Mark) -> Trend | None:
    """Straight line through the middles of pieces of a mark; None where it has too few values.

    The scatter of the middles gives the uncertainty, so that a slow unrest of the level counts in it.
    """
    blocks = min(BLOCKS, mark.times.size // IN_BLOCK)
    if blocks < LEAST_BLOCKS:
        return None
    borders = np.linspace(0, mark.times.size, blocks + 1).astype(int)
    pieces = [slice(a, b) for a, b in pairwise(borders)]
    times = np.array([mark.times[piece].mean() for piece in pieces])
    volts = np.array([_middle(mark.volts[piece]) for piece in pieces])
    away = times - times.mean()
    spread = float(away @ away)
    if not spread > 0.0:
        return None
    slope = float(away @ volts) / spread
    rest = volts - volts.mean() - slope * away
    uncertainty = float(np.sqrt(rest @ rest / (blocks - 2) / spread))
    scatter = [float(np.std(mark.volts[piece])) / float(np.sqrt(mark.volts[piece].size)) for piece in pieces]
    return Trend(
        name=mark.name,
        slope=slope,
        uncertainty=uncertainty,
        is_zero=mark.is_zero,
        moved=float(np.ptp(volts)),
        unrest=float(np.median(scatter)),
    )


def _middle(values: Row) -> float:
    """Mean of the values that are not far out."""
    away = np.abs(values - np.median(values))
    return float(values[away <= FAR * np.median(away)].mean())


def calmed(mark: Mark, span: float, frequency: float) -> Mark:
    """The mark without its swing at the frequency of the mains, which is no drift."""
    hum = hum_of(mark, span, frequency)
    return mark if hum is None else replace(mark, volts=mark.volts - hum.at(mark.times))


def told_drift(marks: Sequence[Mark], span: float) -> Drift:
    """Drift of the zero over a capture of `span` seconds, from its marks, the burning voltage first."""
    trends = [trend for mark in marks if (trend := trend_of(mark)) is not None]
    if not trends or trends[0].name != marks[0].name:
        return Drift(level=None)
    if span < PERIODS / min(MAINS):
        return _in_short(trends, span)
    zero = next((trend for trend in trends if trend.is_zero), None)
    if zero is not None:
        return _found([zero, *(t for t in trends if t is not zero and _are_alike(t, zero))])
    burning, others = trends[0], [t for t in trends[1:] if t.uncertainty > 0.0]
    moves = abs(burning.slope) > SURE * burning.uncertainty
    if moves:
        others = [other for other in others if abs(burning.slope) > SEEN * other.uncertainty]
    alike = [other for other in others if _are_alike(other, burning)]
    if alike or not moves:
        return _found([burning, *alike])
    still = min(others, key=lambda other: abs(other.slope), default=burning)
    if abs(still.slope) < abs(burning.slope):
        return _found([still])
    return Drift(level=None, doubt=burning.slope)


def _in_short(trends: list[Trend], span: float) -> Drift:
    """What a capture tells that is too short to tell hum from a drift: how much its levels move at most."""
    most = max(trends, key=lambda trend: trend.moved / max(trend.unrest, 1e-300))
    if most.moved > MOVES * most.unrest:
        return Drift(level=None, doubt=most.moved / span)
    return _found([min(trends, key=lambda trend: trend.uncertainty)])


def _are_alike(one: Trend, other: Trend) -> bool:
    apart = abs(one.slope - other.slope)
    return apart <= ALIKE * float(np.hypot(one.uncertainty, other.uncertainty))


def _found(trends: list[Trend]) -> Drift:
    """Mean of trends by their uncertainties; none where it does not stand out."""
    least = max(min(trend.uncertainty for trend in trends), 1e-300)
    weights = np.array([(least / max(trend.uncertainty, least)) ** 2 for trend in trends])
    slope = float(weights @ [trend.slope for trend in trends] / weights.sum())
    uncertainty = least / float(np.sqrt(weights.sum()))
    level = Level(
        value=slope if abs(slope) > SURE * uncertainty else 0.0, uncertainty=uncertainty, from_="capture"
    )
    return Drift(level=level, marks=tuple(trend.name for trend in trends))


@dataclass(frozen=True, slots=True, kw_only=True)
class Hum:
    """Swing of a mark at the frequency of the mains: volts are cosine and sine at times since the start."""

    frequency: float
    cosine: float
    sine: float
    uncertainty: float
    """Of either, in volts."""

    @property
    def amplitude(self) -> float:
        """Half the swing, in volts."""
        return float(np.hypot(self.cosine, self.sine))

    def at(self, times: Row) -> Row:
        """Volts at times."""
        angle = 2.0 * np.pi * self.frequency * times
        answer: Row = self.cosine * np.cos(angle) + self.sine * np.sin(angle)
        return answer


def hum_of(mark: Mark, span: float, frequency: float | None = None) -> Hum | None:
    """Swing of a mark at 50 or 60 Hz, or at a frequency of another mark; None where none stands out.

    A capture that holds less than two periods tells none.
    """
    if span < PERIODS / min(MAINS) or mark.times.size < BLOCKS:
        return None
    step = -(-mark.times.size // MOST_VALUES)
    times, volts = mark.times[::step], mark.volts[::step]
    away = volts - np.median(volts)
    near = np.abs(away) <= FAR * 1.4826 * float(np.median(np.abs(away)))
    times, away = times[near], away[near]
    best = max(
        (_line_at(times, away, each) for each in _lines(span, frequency)), key=lambda hum: hum.amplitude
    )
    return best if best.amplitude > HUM_SURE * best.uncertainty else None


def _lines(span: float, frequency: float | None) -> list[float]:
    """Frequencies to try, as finely as a capture of that span tells them apart."""
    if frequency is not None:
        return [frequency]
    lines = int(np.clip(np.ceil(4.0 * OFF_MAINS * span), 1, MOST_LINES))
    off = np.linspace(-OFF_MAINS, OFF_MAINS, lines) if lines > 1 else np.zeros(1)
    return [float(mains + each) for mains in MAINS for each in off]


def _line_at(times: Row, volts: Row, frequency: float) -> Hum:
    angle = 2.0 * np.pi * frequency * times
    parts = np.stack([np.ones(times.size), times - times.mean(), np.cos(angle), np.sin(angle)])
    fitted = np.linalg.lstsq(parts @ parts.T, parts @ volts, rcond=None)[0]
    left = volts - fitted @ parts
    unsure = float(np.sqrt(2.0 * (left @ left) / max(times.size - 4, 1) / times.size))
    return Hum(frequency=frequency, cosine=float(fitted[2]), sine=float(fitted[3]), uncertainty=unsure)


def told_hum(marks: Sequence[Mark], span: float) -> tuple[Hum | None, bool]:
    """Swing of the first mark at the mains' frequency, and whether another does alike: then the zero hums."""
    first = hum_of(marks[0], span) if marks else None
    if first is None:
        return None, False
    others = [hum_of(mark, span, first.frequency) for mark in marks[1:]]
    alike = [other for other in others if other is not None and _swing_alike(first, other)]
    return first, bool(alike)


def _swing_alike(one: Hum, other: Hum) -> bool:
    apart = float(np.hypot(one.cosine - other.cosine, one.sine - other.sine))
    return apart <= ALIKE * float(np.hypot(one.uncertainty, other.uncertainty)) + ALIKE_SHARE * one.amplitude
