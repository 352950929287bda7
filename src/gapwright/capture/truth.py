"""Captures with known answers: what is true of every spark, and the waveforms that follow from it.

A course of the gap is written as pieces of time (charging, waiting, burning,
shorted), each with a closed form for voltage and current. The same pieces
give the samples and, by integration on paper, every spark's charge and
energy. Randomness comes in from outside. Nothing here knows a threshold of
the understanding but the definitions of the classes.
"""

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused

Samples = NDArray[np.float32]
Table = NDArray[Any]

TRUE_SPARK = np.dtype(
    [
        ("start", "f8"),
        ("end", "f8"),
        ("delay", "f8"),
        ("breakdown", "f8"),
        ("burning", "f8"),
        ("peak", "f8"),
        ("charge", "f8"),
        ("energy", "f8"),
        ("code", "i8"),
    ]
)
"""One true event: times in seconds, volts, amperes, coulombs, joules and the class's code."""


class Piece(NamedTuple):
    """A stretch of time in which voltage and current follow one closed form."""

    kind: str
    """`charge`, `pump`, `level` or `burn`."""
    begin: float
    end: float
    first: float
    """Voltage at its beginning; for `burn` the burning voltage without current. [V]"""
    last: float
    """Voltage that charging tends to. [V]"""
    constant: float
    """Time constant of charging, time of a whole pump-up, or front time of a burning current. [s]"""
    peak: float = 0.0
    """Current. [A]"""
    resistance: float = 0.0
    """Slope of the burning voltage over current. [ohm]"""
    ripple: float = 0.0
    """Fast unrest of the burning voltage, r.m.s. [V]"""
    shape: str = "half sine"
    """`half sine`, `decay` or `plateau`."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Truth:
    """Samples without a fault, and what is true of each event."""

    voltage: Samples
    current: Samples
    rate: float
    events: Table
    """Rows of `TRUE_SPARK`, in the order of time."""

    @property
    def energy(self) -> float:
        """Joules of all events."""
        return float(self.events["energy"].sum())


DECAY_SPAN = 8.0
"""A decaying current is cut after so many of its decay times."""
FRONT_SHARE = 0.1
"""Front time of a decaying current over its decay time."""


def decay_times(piece: Piece) -> tuple[float, float]:
    """Decay and front time, in seconds, of a `decay` current that fills the piece."""
    slow = (piece.end - piece.begin) / DECAY_SPAN
    return slow, FRONT_SHARE * slow


def burn_current(piece: Piece, elapsed: NDArray[np.float64]) -> NDArray[np.float64]:
    """Current of a burning piece at times since its beginning."""
    span = piece.end - piece.begin
    if piece.shape == "half sine":
        wave = np.sin(np.pi * elapsed / span)
    elif piece.shape == "decay":
        slow, fast = decay_times(piece)
        wave = np.exp(-elapsed / slow) - np.exp(-elapsed / fast)
    else:
        wave = -np.expm1(-elapsed / piece.constant)
    answer: NDArray[np.float64] = piece.peak * wave
    return answer


def burn_sums(piece: Piece) -> tuple[float, float]:
    """Charge (C) and action integral (A²s) of a burning piece, by integration on paper."""
    span, peak = piece.end - piece.begin, piece.peak
    if piece.shape == "half sine":
        return 2.0 * peak * span / np.pi, peak**2 * span / 2.0
    if piece.shape == "decay":
        slow, fast = decay_times(piece)
        once = slow * -np.expm1(-span / slow) - fast * -np.expm1(-span / fast)
        mixed = slow * fast / (slow + fast)
        twice = (slow + fast) / 2.0 - 2.0 * mixed - slow / 2.0 * np.exp(-2.0 * span / slow)
        return peak * once, peak**2 * twice
    tau = piece.constant
    gone = -np.expm1(-span / tau)
    return peak * (span - tau * gone), peak**2 * (
        span - 2.0 * tau * gone + tau / 2.0 * -np.expm1(-2 * span / tau)
    )


def burn_energy(piece: Piece) -> tuple[float, float]:
    """Charge (C) and energy (J) of a burning piece."""
    charge, action = burn_sums(piece)
    return charge, piece.first * charge + piece.resistance * action


def sampled(pieces: list[Piece], *, rate: float, rng: np.random.Generator) -> tuple[Samples, Samples]:
    """Voltage and current of a course at sampling times 0, 1/rate, 2/rate, ..."""
    if not pieces or not rate > 0:
        raise InputRefused("a course needs at least one piece and a rate above 0 Hz")
    count = int(pieces[-1].end * rate)
    voltage, current = np.zeros(count, np.float32), np.zeros(count, np.float32)
    for piece in pieces:
        a, b = int(np.ceil(piece.begin * rate)), min(int(np.ceil(piece.end * rate)), count)
        if b <= a:
            continue
        elapsed = np.arange(a, b) / rate - piece.begin
        if piece.kind == "charge":
            voltage[a:b] = piece.last + (piece.first - piece.last) * np.exp(-elapsed / piece.constant)
        elif piece.kind == "pump":
            rising = np.sqrt(piece.first**2 + piece.last**2 * elapsed / piece.constant)
            voltage[a:b] = np.minimum(rising, piece.last)
        elif piece.kind == "level":
            voltage[a:b] = piece.first
            current[a:b] = piece.peak
        else:
            i = burn_current(piece, elapsed)
            current[a:b] = i
            unrest = piece.ripple * rng.standard_normal(b - a) if piece.ripple > 0 else 0.0
            voltage[a:b] = piece.first + piece.resistance * i + unrest
    return voltage, current
