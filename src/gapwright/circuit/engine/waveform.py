"""Waveforms of a run: from the state at the start of every step, in closed form at any time in between."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.units import Seconds
from gapwright.circuit.engine import _happening_kernel as hk
from gapwright.circuit.engine._ladder_kernel import ROOM, values_by_ladder
from gapwright.circuit.engine.modes import ModeBook
from gapwright.circuit.network.mna import Rows

FINE = 8
"""Points of a waveform per slice, and at least so many per step of the run."""
TURN = 0.125 * np.pi
"""Turn of an oscillation between two points. [rad]"""
MOST_POINTS = 4096
"""Points of one step at most."""
MOST_KNOTS = 2_000_000
"""Steps of a recorded stretch at most; some hundred megabytes."""
Listener = Callable[[hk.Numbers, hk.Counts, hk.Numbers], None]
"""Hears times, modes and terms of every step, in packets."""
NEWTON_STEPS = 4
"""Steps by which a turning point is found."""


@dataclass(slots=True, kw_only=True, eq=False)
class Trace:
    """States at the start of every step of a stretch of time, from which waveforms are drawn."""

    book: ModeBook
    times: hk.Numbers
    slots: hk.Counts
    terms: hk.Numbers
    stop: Seconds = 0.0
    """End of the stretch."""
    wanted: tuple[Seconds, Seconds] = (0.0, np.inf)
    """Stretch of which waveforms are wanted; steps outside it are only looked at by the listener."""
    listener: Listener | None = None
    kept: list[tuple[hk.Numbers, hk.Counts, hk.Numbers]] = field(default_factory=list)

    @classmethod
    def blank(cls, book: ModeBook, room: int) -> "Trace":
        """Trace with room for so many steps at a time."""
        return cls(
            book=book,
            times=np.zeros(room),
            slots=np.zeros(room, dtype=np.int64),
            terms=np.zeros((room, book.m)),
        )

    def flush(self, count: int) -> None:
        """Put the first `count` steps away, those before and after the wanted stretch left out."""
        times, slots, terms = self.times[:count], self.slots[:count], self.terms[:count]
        if self.listener is not None:
            self.listener(times, slots, terms)
        first = max(0, int(np.searchsorted(times, self.wanted[0], side="right")) - 1)
        last = int(np.searchsorted(times, self.wanted[1], side="right"))
        part = slice(first, last)
        self.kept.append((times[part].copy(), slots[part].copy(), terms[part].copy()))
        if sum(len(packet[0]) for packet in self.kept) > MOST_KNOTS:
            raise InputRefused(
                f"a recorded stretch must have at most {MOST_KNOTS:g} steps, got more; record a shorter one"
            )

    def knots(self) -> tuple[hk.Numbers, hk.Counts, hk.Numbers]:
        """Times, modes and terms of all steps kept."""
        times, slots, terms = zip(*self.kept, strict=True)
        return np.concatenate(times), np.concatenate(slots), np.concatenate(terms)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waveform:
    """One quantity over time: least and greatest value within each of many equal slices."""

    times: NDArray[np.float64]
    """(n,) middle of each slice. [s]"""
    low: NDArray[np.float64]
    high: NDArray[np.float64]


def _points_of_steps(
    trace: Trace, knots: tuple[hk.Numbers, hk.Counts, hk.Numbers], edges: Rows
) -> tuple[Rows, hk.Counts]:
    """Times within the steps of a stretch at which they are looked at, and the number of the step of each."""
    times, slots, _ = knots
    start, stop = np.maximum(times, edges[0]), np.minimum(np.append(times[1:], edges[-1]), edges[-1])
    steps = np.flatnonzero(stop > start)
    width = (stop - start)[steps]
    t = trace.book.tables
    turning = np.where(np.arange(t.rates.shape[1]) > t.reals[:, None], np.abs(t.rates), 0.0).max(axis=1)
    count = np.clip(np.ceil(turning[slots[steps]] * width / TURN), FINE, MOST_POINTS).astype(np.int64)
    step = np.repeat(steps, count + 1)
    first = np.repeat(np.cumsum(count + 1) - count - 1, count + 1)
    share = (np.arange(len(step)) - first) / np.repeat(count, count + 1)
    return start[step] + share * np.repeat(width, count + 1), step


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Row:
    """One watched quantity of a recorded run, at any time."""

    trace: Trace
    knots: tuple[hk.Numbers, hk.Counts, hk.Numbers]
    mix: Rows
    """(rows,) how much of each watched row is in the quantity."""

    def at(self, points: Rows, step: hk.Counts, *, order: int = 0) -> Rows:
        """Values at times within given steps, or their slopes or curvatures by order."""
        times, slots, terms = self.knots
        values = np.zeros(len(points))
        for slot in np.unique(slots[step]):
            here = slots[step] == slot
            elapsed = points[here] - times[step[here]]
            values[here] = _evaluated(self.trace.book, int(slot), terms[step[here]], elapsed, self.mix, order)
        return values


def _turning_points(quantity: _Row, points: Rows, step: hk.Counts) -> tuple[Rows, hk.Counts]:
    """Times at which the quantity turns between two points of one step."""
    slope = quantity.at(points, step, order=1)
    turns = np.flatnonzero((slope[:-1] * slope[1:] < 0) & (step[:-1] == step[1:]))
    low, high, own = points[turns], points[turns + 1], step[turns]
    t = low + (high - low) * slope[turns] / (slope[turns] - slope[turns + 1])
    for _ in range(NEWTON_STEPS):
        bend = quantity.at(t, own, order=2)
        move = np.divide(quantity.at(t, own, order=1), bend, out=np.zeros(len(t)), where=bend != 0)
        t = np.clip(t - move, low, high)
    return t, own


def drawn(trace: Trace, mix: Rows, edges: Rows) -> Waveform:
    """Least and greatest value of a mix of watched rows in each slice between `edges`."""
    knots = trace.knots()
    times = knots[0]
    if not len(times) or edges[0] < times[0] or edges[-1] > trace.stop:
        raise InputRefused(
            "a waveform must lie in the recorded stretch, got one outside; record a longer stretch"
        )
    quantity = _Row(trace=trace, knots=knots, mix=mix)
    grid = np.linspace(edges[0], edges[-1], (len(edges) - 1) * FINE + 1)
    points, step = _points_of_steps(trace, knots, edges)
    turns, own = _turning_points(quantity, points, step)
    step = np.concatenate([step, own, np.searchsorted(times, grid, side="right") - 1])
    points = np.concatenate([points, turns, grid])
    values = quantity.at(points, step)
    place = np.clip(np.searchsorted(edges, points, side="right") - 1, 0, len(edges) - 2)
    low, high = np.full(len(edges) - 1, np.inf), np.full(len(edges) - 1, -np.inf)
    np.minimum.at(low, place, values)
    np.maximum.at(high, place, values)
    return Waveform(times=0.5 * (edges[1:] + edges[:-1]), low=low, high=high)


def _evaluated(book: ModeBook, slot: int, q: Rows, elapsed: Rows, mix: Rows, order: int) -> Rows:
    """Values (or slopes, or curvatures) of a mix of watched rows, each `elapsed` after its own terms."""
    t = book.tables
    weights = t.watched[slot] @ mix
    if not t.modal[slot]:
        weights = weights @ np.linalg.matrix_power(t.system[slot], order)
        m, values = len(weights), np.zeros(len(elapsed))
        states, row = np.ascontiguousarray(q), np.ascontiguousarray(weights)
        values_by_ladder(t.system[slot], states, elapsed, row, np.zeros((ROOM, m, m)), np.zeros(m), values)
        return values
    reals, rates = t.reals[slot], t.rates[slot]
    own = rates[:reals]
    total = (q[:, :reals] * np.exp(np.outer(elapsed, own))) @ (weights[:reals] * own**order)
    for k in range(reals, len(rates), 2):
        rate = complex(rates[k], rates[k + 1])
        turned = rate**order * (q[:, k] + 1j * q[:, k + 1]) * np.exp(elapsed * rate)
        total = total + turned.real * weights[k] + turned.imag * weights[k + 1]
    return np.asarray(total)
