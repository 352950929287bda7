"""A capture of a stretch of the simulated drilling, as a good recorder would have saved it.

The exact engine runs the rig's circuit over the stretch: the gap ignites when
the drilling's sparks ignited, and is shorted while it was shorted there. What
comes out are samples of gap voltage and gap current at a steady rate.
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from math import floor, log10

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.units import Hertz, Metres, Seconds
from gapwright.capture.waveform import Capture
from gapwright.circuit.control.ignition import Forced
from gapwright.circuit.engine.engine import Start, Window, run
from gapwright.circuit.network.mna import GapState
from gapwright.study.drilling.records_kept import SPARK_COLUMNS
from gapwright.study.drilling.tick_history import AT
from gapwright.study.generator.network import network, switched_on
from gapwright.study.generator.scenes import gap_of
from gapwright.study.grounds.assemble import Bench

Rows = NDArray[np.float64]

SPAN = 20e-3
"""How long a stretch is, by the generator's clock. [s]"""
RUN_UP = 0.25
"""Share of the stretch that the circuit runs before it, to be in step with the drilling."""
FINEST = 16
"""Samples over the shortest spark, at least."""
MOST_SAMPLES = 4_000_000
FULL_SCALE = 1.25
"""Of the open voltage, and of the highest current."""
COUNTS = 2047
"""Counts from nothing to full scale: twelve bits with sign."""
NOISE = 2e-3
"""White noise, r.m.s., as a share of full scale."""
_SPARK = {name: place for place, name in enumerate(SPARK_COLUMNS)}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StretchRows:
    """Sparks and ticks of a stretch; their clock runs `batch` times as fast as the generator's."""

    start: Seconds
    stop: Seconds
    batch: int
    sparks: Rows
    ticks: Rows


class Stretch:
    """Keeps the last sparks and ticks before the front passes a depth."""

    def __init__(self, depth: Metres, span: Seconds = SPAN) -> None:
        """Be ready for the depth; `span` is by the generator's clock."""
        self.depth = depth
        self._span, self._batch = span * (1.0 + RUN_UP), 1
        self._sparks: deque[Rows] = deque()
        self._ticks: deque[Rows] = deque()
        self.rows: StretchRows | None = None

    def sparks(self, rows: Rows) -> None:
        """Take rows about sparks."""
        if self.rows is None and len(rows):
            self._batch = int(rows[-1, _SPARK["batch"]])
            self._sparks.append(rows)

    def ticks(self, rows: Rows) -> None:
        """Take rows about ticks, and let go of what is long past."""
        if self.rows is not None or not len(rows):
            return
        self._ticks.append(rows)
        past = rows[-1, AT["time_s"]] - 2.0 * self._span * self._batch
        for kept in (self._ticks, self._sparks):
            while len(kept) > 1 and kept[0][-1, 0] < past:
                kept.popleft()

    def passed(self, depth: Metres) -> None:
        """Keep the stretch that ends here, if this is its depth."""
        if self.rows is None and depth >= self.depth and self._ticks:
            self.rows = self._stretch()

    def end(self) -> None:
        """Keep the last stretch of a drilling that never came so deep."""
        if self.rows is None and self._ticks:
            self.rows = self._stretch()

    def _stretch(self) -> StretchRows:
        ticks = np.concatenate(list(self._ticks))
        sparks = np.concatenate([*self._sparks]) if self._sparks else np.zeros((0, len(SPARK_COLUMNS)))
        stop = float(ticks[-1, AT["time_s"]])
        start = max(0.0, stop - self._span * self._batch)
        return StretchRows(
            start=start,
            stop=stop,
            batch=self._batch,
            sparks=sparks[(sparks[:, 0] >= start) & (sparks[:, 0] < stop)],
            ticks=ticks[ticks[:, AT["time_s"]] > start],
        )


def fitting_rate(shortest: Seconds, span: Seconds) -> Hertz:
    """Sample rate, 1, 2 or 5 times a power of ten, that the shortest spark and the memory ask for.

    Parameters
    ----------
    shortest
        Duration of the shortest spark, above 0. [s]
    span
        Length of the stretch, above 0. [s]

    Returns
    -------
    rate
        As high as the shortest spark needs, unless that makes too many samples. [Hz]

    Examples
    --------
    >>> fitting_rate(1.4e-6, 20e-3)
    20000000.0
    """
    wanted = FINEST / shortest
    power = 10.0 ** floor(log10(wanted))
    rate = next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= wanted * (1.0 - 1e-9))
    return min(rate, float(floor(MOST_SAMPLES / span)))


