"""The form in which a capture is kept: a folder of mapped arrays, their extremes, and a record."""

import hashlib
import json
import os
import shutil
import tempfile
from pathlib import Path
from typing import Annotated, Any, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from gapwright.app.captures import extremes_made
from gapwright.base.errors import InputRefused, StoreFault
from gapwright.capture.clipping import smallest_step
from gapwright.capture.pyramid import Pyramid, blocks_of, pyramid_of
from gapwright.capture.waveform import Capture, Codes, CurrentFrom, Segments
from gapwright.shell.captures.container import first_bytes
from gapwright.shell.captures.rooms import room
from gapwright.shell.files import current_mask, reason, require_writable

RECORD = "capture.json"
SEGMENTS = "segments.npy"
LARGEST_RECORD = 1 << 20
AT_ONCE = 1 << 22
FINEST = 32_000
"""Steps from least to greatest value that are kept as int16 counts."""
Finite = Annotated[float, Field(allow_inf_nan=False)]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class KeptChannel(_Part):
    """A channel as kept: values in SI are scale * code + offset."""

    scale: Finite
    offset: Finite
    step: Annotated[Finite, Field(ge=0)]
    clipped_share: Annotated[Finite, Field(ge=0, le=1)]


class KeptSource(_Part):
    """A file that the capture was read from."""

    name: str
    bytes: Annotated[int, Field(ge=0)]
    sha256: Annotated[str, Field(pattern="^[0-9a-f]{64}$")]


class KeptRecord(_Part):
    """The record beside the arrays."""

    file: Literal["capture"]
    schema_: Annotated[Literal[1], Field(alias="schema")]
    rate_hz: Annotated[Finite, Field(gt=0)]
    start_s: Finite
    voltage: KeptChannel
    current: KeptChannel | None
    current_from: CurrentFrom | None
    current_bandwidth_hz: Annotated[Finite, Field(gt=0)] | None
    skew_s: Finite
    skew_uncertainty_s: Annotated[Finite, Field(ge=0)]
    voltage_drift_v_per_s: Finite | None = None
    current_drift_a_per_s: Finite = 0.0
    sources: tuple[KeptSource, ...]


def keep(capture: Capture, folder: str, *, sources: tuple[str, ...]) -> Path:
    """Write a capture into a new folder, whole or not at all.

    Raises
    ------
    InputRefused
        If something stands there already or nothing can be written there.
    StoreFault
        If writing fails, as on a full disk; nothing is left behind.
    """
    if Path(folder).exists():
        raise InputRefused(f"{folder!r} exists already and is not overwritten; give another folder")
    again = next((place for place in sources if is_kept(place)), None)
    if again is not None:
        raise InputRefused(f"{again!r} is kept already and is not kept twice; copy the folder instead")
    target = require_writable(folder)
    record = _record(capture, tuple(_source(place) for place in sources))
    try:
        draft = Path(tempfile.mkdtemp(prefix=f".{target.name[:80]}.", suffix=".part", dir=target.parent))
    except OSError as error:
        raise StoreFault(f"{folder!r} could not be written: {reason(error)}") from None
    try:
        _write_all(capture, record, draft)
        draft.chmod(0o777 & ~current_mask())
        draft.rename(target)
    except OSError as error:
        raise StoreFault(f"{folder!r} could not be written: {reason(error)}") from None
    finally:
        shutil.rmtree(draft, ignore_errors=True)
    return target


def _source(place: str) -> KeptSource:
    digest, size = hashlib.sha256(), 0
    with Path(place).open("rb") as stream:
        while piece := stream.read(AT_ONCE):
            digest.update(piece)
            size += len(piece)
    return KeptSource(name=Path(place).name, bytes=size, sha256=digest.hexdigest())


def _record(capture: Capture, sources: tuple[KeptSource, ...]) -> KeptRecord:
    voltage = KeptChannel(
        scale=capture.voltage_scale,
        offset=capture.voltage_offset,
        step=capture.voltage_step,
        clipped_share=capture.voltage_clipped,
    )
    current = KeptChannel(
        scale=capture.current_scale,
        offset=capture.current_offset,
        step=capture.current_step,
        clipped_share=capture.current_clipped,
    )
    return KeptRecord.model_validate(
        {
            "file": "capture",
            "schema": 1,
            "rate_hz": capture.rate,
            "start_s": capture.start,
            "voltage": voltage,
            "current": None if capture.current is None else current,
            "current_from": capture.current_from,
            "current_bandwidth_hz": capture.current_bandwidth,
            "skew_s": capture.skew,
            "skew_uncertainty_s": capture.skew_uncertainty,
            "voltage_drift_v_per_s": capture.voltage_drift,
            "current_drift_a_per_s": capture.current_drift,
            "sources": sources,
        }
    )


def _write_all(capture: Capture, record: KeptRecord, draft: Path) -> None:
    told = record.model_dump(by_alias=True)
    told["voltage"] |= _write_channel(capture.voltage, draft, "voltage", told["voltage"])
    if capture.current is not None:
        told["current"] |= _write_channel(capture.current, draft, "current", told["current"])
    parts = capture.segments
    _write_array(draft / SEGMENTS, np.stack([parts.starts, parts.lengths, parts.times]).astype(np.float64))
    with (draft / RECORD).open("w", encoding="utf-8") as stream:
        json.dump(told, stream, indent=1, ensure_ascii=False, allow_nan=False)
        stream.flush()
        os.fsync(stream.fileno())


