"""Waits and discharges of a capture: one streaming pass, whole or in pieces that join exactly."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gapwright.base.progress import Progress, silent
from gapwright.base.units import Amperes, Volts
from gapwright.capture import _rows_kernel as k
from gapwright.capture._kernel import finish, scan
from gapwright.capture.waveform import Capture, Codes, upright

Marks = NDArray[np.int64]
Sums = NDArray[np.float64]
Runner = Callable[[Callable[[int], Any], Iterable[int]], Iterable[Any]]
"""Runs a function on several numbers, in order of the answers: `map`, or that of a pool of threads."""

STEP = 1 << 22
"""Samples between two reports; a few milliseconds of work."""
ROOM = 1 << 14
"""Rows that are kept at a time."""
LEAD = 50_000
"""A later piece begins so many samples early, so that it meets an end that the piece before has too."""
BACK = 64
"""Samples over which a rise of the voltage is followed back, where pulses are told by it."""
LONGEST = 1 << 24
"""A discharge of more samples is written in parts."""
BLOCKS, LEAST_BLOCK = 256, 1 << 16
"""Blocks of a segment whose zero drifts, each with its own edges; and samples of one at least."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """Levels between which the pass tells waiting, voltage and current apart."""

    ready: Volts
    """From here the gap holds voltage."""
    unready: Volts
    """Below here it has lost it again."""
    short: Volts
    arc_from: Volts
    arc_to: Volts
    zero: Amperes = 0.0
    on: Amperes
    """A current this far from zero begins a discharge."""
    off: Amperes
    """A current nearer to zero than this is over."""
    hold: int = 5
    """So many samples near zero end a discharge."""
    grace: int = 32
    """A current may follow a fall of the voltage by so many samples."""
    long: int = 0
    """A longer wait without voltage, in samples, is looked at for a short or a standing arc."""
    usual: int = 0
    """Samples of a usual discharge; sums of a narrower one reach as far."""
    back: int = BACK
    """A rise of the voltage is followed back over so many samples at most."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rows:
    """Waits and what ended them; columns as the kernel names them."""

    marks: Marks
    sums: Sums

    @property
    def count(self) -> int:
        """How many rows there are."""
        return len(self.marks)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretch:
    """Samples of one segment, upright, with the edges in their own codes."""

    voltage: Codes
    current: Codes
    voltage_edges: Codes
    """Edges in each block, one in a row; so are those of the current."""
    current_edges: Codes
    block: int
    """Samples of a block: all of them where no zero drifts."""
    numbers: NDArray[np.int64]
    wide: Codes
    """An empty row of the kind of number in which samples are summed: counts in whole ones, exactly."""

    @property
    def count(self) -> int:
        """Samples of the segment."""
        return int(self.voltage.size)

    def edges_at(self, place: int) -> tuple[Codes, Codes]:
        """Edges of voltage and current at a sample."""
        row = min(place // self.block, len(self.voltage_edges) - 1)
        return self.voltage_edges[row], self.current_edges[row]


def in_codes(
    levels: NDArray[np.float64], kind: np.dtype[Any], line: tuple[float, float], *, beyond: bool = False
) -> Codes:
    """Levels in the codes of a channel whose line (scale, offset) is given.

    Whole codes are rounded, and those out of reach stay at the ends. Levels
    that a sample must pass (`beyond`), by turns upward and downward, are moved
    so that the rounded code itself passes.
    """
    exact = (levels - line[1]) / line[0]
    if kind.kind == "f":
        return exact.astype(kind)
    whole = np.rint(exact) + (np.resize([-1.0, 1.0], exact.size) if beyond else 0.0)
    ends = np.iinfo(kind)
    return np.clip(whole, ends.min, ends.max).astype(kind)


def stretch_of(capture: Capture, number: int, edges: Edges) -> Stretch:
    """One segment of a capture with current, ready for the pass."""
    if capture.current is None:
        raise TypeError("this pass needs a current")
    start = int(capture.segments.starts[number])
    stop = start + int(capture.segments.lengths[number])
    v, v_scale, v_offset = upright(capture.voltage[start:stop], capture.voltage_scale, capture.voltage_offset)
    i, i_scale, i_offset = upright(capture.current[start:stop], capture.current_scale, capture.current_offset)
    levels = np.array([edges.ready, edges.unready, edges.short, edges.arc_from, edges.arc_to])
    limits = edges.zero + np.array([edges.on, -edges.on, edges.off, -edges.off])
    drifts = capture.voltage_drift or 0.0, capture.current_drift
    block = max(-(-v.size // BLOCKS), LEAST_BLOCK) if any(drifts) else v.size
    middles = (np.arange(0, v.size, block) + 0.5 * block) / capture.rate + capture.segments.times[number]
    return Stretch(
        voltage=v,
        current=i,
        voltage_edges=np.stack(
            [in_codes(levels + drifts[0] * t, v.dtype, (v_scale, v_offset)) for t in middles]
        ),
        current_edges=np.stack(
            [in_codes(limits + drifts[1] * t, i.dtype, (i_scale, i_offset), beyond=True) for t in middles]
        ),
        block=block,
        numbers=np.array([edges.hold, edges.grace, LONGEST, edges.usual, edges.long, edges.back]),
        wide=np.zeros(0, np.float64 if "f" in (v.dtype.kind, i.dtype.kind) else np.int64),
    )


def by_columns(parts: Sequence[NDArray[Any]]) -> NDArray[Any]:
    """Rows of several parts as one array whose columns lie in one piece each, as they are asked for."""
    return np.concatenate([part.T for part in parts], axis=1).T


class Pass:
    """A pass over one stretch, from any sample on."""

    def __init__(self, stretch: Stretch, first: int = 0) -> None:
        self.stretch = stretch
        self.state = np.zeros(k.STATE, dtype=np.int64)
        self.state[[k.POSITION, k.BEGIN, k.USED]] = first
        self.state[[k.AT_READY, k.RISE]] = -1
        self.kept: list[tuple[Marks, Sums]] = []
        self.pages: dict[int, tuple[Marks, Sums]] = {}

    def go(self, stop: int, *, room: int = ROOM, single: bool = False) -> None:
        """Go on until `stop`, or with `single` until one row is written."""
        if room not in self.pages:
            self.pages[room] = np.zeros((room, k.MARKS), np.int64), np.zeros((room, k.SUMS))
        marks, sums = self.pages[room]
        s, why = self.stretch, k.FULL
        while why == k.FULL or int(self.state[k.POSITION]) < stop:
            place = int(self.state[k.POSITION])
            args = (s.voltage, s.current, *s.edges_at(place), s.numbers, s.wide)
            why = scan(*args, self.state, marks, sums, min(stop, (place // s.block + 1) * s.block))
            rows = int(self.state[k.ROWS])
            self.kept.append((marks[:rows].copy(), sums[:rows].copy()))
            self.state[k.ROWS] = 0
            if single and rows:
                return

    def through(self, stop: int, progress: Progress = silent) -> None:
        """Go on until `stop`, telling how far every few milliseconds."""
        while (place := int(self.state[k.POSITION])) < stop:
            self.go(min(place + STEP, stop))
            if not progress(int(self.state[k.POSITION]), self.stretch.count, "sparks"):
                raise KeyboardInterrupt

    def to_next_end(self, beyond: int) -> tuple[int, int] | None:
        """Go on to the first discharge that ends at or after a sample; give where it began and ended."""
        n = self.stretch.count
        while int(self.state[k.POSITION]) < n:
            self.go(min(int(self.state[k.POSITION]) + STEP, n), room=1, single=True)
            marks = self.kept[-1][0]
            if len(marks) and marks[-1, k.M_KIND] == k.DISCHARGE and marks[-1, k.M_END] >= beyond:
                return int(marks[-1, k.M_START]), int(marks[-1, k.M_END])
        return None

    def finish(self) -> None:
        """Write what the end of the samples cuts off."""
        marks, sums = np.zeros((2, k.MARKS), np.int64), np.zeros((2, k.SUMS))
        s = self.stretch
        args = (s.voltage, s.current, *s.edges_at(s.count), s.numbers, s.wide)
        finish(*args, self.state, marks, sums)
        rows = int(self.state[k.ROWS])
        self.kept.append((marks[:rows], sums[:rows]))
        self.state[k.ROWS] = 0

    def rows(self) -> Rows:
        """All rows so far."""
        marks, sums = zip(*self.kept, strict=True)
        return Rows(marks=by_columns(marks), sums=by_columns(sums))


def segmented(stretch: Stretch, *, pieces: int = 1, run: Runner = map, progress: Progress = silent) -> Rows:
    """Rows of a stretch; in several pieces the answer is the same to the bit."""
    n = stretch.count
    pieces = max(1, min(pieces, n // (4 * LEAD)))
    borders = [n * each // pieces for each in range(pieces + 1)]

    def piece(number: int) -> Pass:
        going = Pass(stretch, max(borders[number] - LEAD, 0) if number else 0)
        going.through(borders[number + 1], progress)
        return going

    passes: list[Pass] = list(run(piece, range(pieces)))
    whole = passes[0]
    for number, later in enumerate(passes[1:], 1):
        whole = _joined(whole, later, borders[number], borders[number + 1])
    whole.finish()
    return whole.rows()


def _joined(before: Pass, after: Pass, border: int, stop: int) -> Pass:
    """One pass out of two that meet at the end of a discharge; without a meeting the first goes on."""
    ended = before.to_next_end(border)
    if ended is None or ended[1] >= stop:
        return before
    rows = after.rows()
    same = (rows.marks[:, k.M_START] == ended[0]) & (rows.marks[:, k.M_END] == ended[1])
    place = np.flatnonzero(same & (rows.marks[:, k.M_KIND] == k.DISCHARGE))
    if not place.size:
        before.through(stop)
        return before
    after.kept = [*before.kept, (rows.marks[place[0] + 1 :], rows.sums[place[0] + 1 :])]
    return after