def drilled_capture(made: Bench, rows: StretchRows | None, *, seed: int = 0) -> Capture:
    """Capture of a stretch: gap voltage and current, sampled.

    Parameters
    ----------
    made
        Rig and job with their facts.
    rows
        What the drilling did over the stretch.
    seed
        Key of the recorder's noise.

    Raises
    ------
    InputRefused
        If the drilling had no stretch with a spark.
    """
    if rows is None or not len(rows.sparks):
        raise InputRefused(
            "a capture needs a stretch of the drilling with sparks in it, got none; "
            "look at the forecast for why there are none, or ask at another depth"
        )
    span = (rows.stop - rows.start) / rows.batch
    lasted = rows.sparks[:, _SPARK["duration_s"]]
    rate = fitting_rate(float(lasted[lasted > 0.0].min()), span)
    volts, amperes = sampled(made, rows, rate)
    first = int(RUN_UP / (1.0 + RUN_UP) * len(volts))
    rng = np.random.default_rng([seed, len(volts)])
    v_codes, v_scale = counted(volts[first:], FULL_SCALE * made.ceiling, rng)
    i_codes, i_scale = counted(amperes[first:], FULL_SCALE * float(np.max(np.abs(amperes))), rng)
    return Capture(
        voltage=v_codes,
        voltage_scale=v_scale,
        voltage_step=v_scale,
        voltage_clipped=float(np.mean(np.abs(v_codes) >= COUNTS)),
        current=i_codes,
        current_scale=i_scale,
        current_step=i_scale,
        current_from="given",
        rate=rate,
    )


def counted(true: Rows, full: float, rng: np.random.Generator) -> tuple[NDArray[np.int16], float]:
    """Counts of a converter, and the value of one count.

    Parameters
    ----------
    true
        Values without noise.
    full
        Full scale, at which values stop.
    rng
        Source of the noise.
    """
    noisy = true + NOISE * full * rng.standard_normal(true.size)
    codes = np.clip(np.rint(noisy / full * COUNTS), -COUNTS, COUNTS).astype(np.int16)
    return codes, full / COUNTS


def sampled(made: Bench, rows: StretchRows, rate: Hertz) -> tuple[Rows, Rows]:
    """Gap voltage and current at a rate over a whole stretch, the run-up included.

    Parameters
    ----------
    made
        Rig and job with their facts.
    rows
        What the drilling did over the stretch.
    rate
        Samples a second. [Hz]
    """
    netlist, control = network(made)
    gap = gap_of(netlist).name
    times = (rows.sparks[:, 0] - rows.start) / rows.batch
    start = switched_on(netlist)
    values, found = dict(start.values), []
    for begin, end, is_short in pieces(rows):
        count = max(1, round((end - begin) * rate))
        duration = count / rate
        inside = times[(times >= begin) & (times < end)] - begin
        ran = run(
            netlist,
            control,
            duration,
            ignition=Forced(times=np.minimum(inside, duration)),
            record=Window(start=0.0, stop=duration),
            initial=Start(values=values, gap=GapState.SHORT if is_short else GapState.OPEN),
        )
        waves = [
            ran.waveform(what, gap, start=0.0, stop=duration, slices=count) for what in ("volts", "amperes")
        ]
        found.append([0.5 * (wave.low + wave.high) for wave in waves])
        values = dict(ran.final)
    return tuple(np.concatenate(parts) for parts in zip(*found, strict=True))  # type: ignore[return-value]


def pieces(rows: StretchRows) -> Iterator[tuple[float, float, bool]]:
    """Pieces of a stretch in which the gap is open or shorted all the time.

    Parameters
    ----------
    rows
        What the drilling did over the stretch.

    Yields
    ------
    piece
        Begin and end by the generator's clock from the stretch's start, and whether shorted.
    """
    ends = (rows.ticks[:, AT["time_s"]] - rows.start) / rows.batch
    short = rows.ticks[:, AT["is_short"]] > 0.5
    begin = 0.0
    for k in range(len(ends)):
        if k + 1 == len(ends) or short[k + 1] != short[k]:
            if ends[k] > begin:
                yield begin, float(ends[k]), bool(short[k])
            begin = float(ends[k])