def _write_channel(codes: Codes, draft: Path, name: str, told: dict[str, Any]) -> dict[str, Any]:
    """Write samples and their extremes; returns scale and offset of what was written."""
    counts = _as_counts(codes)
    if counts is not None:
        codes, step, lowest = counts
        told = {"scale": told["scale"] * step, "offset": told["offset"] + told["scale"] * lowest}
    _write_array(draft / f"{name}.npy", codes)
    for level, extremes in enumerate(pyramid_of(codes).levels):
        _write_array(draft / f"{name}.extremes-{level}.npy", extremes)
    return {"scale": told["scale"], "offset": told["offset"]}


def _as_counts(codes: Codes) -> tuple[Codes, float, float] | None:
    """Samples as int16 counts with step and value at count 0, where they are whole steps of a converter."""
    if codes.dtype.kind != "f":
        return None
    step = smallest_step(codes)
    if step == 0.0:
        return None
    middle = 0.5 * (float(codes.min()) + float(codes.max()))
    lowest = float(codes[np.argmin(np.abs(codes[: 1 << 16] - middle))])
    if max(float(codes.max()) - lowest, lowest - float(codes.min())) / step > FINEST:
        return None
    counts = room(codes.size, np.dtype(np.int16))
    for first in range(0, codes.size, AT_ONCE):
        exact = (codes[first : first + AT_ONCE].astype(np.float64) - lowest) / step
        whole = np.round(exact)
        if float(np.max(np.abs(exact - whole))) > 0.1:
            return None
        counts[first : first + AT_ONCE] = whole
    return counts, step, lowest


def _write_array(path: Path, array: Any) -> None:
    with path.open("wb") as stream:
        np.save(stream, array, allow_pickle=False)
        stream.flush()
        os.fsync(stream.fileno())


def is_kept(place: str) -> bool:
    """Whether a folder holds a kept capture."""
    return (Path(place) / RECORD).is_file()


def kept_capture(place: str) -> Capture:
    """Capture in a folder, its samples mapped, not loaded.

    Raises
    ------
    InputRefused
        If record and arrays do not belong together.
    """
    try:
        return _kept_capture(place)
    except InputRefused as refusal:
        said = str(refusal)
        if place in said:
            raise
        raise InputRefused(f"{place!r} is no whole kept capture: {said}; keep it anew") from None


def _kept_capture(place: str) -> Capture:
    folder = Path(place)
    record = kept_record(place)
    parts = _array(place, folder / SEGMENTS)
    if parts.ndim != 2 or parts.shape[0] != 3 or not np.all(np.isfinite(parts)):
        raise InputRefused(f"{place!r} must hold the starts, lengths and times of its segments; keep it anew")
    current = record.current
    return Capture(
        voltage=_array(place, folder / "voltage.npy"),
        voltage_scale=record.voltage.scale,
        voltage_offset=record.voltage.offset,
        voltage_step=record.voltage.step,
        voltage_clipped=record.voltage.clipped_share,
        current=None if current is None else _array(place, folder / "current.npy"),
        current_scale=1.0 if current is None else current.scale,
        current_offset=0.0 if current is None else current.offset,
        current_step=0.0 if current is None else current.step,
        current_clipped=0.0 if current is None else current.clipped_share,
        current_from=record.current_from,
        current_bandwidth=record.current_bandwidth_hz,
        rate=record.rate_hz,
        start=record.start_s,
        segments=Segments(
            starts=parts[0].astype(np.int64), lengths=parts[1].astype(np.int64), times=parts[2].copy()
        ),
        skew=record.skew_s,
        skew_uncertainty=record.skew_uncertainty_s,
        voltage_drift=record.voltage_drift_v_per_s,
        current_drift=record.current_drift_a_per_s,
    )


def kept_record(place: str) -> KeptRecord:
    """Record of a kept capture.

    Raises
    ------
    InputRefused
        If it is none of ours.
    """
    path = Path(place) / RECORD
    try:
        return KeptRecord.model_validate(json.loads(first_bytes(path, LARGEST_RECORD)))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        key = ".".join(str(part) for part in first["loc"]) or "the whole"
        raise InputRefused(f"{key} in {str(path)!r} is wrong: {first['msg'].lower()}; keep it anew") from None
    except (OSError, ValueError, RecursionError) as error:
        raise InputRefused(f"{str(path)!r} must be the record of a kept capture, got {error}") from None


def kept_pyramid(place: str, name: Literal["voltage", "current"], codes: Codes) -> Pyramid:
    """Extremes of a channel of a kept capture.

    Raises
    ------
    InputRefused
        If they do not belong to the samples.
    """
    paths = sorted(Path(place).glob(f"{name}.extremes-*.npy"))
    levels = tuple(_array(place, path) for path in paths)
    if [level.shape for level in levels] != [(2, blocks) for blocks in blocks_of(codes.size)]:
        raise InputRefused(f"{place!r} must hold the extremes of all of its {name}, got others; keep it anew")
    return Pyramid(count=codes.size, levels=levels)


def kept_or_made_extremes(places: tuple[str, ...], capture: Capture) -> dict[str, Pyramid]:
    """Extremes of a capture, mapped where it was kept, else made anew."""
    if not is_kept(places[0]):
        return extremes_made(places, capture)
    found = {"voltage": kept_pyramid(places[0], "voltage", capture.voltage)}
    if capture.current is not None:
        found["current"] = kept_pyramid(places[0], "current", capture.current)
    return found


def _array(place: str, path: Path) -> Codes:
    try:
        array: Codes = np.load(path, mmap_mode="r", allow_pickle=False)
    except (OSError, ValueError, EOFError) as error:
        raise InputRefused(f"{place!r} must hold a whole {path.name!r}, got {error}; keep it anew") from None
    return array
