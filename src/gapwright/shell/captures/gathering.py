"""Samples that arrive in pieces, gathered into one row for each channel, with checks on the way."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.capture.timeline import Timeline
from gapwright.capture.waveform import Segments
from gapwright.shell.captures.rooms import room

FLOAT = np.dtype(np.float32)
OVERFLOW = 1e30
"""Values from here on are codes for an overflow, never volts or amperes."""

Bools = NDArray[np.bool_]


@dataclass(slots=True, kw_only=True)
class Gathering:
    """Rows of samples as they come; `missing` says what a row without a number does."""

    place: str
    names: tuple[str, ...]
    expected: int
    """Rows for which room is made; more is made when they are used up."""
    missing: str
    first_row: int
    """Number of the first row for remarks, as a person counts it."""
    rows: int = 0
    """Rows that came, those without a number included."""
    count: int = 0
    dropped: int = 0
    samples: list[NDArray[np.float32]] = field(default_factory=list)
    breaks: list[int] = field(default_factory=list)
    """Index after each stretch of rows that were left out."""
    kept_rows: list[int] = field(default_factory=list)
    """Row of the first sample after each of them."""

    def __post_init__(self) -> None:
        """Make room."""
        self.samples = [room(self.expected, FLOAT) for _ in self.names]

    def add(self, values: list[NDArray[Any]]) -> Bools | None:
        """Take the next rows; returns which of them were kept, or None for all of them.

        Raises
        ------
        InputRefused
            If a value is missing or an overflow code, and no gaps were asked for.
        """
        size = values[0].size
        whole = all(size == 0 or _all_numbers(column) for column in values)
        kept = None if whole else self._numbers_only(values)
        if kept is not None:
            self._note_breaks(kept)
            values = [column[kept] for column in values]
        self._append(values)
        self.rows += size
        return kept

    def _append(self, values: list[NDArray[Any]]) -> None:
        size = values[0].size
        if self.count + size > self.samples[0].size:
            larger = int(1.5 * self.samples[0].size) + size
            for k, old in enumerate(self.samples):
                new = room(larger, FLOAT)
                new[: self.count] = old[: self.count]
                self.samples[k] = new
        for row, column in zip(self.samples, values, strict=True):
            row[self.count : self.count + size] = column
        self.count += size

    def _numbers_only(self, values: list[NDArray[Any]]) -> Bools:
        good = np.ones(values[0].size, dtype=bool)
        for name, column in zip(self.names, values, strict=True):
            fine = np.abs(column) < OVERFLOW
            if self.missing == "refuse" and not fine.all():
                k = int(np.argmin(fine))
                raise InputRefused(
                    f"{self.place!r} must hold a number in every sample, got {column[k]:g} for {name!r} "
                    f"in row {self.first_row + self.rows + k}; cut such rows out or give --missing gaps"
                )
            good &= fine
        return good

    def _note_breaks(self, kept: Bools) -> None:
        """Remember where samples go on after rows that are left out."""
        self.dropped += int(kept.size - np.count_nonzero(kept))
        places = np.flatnonzero(kept)
        onward = places[np.diff(places, prepend=-1) > 1]
        before = np.cumsum(kept)
        for k in onward:
            self.breaks.append(self.count + int(before[k]) - 1)
            self.kept_rows.append(self.rows + int(k))
        if not kept[-1] and self.rows + kept.size not in self.kept_rows:
            self.breaks.append(self.count + int(before[-1]))
            self.kept_rows.append(self.rows + kept.size)

    def channels(self) -> list[NDArray[np.float32]]:
        """Samples of each channel.

        Raises
        ------
        InputRefused
            If none came.
        """
        if self.count == 0:
            raise InputRefused(f"{self.place!r} must hold at least one sample, got none")
        return [row[: self.count] for row in self.samples]

    def segments(self, rate: float) -> Segments:
        """Stretches between rows that were left out, where rows are the only clock."""
        inside = [(k, row) for k, row in zip(self.breaks, self.kept_rows, strict=True) if 0 < k < self.count]
        starts = np.array([0, *dict(inside)], dtype=np.int64)
        first = self.kept_rows[0] if self.breaks and self.breaks[0] == 0 else 0
        rows = np.array([first, *dict(inside).values()], dtype=np.int64)
        return Segments(
            starts=starts, lengths=np.diff(np.append(starts, self.count)), times=(rows - first) / rate
        )


def _all_numbers(values: NDArray[Any]) -> bool:
    """Whether every value is a number that can be a voltage or current; NaN fails every comparison."""
    return bool(values.max() < OVERFLOW and values.min() > -OVERFLOW)


def clock(gathering: Gathering, timeline: Timeline | None, rate: float | None) -> tuple[float, Segments]:
    """Rate and segments: from the column of times where there is one, else from the rows.

    Raises
    ------
    InputRefused
        If neither says how fast the samples were taken.
    """
    if timeline is not None and rate is None:
        return timeline.rate, timeline.segments()
    if rate is None:
        raise InputRefused(
            f"{gathering.place!r} must say how fast its samples were taken, got no times and no rate; "
            'give --rate such as "10 MHz"'
        )
    return rate, gathering.segments(rate)
