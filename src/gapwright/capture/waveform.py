"""A capture: recorded gap voltage and current as sample codes, with all that gives the codes a meaning.

Samples stay as they were recorded (8 or 16 bit counts of a converter, or
float32), so that a file larger than memory can be mapped and read at its own
speed. A value is ``scale * code + offset``.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from gapwright.base.checks import require_between, require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, AmperesPerSecond, Hertz, Number, Seconds, Volts, VoltsPerSecond

Codes = NDArray[Any]
"""Samples as recorded: int8, int16 or float32, in one row."""

Positions = NDArray[np.int64]
Times = NDArray[np.float64]

Room = Callable[[int, np.dtype[Any]], Codes]
"""Gives a row of zeros, so many of a kind; in memory or elsewhere."""

CODES = ("int8", "int16", "float32")
"""Kinds of samples that a capture may hold."""

NUMBERS = {
    "voltage_offset": "V", "current_offset": "A", "start": "s", "skew": "s", "voltage_drift": "V/s",
    "current_drift": "A/s",
}  # fmt: skip
"""Numbers of a capture that may be of any size, with their units."""

CurrentFrom = Literal["shunt", "clamp", "given"]
"""How the current was sensed; `given` where the file holds amperes and says no more."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Segments:
    """Stretches without a gap in time: where each begins among the samples, how long, and when."""

    starts: Positions
    """Index of the first sample of each segment, the first 0."""
    lengths: Positions
    """Samples in each segment; together they are all samples."""
    times: Times
    """Time of the first sample of each segment, counted from the first sample of all. [s]"""

    def __post_init__(self) -> None:
        """Refuse segments that overlap, leave samples out or run backward in time."""
        counts = {self.starts.size, self.lengths.size, self.times.size}
        if len(counts) != 1 or self.starts.size == 0:
            raise InputRefused("segments must be at least one, each with start, length and time")
        ends = np.cumsum(self.lengths)
        if self.lengths.min() < 1 or self.starts[0] != 0 or np.any(self.starts[1:] != ends[:-1]):
            raise InputRefused("segments must follow each other without a hole, each at least one sample")
        if np.any(np.diff(self.times) <= 0):
            raise InputRefused("segments must be in the order of time; give the files in that order")
        for array in (self.starts, self.lengths, self.times):
            array.flags.writeable = False

    @classmethod
    def whole(cls, count: int) -> "Segments":
        """One segment of `count` samples."""
        return cls(
            starts=np.zeros(1, dtype=np.int64),
            lengths=np.full(1, count, dtype=np.int64),
            times=np.zeros(1),
        )

    @property
    def count(self) -> int:
        """How many samples there are in all segments."""
        return int(self.lengths.sum())


