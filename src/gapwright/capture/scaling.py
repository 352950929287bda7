"""From what an instrument saved to gap voltage and gap current: factors, signs, zero and skew."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from gapwright.base.checks import require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import (
    Amperes,
    AmperesPerSecond,
    Hertz,
    Number,
    Ohms,
    Seconds,
    Volts,
    VoltsPerSecond,
)
from gapwright.capture.baseline import NEAR_VOLTS, Zero, rest_of, zero_of
from gapwright.capture.clipping import clipped_share, smallest_step
from gapwright.capture.recording import Channel, Recording
from gapwright.capture.skew import SAMPLES_LOOKED_AT, Skew, current_skew
from gapwright.capture.waveform import (
    Capture,
    Codes,
    CurrentFrom,
    Room,
    Segments,
    end_to_end,
    in_memory,
    upright,
)

PIECE = 1 << 20
"""Samples that are gone through at a time."""
NO_CHANNEL = "none"
"""Name that says: leave the current out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hookup:
    """How the recorder was hooked up to the rig.

    Channels are named as in the file or numbered from 1; an empty name means
    that the file's units and names decide, `none` for the current that it is
    left out.
    """

    voltage_channel: str = ""
    voltage_probe: Number = 1.0
    """Volts at the gap for each volt of the channel, where the recorder has not multiplied already."""
    voltage_inverted: bool = False
    voltage_zero: Volts | Literal["find"] = 0.0
    """Voltage that the channel shows at 0 V at the beginning; or `find` it between the pulses."""
    voltage_drift: VoltsPerSecond | Literal["find"] = "find"
    """How that moves; or `find` it from the levels of the sparks, when these are known."""
    current_channel: str = ""
    shunt: Ohms | None = None
    clamp: Ohms | None = None
    """Volts of the channel for each ampere through a current clamp. [V/A]"""
    current_probe: Number = 1.0
    current_inverted: bool = False
    current_zero: Amperes | Literal["find"] = "find"
    """Current shown at 0 A at the beginning; or `find` it between the sparks."""
    current_drift: AmperesPerSecond | Literal["find"] = "find"
    current_delay: Seconds | Literal["find"] = 0.0
    """How much later the current comes; or `find` it from the edges."""
    current_bandwidth: Hertz | None = None

    def __post_init__(self) -> None:
        """Refuse factors that mean nothing."""
        for name in ("voltage_probe", "current_probe"):
            require_positive(name, getattr(self, name), "")
        for name, unit in (("shunt", "Ω"), ("clamp", "V/A"), ("current_bandwidth", "Hz")):
            value = getattr(self, name)
            if value is not None:
                require_positive(name, value, unit)
        if self.shunt is not None and self.clamp is not None:
            raise InputRefused("a current must be sensed by a shunt or a clamp, got both; give one")
        for name, unit in (
            ("voltage_zero", "V"), ("voltage_drift", "V/s"), ("current_zero", "A"), ("current_drift", "A/s"),
            ("current_delay", "s"),
        ):  # fmt: skip
            value = getattr(self, name)
            if not isinstance(value, str):
                require_finite(name, value, unit)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hooked:
    """A capture, and what was found while making it."""

    capture: Capture
    voltage_channel: str
    current_channel: str
    zero: Zero | None = None
    """Of the current, where it or its drift was to be found."""
    voltage_zero: Zero | None = None
    skew: Skew | None = None


def hooked(recording: Recording, hookup: Hookup, room: Room = in_memory) -> Hooked:
    """Gap voltage and current of a recording, by the way it was hooked up; copies go where there is room.

    Raises
    ------
    InputRefused
        If it cannot be told which channel is which, or zero or skew were to be found and cannot be.
    """
    voltage, current = _chosen(recording, hookup)
    capture, voltage_zero = _of_voltage(recording, voltage, hookup)
    if current is None:
        return Hooked(
            capture=_all_upright(capture, room),
            voltage_channel=voltage.name,
            current_channel="",
            voltage_zero=voltage_zero,
        )
    with_current, zero = _with_current(capture, current, hookup)
    straight, skew = _straight(with_current, hookup, room)
    return Hooked(
        capture=_all_upright(straight, room),
        voltage_channel=voltage.name,
        current_channel=current.name,
        zero=zero,
        voltage_zero=voltage_zero,
        skew=skew,
    )


