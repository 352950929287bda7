"""Readers of files that hold arrays: NPY, NPZ, Parquet, WAV and raw samples."""

import math
import os
import warnings
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.capture.recording import Recording
from gapwright.capture.wishes import FileWish
from gapwright.shell.captures.columns import MOST_CHANNELS, Named, Stated, columns_recording
from gapwright.shell.captures.container import members, one_line, require_room
from gapwright.shell.captures.rooms import AT_ONCE, filled

if TYPE_CHECKING:
    import polars as pl

RATE_NAMES = {"rate", "rate_hz", "fs", "sample_rate", "samplerate", "sampling_rate"}
STEP_NAMES = {"dt", "dt_s", "interval", "sample_interval"}


def npy_recording(place: str, path: Path, wish: FileWish) -> Recording:
    """Recording in one NPY array, mapped, not loaded.

    Raises
    ------
    InputRefused
        If it is broken, or holds no rows of numbers.
    """
    try:
        array = np.lib.format.open_memmap(path, mode="r")
    except Exception as error:  # noqa: BLE001 - the library raises whatever comes on broken files
        raise InputRefused(f"{place!r} must be a whole NPY file of numbers, got {one_line(error)}") from None
    return columns_recording(place, columns_of(place, "samples", array), Stated(form="NPY array"), wish)


def npz_recording(place: str, path: Path, wish: FileWish) -> Recording:
    """Recording in the arrays of an NPZ archive; a single number called `rate` or `dt` is the clock.

    Raises
    ------
    InputRefused
        If it is broken or unpacks to far more than its size.
    """
    inside = members(place, path)
    require_room(place, path.stat().st_size, sum(each.file_size for each in inside))
    try:
        with zipfile.ZipFile(path) as archive:
            arrays = {each.filename.removesuffix(".npy"): _member(archive, each) for each in inside}
    except Exception as error:  # noqa: BLE001 - the library raises whatever comes on broken files
        raise InputRefused(f"{place!r} must be a whole NPZ file of numbers, got {one_line(error)}") from None
    rows = {name: array for name, array in arrays.items() if array.ndim > 0 and array.size > 1}
    columns = [named for name, array in rows.items() for named in columns_of(place, name, array)]
    lone = {name: array for name, array in arrays.items() if name not in rows}
    stated = Stated(form="NPZ arrays", rate=stated_rate(place, lone))
    return columns_recording(place, columns, stated, wish)


def _member(archive: zipfile.ZipFile, inside: zipfile.ZipInfo) -> NDArray[Any]:
    """One array of an archive, unpacked a piece at a time."""
    with archive.open(inside) as stream:
        version = np.lib.format.read_magic(stream)
        read = (
            np.lib.format.read_array_header_1_0 if version == (1, 0) else np.lib.format.read_array_header_2_0
        )
        shape, by_column, kind = read(stream)
        if kind.hasobject:
            raise ValueError("objects, which are no numbers")
        count = math.prod(shape)
        require_room(str(inside.filename), inside.file_size, kind.itemsize * count)
        flat = filled(_unpacked(stream, kind, count), count, kind)
    return flat.reshape(shape[::-1]).T if by_column else flat.reshape(shape)


def _unpacked(stream: IO[bytes], kind: np.dtype[Any], count: int) -> Iterator[NDArray[Any]]:
    """Values of a stream a piece at a time."""
    while count > 0:
        most = min(count, AT_ONCE)
        content = stream.read(most * kind.itemsize)
        if len(content) < most * kind.itemsize:
            raise ValueError("fewer bytes than it says")
        yield np.frombuffer(content, kind)
        count -= most


def stated_rate(place: str, values: dict[str, Any]) -> float | None:
    """Sample rate among single numbers by their names; None if there is none."""
    for name, value in values.items():
        known = name.lower() in RATE_NAMES or name.lower() in STEP_NAMES
        if not known or np.asarray(value).dtype.kind not in "iuf" or np.asarray(value).size != 1:
            continue
        number = float(np.asarray(value).ravel()[0])
        if not (np.isfinite(number) and number > 0.0):
            raise InputRefused(f"{name} in {place!r} must be a finite number above 0, got {number:g}")
        return number if name.lower() in RATE_NAMES else 1.0 / number
    return None


def columns_of(place: str, name: str, array: NDArray[Any]) -> list[Named]:
    """Channels of an array: fields of records, or the rows of the shorter side.

    Raises
    ------
    InputRefused
        If it has more than two dimensions.
    """
    if array.dtype.names is not None:
        return [Named(name=each, values=array[each]) for each in array.dtype.names]
    if array.ndim == 1:
        return [Named(name=name, values=array)]
    if array.ndim != 2 or min(array.shape) > MOST_CHANNELS:
        raise InputRefused(
            f"{place!r} must hold one row of samples for each channel, got an array of shape {array.shape}"
        )
    rows = array if array.shape[0] <= array.shape[1] else array.T
    return [Named(name=f"{name} {k}", values=row) for k, row in enumerate(rows, 1)]