def no_segments() -> Segments:
    """Stand-in of a capture whose segments were not given; replaced by one whole segment."""
    return Segments.whole(1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Capture:
    """Gap voltage, and gap current where it was recorded, at a steady rate within each segment.

    Both are corrected for probe factor, sign, offset and skew before they come
    here: voltage is above 0 with the gap open, current flows with it.
    """

    voltage: Codes
    voltage_scale: Number
    """Volts of one code."""
    voltage_offset: Volts = 0.0
    """Volts at code 0."""
    current: Codes | None = None
    """As long as `voltage`; None where no current was recorded."""
    current_scale: Number = 1.0
    """Amperes of one code."""
    current_offset: Amperes = 0.0
    rate: Hertz
    """Samples of each channel in a second."""
    start: Seconds = 0.0
    """Time of the first sample on the recorder's own scale."""
    segments: Segments = field(default_factory=no_segments)
    voltage_step: Volts = 0.0
    """Smallest difference that the recorder told apart; 0 where that is not known."""
    current_step: Amperes = 0.0
    voltage_clipped: Number = 0.0
    """Share of samples that stand at an end of the recorder's range."""
    current_clipped: Number = 0.0
    current_from: CurrentFrom | None = None
    current_bandwidth: Hertz | None = None
    """Bandwidth of shunt or clamp, where stated."""
    skew: Seconds = 0.0
    """What the current still comes late by, less than one sample; whole samples are taken out already."""
    skew_uncertainty: Seconds = 0.0
    voltage_drift: VoltsPerSecond | None = None
    """How the zero of the voltage moves from the first sample on; None where nobody has said.

    Drifts stay in the samples and are taken out of all that is read from them.
    """
    current_drift: AmperesPerSecond = 0.0

    def __post_init__(self) -> None:
        """Refuse samples and numbers that cannot belong to one recording; freeze the samples."""
        check_codes("voltage", self.voltage)
        if self.current is not None:
            check_codes("current", self.current)
            if self.current.size != self.voltage.size:
                raise InputRefused(
                    f"current must have as many samples as voltage ({self.voltage.size}), "
                    f"got {self.current.size}"
                )
        if (self.current is None) != (self.current_from is None):
            raise InputRefused("current and current_from must be given together or not at all")
        if self.segments.count == 1 != self.voltage.size:
            object.__setattr__(self, "segments", Segments.whole(self.voltage.size))
        if self.segments.count != self.voltage.size:
            raise InputRefused(
                f"segments must hold all {self.voltage.size} samples, got {self.segments.count}"
            )
        self._check_numbers()

    def _check_numbers(self) -> None:
        require_positive("rate", self.rate, "Hz")
        for name in ("voltage_scale", "current_scale"):
            scale = getattr(self, name)
            require_finite(name, scale, "")
            if scale == 0.0:
                raise InputRefused(f"{name} must not be 0, or every sample would mean the same")
        for name, unit in NUMBERS.items():
            require_finite(name, getattr(self, name) or 0.0, unit)
        for name, unit in (("voltage_step", "V"), ("current_step", "A"), ("skew_uncertainty", "s")):
            require_not_negative(name, getattr(self, name), unit)
        for name in ("voltage_clipped", "current_clipped"):
            require_between(name, getattr(self, name), 0.0, 1.0, "")

    @property
    def count(self) -> int:
        """Samples in each channel."""
        return int(self.voltage.size)

    @property
    def duration(self) -> Seconds:
        """Recorded time, gaps between segments left out."""
        return self.count / self.rate

    def volts(self, start: int = 0, stop: int | None = None) -> NDArray[np.float32]:
        """Voltages of a stretch of samples."""
        values = scaled(self.voltage[start:stop], self.voltage_scale, self.voltage_offset)
        return self._level(values, self.voltage_drift or 0.0, start)

    def amperes(self, start: int = 0, stop: int | None = None) -> NDArray[np.float32]:
        """Currents of a stretch of samples.

        Raises
        ------
        InputRefused
            If no current was recorded.
        """
        if self.current is None:
            raise InputRefused("the capture must hold a current for this, got voltage alone; record it too")
        values = scaled(self.current[start:stop], self.current_scale, self.current_offset)
        return self._level(values, self.current_drift, start)

    def _level(self, values: NDArray[np.float32], drift: float, start: int) -> NDArray[np.float32]:
        """Values with the drift of their zero taken out."""
        if drift == 0.0:
            return values
        times = self.times(np.arange(start, start + values.size))
        return values - (drift * times).astype(np.float32)

    def times(self, positions: Positions) -> Times:
        """Time of samples since the first sample, gaps between segments included."""
        of = np.searchsorted(self.segments.starts, positions, side="right") - 1
        within = (positions - self.segments.starts[of]) / self.rate
        answer: Times = self.segments.times[of] + within
        return answer


def scaled(codes: Codes, scale: float, offset: float) -> NDArray[np.float32]:
    """Values of codes."""
    values: NDArray[np.float32] = codes * np.float32(scale) + np.float32(offset)
    return values


def check_codes(name: str, codes: Codes) -> None:
    """Refuse samples that are not one row of a kind that a capture holds; make them read-only."""
    if codes.dtype.name not in CODES:
        raise InputRefused(f"{name} must hold {', '.join(CODES)}, got {codes.dtype.name}")
    if codes.ndim != 1 or codes.size == 0:
        raise InputRefused(f"{name} must be one row of at least one sample, got shape {codes.shape}")
    codes.flags.writeable = False


def in_memory(count: int, kind: np.dtype[Any]) -> Codes:
    """Row of zeros in memory."""
    return np.zeros(count, dtype=kind)


def end_to_end(parts: Iterable[Codes], count: int, kind: np.dtype[Any], room: Room) -> Codes:
    """Rows behind each other as one of so many samples."""
    row, done = room(count, kind), 0
    for part in parts:
        row[done : done + part.size] = part
        done += part.size
    return row


def upright(codes: Codes, scale: float, offset: float) -> tuple[Codes, float, float]:
    """Codes that rise with the value; an inverted channel is turned over, which takes a copy."""
    if scale > 0:
        return codes, scale, offset
    if codes.dtype.kind == "f":
        return -codes, -scale, offset
    return ~codes, -scale, offset - scale