def _of_voltage(recording: Recording, channel: Channel, hookup: Hookup) -> tuple[Capture, Zero | None]:
    """The capture with its voltage alone, zero taken out, and that zero where it was found."""
    factor = hookup.voltage_probe * (-1.0 if hookup.voltage_inverted else 1.0)
    scale, offset = channel.scale * factor, channel.offset * factor
    zero = None
    made = Capture(
        voltage=channel.codes,
        voltage_scale=scale,
        voltage_step=abs(smallest_step(channel.codes) * scale),
        voltage_clipped=clipped_share(channel),
        rate=recording.rate,
        start=recording.start,
        segments=recording.segments,
    )
    if isinstance(hookup.voltage_zero, str):
        rest = rest_of(channel.codes, scale=scale, offset=offset, times=made.times, near=NEAR_VOLTS)
        zero = zero_of(rest, "the gap voltage must rest near 0 V between pulses", '--voltage-zero "0.4 V"')
    shown = zero.at_start if zero is not None else float(hookup.voltage_zero)
    found = zero.drift if zero is not None else None
    drift = found if isinstance(hookup.voltage_drift, str) else hookup.voltage_drift
    return replace(made, voltage_offset=offset - shown, voltage_drift=drift), zero


def _all_upright(capture: Capture, room: Room) -> Capture:
    """The capture with codes that rise with the value, so that nobody turns them over again and again."""
    if capture.voltage_scale < 0.0:
        codes, scale, offset = _turned(capture.voltage, capture.voltage_scale, capture.voltage_offset, room)
        capture = replace(capture, voltage=codes, voltage_scale=scale, voltage_offset=offset)
    if capture.current is not None and capture.current_scale < 0.0:
        codes, scale, offset = _turned(capture.current, capture.current_scale, capture.current_offset, room)
        capture = replace(capture, current=codes, current_scale=scale, current_offset=offset)
    return capture


def _turned(codes: Codes, scale: float, offset: float, room: Room) -> tuple[Codes, float, float]:
    """A channel turned over a piece at a time."""
    borders = range(0, codes.size, PIECE)
    parts = (upright(codes[first : first + PIECE], scale, offset)[0] for first in borders)
    _, turned_scale, turned_offset = upright(codes[:1], scale, offset)
    return end_to_end(parts, codes.size, codes.dtype, room), turned_scale, turned_offset


def _chosen(recording: Recording, hookup: Hookup) -> tuple[Channel, Channel | None]:
    """Channel of the voltage and that of the current, if any."""
    if hookup.current_channel == NO_CHANNEL:
        whole = list(recording.channels)
        named_voltage = hookup.voltage_channel
        return recording.channel(named_voltage) if named_voltage else _voltage_among(whole), None
    named = [
        recording.channel(name) if name else None for name in (hookup.voltage_channel, hookup.current_channel)
    ]
    voltage, current = named
    if voltage is not None and voltage is current:
        raise InputRefused(f"voltage and current must be two channels, got {voltage.name!r} for both")
    left = [channel for channel in recording.channels if channel is not voltage and channel is not current]
    senses = hookup.shunt is not None or hookup.clamp is not None
    if voltage is not None and current is None and not senses:
        amperes = [channel for channel in left if channel.unit == "A"]
        return voltage, amperes[0] if len(amperes) == 1 else None
    if current is None:
        current = _current_among(left, senses=senses)
    if voltage is None:
        voltage = _voltage_among([channel for channel in left if channel is not current])
    return voltage, current


def _current_among(left: list[Channel], *, senses: bool) -> Channel | None:
    """The one channel that must be the current; None if there is no other than the voltage."""
    amperes = [channel for channel in left if channel.unit == "A"]
    if len(amperes) == 1:
        return amperes[0]
    if senses and len(left) == 2:
        return left[1]
    if senses and len(left) == 1:
        return left[0]
    if len(left) <= 1 and not amperes:
        return None
    names = ", ".join(f"{channel.name} [{channel.unit or 'no unit'}]" for channel in left)
    raise InputRefused(
        f"it must be said which channel is the current, got {names}; "
        'give --current-channel with --shunt "10 mohm" or --clamp, or --voltage-channel alone'
    )