def parquet_recording(place: str, path: Path, wish: FileWish) -> Recording:
    """Recording in the columns of a Parquet table.

    Raises
    ------
    InputRefused
        If it is broken, holds other than numbers, or unpacks to far more than its size.
    """
    import polars as pl

    try:
        with hushed():
            scan = pl.scan_parquet(path, glob=False)
            kinds = scan.collect_schema()
            numbers = [name for name, kind in kinds.items() if kind.is_numeric()]
            rows = int(scan.select(pl.len()).collect().item())
            require_room(place, path.stat().st_size, 4 * rows * max(len(numbers), 1))
            columns = _streamed(scan.select(numbers), rows)
    except InputRefused:
        raise
    except (Exception, pl.exceptions.PanicException) as error:  # noqa: BLE001 - a broken file raises whatever comes
        raise InputRefused(f"{place!r} must be a whole Parquet file, got {one_line(error)}") from None
    left = len(kinds) - len(numbers)
    remarks = (f"{left} columns without numbers left out",) if left else ()
    return columns_recording(place, columns, Stated(form="Parquet table", remarks=remarks), wish)


@contextmanager
def hushed() -> Iterator[None]:
    """Keep the library's own cries over broken files off stderr: the user gets one line of ours."""
    with open(os.devnull, "wb") as nothing:  # noqa: PTH123 - a device, not a file
        before = os.dup(2)
        try:
            os.dup2(nothing.fileno(), 2)
            yield
        finally:
            os.dup2(before, 2)
            os.close(before)


def _streamed(scan: "pl.LazyFrame", rows: int) -> list[Named]:
    """Columns of a table a piece at a time; missing numbers are NaN, columns float64 then."""
    kept: dict[str, NDArray[Any]] = {}
    done = 0
    for piece in scan.collect_batches(chunk_size=AT_ONCE, maintain_order=True):
        for series in piece:
            values = _filled(series)
            row = kept.get(series.name)
            if row is None or np.result_type(row, values) != row.dtype:
                kept[series.name] = filled([] if row is None else [row[:done]], rows, values.dtype)
            kept[series.name][done : done + values.size] = values
        done += piece.height
    return [Named(name=name, values=row) for name, row in kept.items()]


def _filled(series: "pl.Series") -> NDArray[Any]:
    """Values of a column, missing ones as NaN."""
    return np.asarray(series.cast(float).fill_null(np.nan) if series.null_count() else series)


def wav_recording(place: str, path: Path, wish: FileWish) -> Recording:
    """Recording in a WAV file; full scale is 1, so the side-car or the probe factor gives volts.

    Raises
    ------
    InputRefused
        If it is broken.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            rate, array = _read_wav(path)
    except Exception as error:  # noqa: BLE001 - the library raises whatever comes on broken files
        raise InputRefused(f"{place!r} must be a whole WAV file, got {one_line(error)}") from None
    if array.dtype.kind not in "iuf" or array.size == 0:
        raise InputRefused(f"{place!r} must hold samples, got none")
    full = 1.0 if array.dtype.kind == "f" else float(np.iinfo(array.dtype).max)
    middle = 128.0 if array.dtype == np.uint8 else 0.0
    full = 128.0 if array.dtype == np.uint8 else full
    rows = array.reshape(array.shape[0], -1).T
    columns = [
        Named(name=f"channel {k}", values=row, scale=1.0 / full, offset=-middle / full)
        for k, row in enumerate(rows, 1)
    ]
    remarks = ("full scale of the file is taken as 1",)
    return columns_recording(place, columns, Stated(form="WAV", rate=float(rate), remarks=remarks), wish)


def _read_wav(path: Path) -> tuple[float, NDArray[Any]]:
    """Rate and samples of a WAV file, mapped where its samples are whole words."""
    from scipy.io import wavfile

    try:
        rate, array = wavfile.read(path, mmap=True)
    except ValueError as error:
        if "mmap" not in str(error):
            raise
        rate, array = wavfile.read(path, mmap=False)
    return rate, array


def raw_recording(place: str, path: Path, wish: FileWish) -> Recording:
    """Recording in a file of bare samples, mapped, not loaded; the side-car says what they are.

    Raises
    ------
    InputRefused
        If the side-car leaves type, channels or rate open, or the size does not fit them.
    """
    if wish.type is None or not wish.channels or wish.rate is None:
        raise InputRefused(
            f"{place!r} holds bare samples, so its side-car {Path(place).name + '.json'!r} must give type, "
            "channels and rate_hz"
        )
    kind = np.dtype(wish.type).newbyteorder("<" if wish.byte_order == "little" else ">")
    count = len(wish.channels)
    size = path.stat().st_size - wish.skip_bytes
    if size <= 0 or size % (kind.itemsize * count):
        raise InputRefused(
            f"{place!r} must hold whole samples of {count} channels of {wish.type} after "
            f"{wish.skip_bytes} bytes, got {max(size, 0)} bytes; is it cut off, or is the side-car another's?"
        )
    flat = np.memmap(path, dtype=kind, mode="r", offset=wish.skip_bytes)
    rows = flat.reshape(-1, count).T if wish.interleaved else flat.reshape(count, -1)
    columns = [Named(name=f"channel {k}", values=row) for k, row in enumerate(rows, 1)]
    return columns_recording(place, columns, Stated(form=f"raw {wish.type}"), wish)
