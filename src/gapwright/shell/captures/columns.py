"""Named arrays as a recording: which is the time, what the samples are, whether all are numbers."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.capture.recording import Channel, Recording
from gapwright.capture.timeline import Timeline
from gapwright.capture.waveform import Segments
from gapwright.capture.wishes import ChannelWish, FileWish
from gapwright.shell.captures.gathering import Bools, Gathering, clock
from gapwright.shell.captures.heading import TIME
from gapwright.shell.captures.rooms import AT_ONCE, filled, in_pieces, laid_out
from gapwright.shell.captures.units import name_and_unit, unit_of

MOST_CHANNELS = 64
COUNTS = {"int8": "int8", "uint8": "int16", "int16": "int16", "uint16": "int16"}
"""Kinds of counts and the kind they are kept in."""
HALF = 1 << 15


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """An array with the name and unit its file gives it; values are ``scale * array + offset``."""

    name: str
    values: NDArray[Any]
    unit: str = ""
    scale: float = 1.0
    offset: float = 0.0
    rails: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What a file of arrays says of itself."""

    form: str
    rate: float | None = None
    start: float = 0.0
    remarks: tuple[str, ...] = ()


def columns_recording(place: str, columns: Sequence[Named], stated: Stated, wish: FileWish) -> Recording:
    """Recording of named arrays of equal length.

    Raises
    ------
    InputRefused
        If there are none, they differ in length, hold no numbers, or nothing states the rate.
    """
    if not columns or len(columns) > MOST_CHANNELS:
        raise InputRefused(f"{place!r} must hold 1 to {MOST_CHANNELS} channels, got {len(columns)}")
    sizes = {each.values.shape for each in columns}
    if len(sizes) > 1 or columns[0].values.ndim != 1 or columns[0].values.size == 0:
        raise InputRefused(
            f"{place!r} must hold channels of one length with at least one sample, got shapes "
            + ", ".join(f"{shape}" for shape in sorted(sizes))
        )
    for each in columns:
        if each.values.dtype.kind not in "iuf":
            raise InputRefused(f"{place!r} must hold numbers in {each.name!r}, got {each.values.dtype}")
    time = next((each for each in columns if _is_time(each)), None)
    channels = [each for each in columns if each is not time]
    if not channels:
        raise InputRefused(f"{place!r} must hold a channel beside the times, got none")
    if wish.missing == "gaps":
        return _with_gaps(place, channels, time, stated, wish)
    rate, start, segments = _clock(place, time, stated, wish, channels[0].values.size)
    return Recording(
        channels=described(place, [channel_of(place, each) for each in channels], wish.channels),
        rate=rate,
        start=start if wish.start is None else wish.start,
        segments=segments,
        form=stated.form,
        understood=stated.remarks + ((f"times from {time.name!r}",) if time and not wish.rate else ()),
    )


def _is_time(column: Named) -> bool:
    name, inside = name_and_unit(column.name)
    unit = unit_of(column.unit) or inside
    return unit[0] == "s" if unit else bool(TIME.match(name))


def _time_factor(column: Named) -> float:
    unit = unit_of(column.unit) or name_and_unit(column.name)[1]
    return (unit[1] if unit else 1.0) * column.scale


def _clock(
    place: str, time: Named | None, stated: Stated, wish: FileWish, count: int
) -> tuple[float, float, Segments]:
    """Rate, first time and segments."""
    rate = wish.rate or (stated.rate if time is None else None)
    if rate is not None:
        return rate, stated.start, Segments.whole(count)
    if time is None:
        raise InputRefused(
            f"{place!r} must say how fast its samples were taken, got no times and no rate; "
            'give --rate such as "10 MHz"'
        )
    timeline = timeline_of(place, time)
    return timeline.rate, timeline.first, timeline.segments()


def timeline_of(place: str, time: Named) -> Timeline:
    """Times of an array, gone through piece by piece."""
    timeline = Timeline(place=place)
    for piece in in_pieces(time.values):
        _add_times(timeline, time, piece, None)
    return timeline


def _add_times(timeline: Timeline, time: Named, piece: NDArray[Any], kept: Bools | None) -> None:
    """Have a timeline take some times of an array, those kept where only some were."""
    kind = time.values.dtype if time.values.dtype.kind == "f" else np.dtype(np.float64)
    with np.errstate(over="ignore", invalid="ignore"):
        times = piece.astype(np.float64) * _time_factor(time)
    times = times if kept is None else times[kept]
    timeline.add(times, rounding=2.0 * float(np.finfo(kind).eps) * largest_of(times))


def largest_of(times: NDArray[np.float64]) -> float:
    """Greatest size of times that rise, as all do that are not refused: it stands at an end."""
    if times.size == 0:
        return 0.0
    largest = max(abs(float(times[0])), abs(float(times[-1])))
    return largest if np.isfinite(largest) else 0.0


