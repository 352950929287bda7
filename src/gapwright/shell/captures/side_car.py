"""The side-car of a file of samples: ``NAME.json`` beside ``NAME``, saying what the file does not."""

import json
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from gapwright.base.errors import InputRefused
from gapwright.capture.wishes import ChannelWish, FileWish
from gapwright.shell.files import reason

LARGEST = 1 << 20
Finite = Annotated[float, Field(allow_inf_nan=False)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class SideChannel(_Part):
    """One channel: a value in `unit` is scale * code + offset."""

    name: Annotated[str, Field(max_length=80)] = ""
    unit: Annotated[str, Field(max_length=12)] = ""
    scale: Finite = 1.0
    offset: Finite = 0.0
    rails: tuple[Finite, Finite] | None = None


class SideHookup(_Part):
    """How the recorder was hooked up; options of a command stand before it."""

    voltage_channel: Annotated[str, Field(max_length=80)] | None = None
    voltage_probe: Annotated[Finite, Field(gt=0)] | None = None
    voltage_inverted: bool | None = None
    voltage_zero_v: Finite | Literal["find"] | None = None
    voltage_drift_v_per_s: Finite | Literal["find"] | None = None
    current_channel: Annotated[str, Field(max_length=80)] | None = None
    current_probe: Annotated[Finite, Field(gt=0)] | None = None
    shunt_ohm: Annotated[Finite, Field(gt=0)] | None = None
    clamp_v_per_a: Annotated[Finite, Field(gt=0)] | None = None
    current_inverted: bool | None = None
    current_zero_a: Finite | Literal["find"] | None = None
    current_drift_a_per_s: Finite | Literal["find"] | None = None
    current_delay_s: Finite | Literal["find"] | None = None
    current_bandwidth_hz: Annotated[Finite, Field(gt=0)] | None = None


class SideSettings(_Part):
    """What is known of the rig that was recorded; options of a command stand before it, it before the rig."""

    generator: Literal["capacitor", "pulse"] | None = None
    open_voltage_v: Annotated[Finite, Field(gt=0)] | None = None
    burning_voltage_v: Annotated[Finite, Field(gt=0)] | None = None
    voltage_noise_v: Annotated[Finite, Field(gt=0)] | None = None
    current_noise_a: Annotated[Finite, Field(gt=0)] | None = None
    time_constant_s: Annotated[Finite, Field(gt=0)] | None = None
    on_time_s: Annotated[Finite, Field(gt=0)] | None = None
    capacitance_f: Annotated[Finite, Field(gt=0)] | None = None
    dry: bool | None = None


UNIT_ENDS = ("_v_per_a", "_v_per_s", "_a_per_s", "_ohm", "_hz", "_v", "_a", "_s", "_f")


class SideCar(_Part):
    """A whole side-car; every key but the first two may be left out."""

    file: Literal["capture samples"]
    schema_: Annotated[Literal[1], Field(alias="schema")]
    type: Literal["int8", "int16", "float32"] | None = None
    byte_order: Literal["little", "big"] = "little"
    skip_bytes: Annotated[int, Field(ge=0, le=1 << 40)] = 0
    interleaved: bool = True
    rate_hz: Annotated[Finite, Field(gt=0)] | None = None
    start_s: Finite | None = None
    separator: Literal["comma", "semicolon", "tab", "bar", "space"] | None = None
    decimal: Literal["point", "comma"] | None = None
    skip_lines: Annotated[int, Field(ge=0, le=100_000)] | None = None
    missing: Literal["refuse", "gaps"] | None = None
    channels: Annotated[tuple[SideChannel, ...], Field(min_length=1, max_length=64)] | None = None
    hookup: SideHookup | None = None
    settings: SideSettings | None = None


def side_car_of(place: str) -> SideCar | None:
    """Side-car beside a file; None if there is none.

    Raises
    ------
    InputRefused
        If it cannot be read or is no side-car.
    """
    path = Path(place + ".json")
    try:
        if not path.exists():
            return None
        text = path.read_bytes()[: LARGEST + 1]
    except (OSError, ValueError) as error:
        raise InputRefused(f"the side-car {str(path)!r} cannot be read: {reason(error)}") from None
    return side_car_from(str(path), text)


def side_car_from(place: str, content: bytes) -> SideCar:
    """Side-car from the bytes of its file.

    Raises
    ------
    InputRefused
        If they are not one.
    """
    if len(content) > LARGEST:
        raise InputRefused(f"the side-car {place!r} must be at most {LARGEST} bytes, got more")
    try:
        return SideCar.model_validate(json.loads(content))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        key = ".".join(str(part) for part in first["loc"]) or "the whole"
        what = first["msg"][:1].lower() + first["msg"][1:]
        raise InputRefused(f"{key} in the side-car {place!r} is wrong: {what}; correct it") from None
    except (ValueError, RecursionError) as error:
        raise InputRefused(f"the side-car {place!r} must be JSON, got {error}") from None


def wish_with(side_car: SideCar | None, options: dict[str, Any]) -> FileWish:
    """What the user wants of a file: options of the command, then the side-car, then our own defaults."""
    said: dict[str, Any] = {}
    if side_car is not None:
        said = side_car.model_dump(
            exclude_none=True,
            exclude={"file", "schema_", "rate_hz", "start_s", "channels", "hookup", "settings"},
        )
        said |= {
            key: value
            for key, value in (("rate", side_car.rate_hz), ("start", side_car.start_s))
            if value is not None
        }
        if side_car.channels is not None:
            said["channels"] = tuple(ChannelWish(**each.model_dump()) for each in side_car.channels)
    return FileWish(**said | {key: value for key, value in options.items() if value is not None})


def hookup_of(side_car: SideCar | None) -> dict[str, Any]:
    """What a side-car says of how the recorder was hooked up, by the names of `Hookup`."""
    return _said_in(side_car.hookup if side_car is not None else None)


def settings_of(side_car: SideCar | None) -> dict[str, Any]:
    """What a side-car says of the rig that was recorded, by the names of `ReadingSettings`."""
    return _said_in(side_car.settings if side_car is not None else None)


def _said_in(part: SideHookup | SideSettings | None) -> dict[str, Any]:
    return (
        {}
        if part is None
        else {bare(key): value for key, value in part.model_dump(exclude_none=True).items()}
    )


def bare(key: str) -> str:
    """Name of a key without the unit at its end."""
    return next((key.removesuffix(end) for end in UNIT_ENDS if key.endswith(end)), key)
