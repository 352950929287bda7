"""From a file, whatever its kind, to a recording."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from gapwright.base.errors import InputRefused
from gapwright.capture.recording import Recording
from gapwright.capture.wishes import FileWish
from gapwright.shell.captures.arrays import (
    npy_recording,
    npz_recording,
    parquet_recording,
    raw_recording,
    wav_recording,
)
from gapwright.shell.captures.container import ZIP, first_bytes, unpacked
from gapwright.shell.captures.delimited import text_recording
from gapwright.shell.captures.hierarchy import hdf5_recording
from gapwright.shell.captures.side_car import hookup_of, settings_of, side_car_of, wish_with
from gapwright.shell.captures.side_car_said import without

Reader = Callable[[str, Path, FileWish], Recording]

BY_MAGIC: tuple[tuple[int, bytes, Reader], ...] = (
    (0, b"\x93NUMPY", npy_recording),
    (0, ZIP, npz_recording),
    (0, b"PAR1", parquet_recording),
    (0, b"\x89HDF\r\n\x1a\n", hdf5_recording),
    (8, b"WAVE", wav_recording),
)
"""Where in a file which bytes stand, and who reads it then."""
BY_ENDING: dict[str, Reader] = {
    ".npy": npy_recording,
    ".npz": npz_recording,
    ".parquet": parquet_recording,
    ".h5": hdf5_recording,
    ".hdf5": hdf5_recording,
    ".wav": wav_recording,
}
"""Endings that say what a file should be, where its first bytes do not."""


def recording_at(place: str, options: dict[str, Any], unsaid: frozenset[str] = frozenset()) -> Recording:
    """Recording in the file at `place`, read as `options` and its side-car say, but for what is unsaid.

    Raises
    ------
    InputRefused
        If it cannot be read, in one line.
    """
    beside = without(side_car_of(place), unsaid)
    wish = wish_with(beside, options)
    with unpacked(place) as path:
        recording = reader_of(path, wish)(place, path, wish)
    return replace(recording, hookup=hookup_of(beside), settings=settings_of(beside))


def reader_of(path: Path, wish: FileWish) -> Reader:
    """Who reads a file: by the side-car's type, the first bytes, or the ending."""
    if wish.type is not None:
        return raw_recording
    head = first_bytes(path, 16)
    for at, magic, reader in BY_MAGIC:
        if head[at : at + len(magic)] == magic:
            return reader
    if path.suffix.lower() in BY_ENDING:
        return _broken(path.suffix.lower())
    return text_recording


def _broken(ending: str) -> Reader:
    def refuse(place: str, path: Path, wish: FileWish) -> Recording:  # noqa: ARG001 - the shape of a reader
        raise InputRefused(f"{place!r} must begin as a {ending} file does, got other bytes; is it cut off?")

    return refuse