def channel_of(place: str, column: Named) -> Channel:
    """Channel of an array: counts stay counts, wider numbers become float32."""
    name, inside = name_and_unit(column.name)
    unit = unit_of(column.unit) or inside or ("", 1.0)
    codes, shift = _codes(column.values)
    _require_numbers(place, column.name, codes)
    scale = column.scale * unit[1]
    return Channel(
        name=(name or column.name)[:80],
        unit=unit[0] if unit[0] in {"V", "A"} else "",
        codes=codes,
        scale=scale,
        offset=column.offset * unit[1] + shift * scale,
        rails=column.rails or rails_of(column.values.dtype, shift),
    )


def rails_of(kind: np.dtype[Any], shift: int = 0) -> tuple[float, float] | None:
    """Ends of the range of a converter's counts, as kept."""
    if kind.kind not in "iu" or kind.itemsize > 2:
        return None
    info = np.iinfo(kind)
    return float(info.min - shift), float(info.max - shift)


def _codes(values: NDArray[Any]) -> tuple[NDArray[Any], int]:
    """Values in a kind that a capture holds, and what must be added to them."""
    name = values.dtype.newbyteorder("=").name
    if name == "uint16":
        lowered = ((piece.astype(np.int32) - HALF).astype(np.int16) for piece in in_pieces(values))
        return filled(lowered, values.size, np.dtype(np.int16)), HALF
    with np.errstate(over="ignore", invalid="ignore"):
        return laid_out(values, np.dtype(COUNTS.get(name, "float32"))), 0


def _require_numbers(place: str, name: str, codes: NDArray[Any]) -> None:
    if codes.dtype.kind != "f":
        return
    for first in range(0, codes.size, AT_ONCE):
        piece = codes[first : first + AT_ONCE]
        fine = np.abs(piece) < 1e30
        if not fine.all():
            k = int(np.argmin(fine))
            raise InputRefused(
                f"{place!r} must hold a number in every sample, got {piece[k]:g} for {name!r} in sample "
                f"{first + k}; cut such samples out or give --missing gaps"
            )


def _with_gaps(
    place: str, channels: Sequence[Named], time: Named | None, stated: Stated, wish: FileWish
) -> Recording:
    """Recording in which samples that are no numbers are gaps in time."""
    gathering = Gathering(
        place=place,
        names=tuple(each.name for each in channels),
        expected=channels[0].values.size,
        missing="gaps",
        first_row=0,
    )
    timed = time is not None and wish.rate is None
    timeline = Timeline(place=place) if timed else None
    for first in range(0, channels[0].values.size, AT_ONCE):
        with np.errstate(over="ignore", invalid="ignore"):
            pieces = [each.values[first : first + AT_ONCE].astype(np.float32) for each in channels]
        kept = gathering.add(pieces)
        if timeline is not None and time is not None:
            _add_times(timeline, time, time.values[first : first + AT_ONCE], kept)
    samples = gathering.channels()
    left = [replace(each, values=codes) for each, codes in zip(channels, samples, strict=True)]
    rate, segments = clock(gathering, timeline, wish.rate or (None if timed else stated.rate))
    start = timeline.first if timeline is not None else stated.start
    return Recording(
        channels=described(place, [channel_of(place, each) for each in left], wish.channels),
        rate=rate,
        start=start if wish.start is None else wish.start,
        segments=segments,
        form=stated.form,
        understood=(*stated.remarks, f"{gathering.dropped} samples without a number are gaps in time"),
    )


def described(
    place: str, channels: Sequence[Channel], wishes: tuple[ChannelWish, ...] | None
) -> tuple[Channel, ...]:
    """Channels as the user describes them, in the order of the file.

    Raises
    ------
    InputRefused
        If another number of channels is described than there are, or a unit is none of ours.
    """
    if wishes is None:
        return tuple(channels)
    if len(wishes) != len(channels):
        raise InputRefused(
            f"channels in the side-car of {place!r} must be as many as in the file ({len(channels)}), "
            f"got {len(wishes)}"
        )
    return tuple(_as_wished(channel, wish) for channel, wish in zip(channels, wishes, strict=True))


def _as_wished(channel: Channel, wish: ChannelWish) -> Channel:
    unit = unit_of(wish.unit) if wish.unit else (channel.unit, 1.0)
    if unit is None or unit[0] == "s":
        raise InputRefused(f"the unit of a channel must be V or A, with a prefix or none, got {wish.unit!r}")
    given = wish.scale != 1.0 or wish.offset != 0.0 or bool(wish.unit)
    return replace(
        channel,
        name=wish.name or channel.name,
        unit=unit[0],
        scale=wish.scale * unit[1] if given else channel.scale,
        offset=wish.offset * unit[1] if given else channel.offset,
        rails=wish.rails or channel.rails,
    )