def _voltage_among(left: list[Channel]) -> Channel:
    usable = [channel for channel in left if channel.unit != "A"]
    if len(usable) == 1:
        return usable[0]
    names = ", ".join(f"{channel.name} [{channel.unit or 'no unit'}]" for channel in left) or "none"
    raise InputRefused(
        f"it must be said which channel is the gap voltage, got {names}; give --voltage-channel"
    )


def _with_current(capture: Capture, channel: Channel, hookup: Hookup) -> tuple[Capture, Zero | None]:
    """The capture with its current, zero taken out."""
    if channel.unit == "V" and hookup.shunt is None and hookup.clamp is None:
        raise InputRefused(
            f"the current channel {channel.name!r} is in volts, so its shunt or clamp must be given; "
            'add --shunt "10 mohm" or --clamp "0.1 V/A"'
        )
    source: CurrentFrom = "shunt" if hookup.shunt is not None else "clamp" if hookup.clamp else "given"
    factor = hookup.current_probe / (hookup.shunt or hookup.clamp or 1.0)
    factor *= -1.0 if hookup.current_inverted else 1.0
    scale, offset = channel.scale * factor, channel.offset * factor
    zero, at_start, drift = None, hookup.current_zero, hookup.current_drift
    if "find" in (at_start, drift):
        rest = rest_of(channel.codes, scale=scale, offset=offset, times=capture.times)
        zero = zero_of(rest, "the current must rest near 0 A between sparks", '--current-zero "0.2 A"')
    made = replace(
        capture,
        current=channel.codes,
        current_scale=scale,
        current_offset=offset - (zero.at_start if zero and at_start == "find" else float(at_start)),
        current_drift=zero.drift if zero and drift == "find" else float(drift),
        current_step=abs(smallest_step(channel.codes) * channel.scale * factor),
        current_clipped=clipped_share(channel),
        current_from=source,
        current_bandwidth=hookup.current_bandwidth,
    )
    return made, zero


def _straight(capture: Capture, hookup: Hookup, room: Room) -> tuple[Capture, Skew | None]:
    """The capture with the current's delay taken out: whole samples by shifting, the rest noted."""
    skew = None
    if isinstance(hookup.current_delay, str):
        stop = min(capture.count, SAMPLES_LOOKED_AT)
        skew = current_skew(capture.volts(0, stop), capture.amperes(0, stop), rate=capture.rate)
        delay, uncertainty = skew.seconds, skew.uncertainty
    else:
        delay, uncertainty = hookup.current_delay, 0.0
    require_not_negative("samples of the delay", abs(delay), "s")
    shift = round(delay * capture.rate)
    rest = delay - shift / capture.rate
    shifted = _shifted(capture, shift, room) if shift else capture
    return replace(shifted, skew=rest, skew_uncertainty=uncertainty), skew


def _shifted(capture: Capture, shift: int, room: Room) -> Capture:
    """The capture with its current `shift` samples earlier; each segment gets that much shorter."""
    if capture.current is None or abs(shift) >= int(capture.segments.lengths.min()):
        raise InputRefused(
            f"the current's delay must be shorter than each segment, got {abs(shift)} samples of "
            f"{int(capture.segments.lengths.min())}"
        )
    early, late = max(-shift, 0), max(shift, 0)
    spans = list(zip(capture.segments.starts, capture.segments.lengths, strict=True))
    lengths = capture.segments.lengths - abs(shift)
    voltage = [capture.voltage[a + early : a + n - late] for a, n in spans]
    current = [capture.current[a + late : a + n - early] for a, n in spans]
    whole, left = len(spans) == 1, int(lengths.sum())
    return replace(
        capture,
        voltage=voltage[0] if whole else end_to_end(voltage, left, capture.voltage.dtype, room),
        current=current[0] if whole else end_to_end(current, left, capture.current.dtype, room),
        start=capture.start + early / capture.rate,
        segments=Segments(
            starts=np.concatenate([[0], np.cumsum(lengths)[:-1]]).astype(np.int64),
            lengths=lengths,
            times=capture.segments.times.copy(),
        ),
    )
