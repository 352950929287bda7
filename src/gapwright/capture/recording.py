"""A recording: what an instrument saved, before anyone says which channel is which."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from gapwright.base.checks import close_names, require_finite, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Hertz, Number, Seconds
from gapwright.capture.waveform import Codes, Room, Segments, check_codes, end_to_end, in_memory

BY_TIME = "put in the order of their times, which is not the order in which they were given"
NOT_KNOWN = "the time between the files is not known, so they are set one after another"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Channel:
    """One recorded channel: a value in `unit` is ``scale * code + offset``."""

    name: str
    unit: str
    """V, A, or empty where the file says nothing."""
    codes: Codes
    scale: Number = 1.0
    offset: Number = 0.0
    rails: tuple[float, float] | None = None
    """Codes at which the converter stops; None where they are not known."""

    def __post_init__(self) -> None:
        """Refuse samples or a scale that mean nothing; freeze the samples."""
        check_codes(self.name or "a channel", self.codes)
        require_finite(f"scale of {self.name}", self.scale, "")
        require_finite(f"offset of {self.name}", self.offset, "")
        if self.scale == 0.0:
            raise InputRefused(f"scale of {self.name} must not be 0, or every sample would mean the same")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recording:
    """Channels of equal length at one rate, and what was understood of the file."""

    channels: tuple[Channel, ...]
    rate: Hertz
    start: Seconds = 0.0
    segments: Segments
    form: str
    """Kind of file, in words."""
    understood: tuple[str, ...] = ()
    """How the file was read, one remark a line."""
    hookup: Mapping[str, Any] = field(default_factory=dict)
    """What stands beside the file about how the recorder was hooked up: fields of `Hookup`."""
    settings: Mapping[str, Any] = field(default_factory=dict)
    """And about the rig: fields of `ReadingSettings`."""

    def __post_init__(self) -> None:
        """Refuse channels that do not fit each other."""
        require_positive("the sample rate", self.rate, "Hz")
        require_finite("the time of the first sample", self.start, "s")
        if not self.channels:
            raise InputRefused("a recording must hold at least one channel, got none")
        sizes = {channel.codes.size for channel in self.channels}
        if sizes != {self.segments.count}:
            raise InputRefused(f"channels must be equally long, got {sorted(sizes)} samples")

    @property
    def count(self) -> int:
        """Samples in each channel."""
        return self.segments.count

    def channel(self, name: str) -> Channel:
        """Channel of that name, or of that number counted from 1.

        Raises
        ------
        InputRefused
            If there is none.
        """
        found = [channel for channel in self.channels if channel.name == name]
        if len(found) == 1:
            return found[0]
        if name.isdecimal() and len(name) < 4 and 1 <= int(name) <= len(self.channels):
            return self.channels[int(name) - 1]
        names = [channel.name for channel in self.channels]
        raise InputRefused(
            f"a channel must be one of {', '.join(names)} or a number from 1 to {len(names)}, "
            f"got {name!r}{close_names(name, names)}"
        )


def joined(recordings: Sequence[Recording], room: Room = in_memory) -> Recording:
    """Recordings of one run as one, each a segment or several of its own, in the order of their times.

    Where their times do not tell an order, the order in which they are given counts.

    Raises
    ------
    InputRefused
        If they have other channels or rates.
    """
    first = recordings[0]
    if len(recordings) == 1:
        return first
    for other in recordings[1:]:
        _require_same(first, other)
    recordings, ordered = _by_time(recordings)
    first = recordings[0]
    channels = tuple(
        replace(channel, codes=_behind(recordings, k, room)) for k, channel in enumerate(first.channels)
    )
    segments, known = _in_a_row(recordings)
    order = (BY_TIME,) if ordered else () if known else (NOT_KNOWN,)
    remarks = (f"{len(recordings)} files of one run", *first.understood, *order)
    return replace(first, channels=channels, segments=segments, understood=remarks)


def _behind(recordings: Sequence[Recording], k: int, room: Room) -> Codes:
    """Samples of one channel of all recordings, the widest kind of them."""
    parts = [each.channels[k].codes for each in recordings]
    kind = np.result_type(*(part.dtype for part in parts))
    return end_to_end(parts, sum(part.size for part in parts), kind, room)


def _require_same(first: Recording, other: Recording) -> None:
    if not np.isclose(first.rate, other.rate, rtol=1e-6, atol=0.0):
        raise InputRefused(
            f"files of one run must have one sample rate, got {first.rate:g} and {other.rate:g} Hz"
        )
    marks = [
        [(channel.name, channel.unit, channel.scale, channel.offset) for channel in each.channels]
        for each in (first, other)
    ]
    if marks[0] != marks[1]:
        raise InputRefused(
            "files of one run must have the same channels in the same scale, got "
            + " and ".join(", ".join(mark[0] for mark in each) for each in marks)
            + "; read them one by one"
        )


def _by_time(recordings: Sequence[Recording]) -> tuple[Sequence[Recording], bool]:
    """Recordings in the order of their times, and whether that took any moving."""
    sorted_ones = sorted(recordings, key=lambda each: each.start)
    if sorted_ones == list(recordings) or not _in_a_row(sorted_ones)[1]:
        return recordings, False
    return sorted_ones, True


def _in_a_row(recordings: Sequence[Recording]) -> tuple[Segments, bool]:
    """All segments behind each other; and whether the recorder's own times could be used."""
    spans = [each.segments.times[-1] + each.segments.lengths[-1] / each.rate for each in recordings]
    starts = np.array([each.start for each in recordings])
    known = bool(np.all(np.diff(starts) >= np.array(spans[:-1]) * (1.0 - 1e-9)))
    begins = starts - starts[0] if known else np.concatenate([[0.0], np.cumsum(spans)[:-1]])
    counts = np.cumsum([0, *(each.count for each in recordings[:-1])])
    segments = Segments(
        starts=np.concatenate([s.segments.starts + c for s, c in zip(recordings, counts, strict=True)]),
        lengths=np.concatenate([each.segments.lengths for each in recordings]),
        times=np.concatenate([s.segments.times + b for s, b in zip(recordings, begins, strict=True)]),
    )
    return segments, known
