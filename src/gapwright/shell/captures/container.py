"""Files as they come: plain, gz or zip; unpacked beside the system's other temporary files, within limits."""

import gzip
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

from gapwright.base.errors import InputRefused
from gapwright.shell.files import reason

ALWAYS_FINE = 64 << 20
"""Bytes that anything may unpack to."""
MOST_TIMES = 200
"""How many times its packed size a file may unpack to; a scope's text packs to a tenth or so."""
MOST_BYTES = 64 << 30
PIECE = 1 << 20


class Readable(Protocol):
    """A stream that unpacks as it is read."""

    def read(self, size: int, /) -> bytes:
        """Next bytes; none at the end."""
        ...


GZIP, ZIP = b"\x1f\x8b", b"PK\x03\x04"


def require_room(place: str, packed: int, unpacked: int) -> None:
    """Refuse what unpacks to far more than its size.

    Raises
    ------
    InputRefused
        If it is a bomb or looks like one.
    """
    if unpacked > min(max(ALWAYS_FINE, MOST_TIMES * packed), MOST_BYTES):
        raise InputRefused(
            f"{place!r} must unpack to at most {MOST_TIMES} times its size, got more; "
            "unpack it yourself if you trust it"
        )


def one_line(error: BaseException) -> str:
    """What a library says is wrong, on one line and cut short."""
    said = "".join(c if c.isprintable() else " " for c in str(error))
    return " ".join(said.split())[:120] or type(error).__name__


def first_bytes(path: Path, count: int) -> bytes:
    """Beginning of a file."""
    with path.open("rb") as stream:
        return stream.read(count)


def require_file(place: str) -> Path:
    """Path of an existing file that may be read.

    Raises
    ------
    InputRefused
        If there is none, or it is empty.
    """
    path = Path(place)
    try:
        if path.is_dir():
            raise InputRefused(f"{place!r} is a folder; give the path of a file in it")
        first = first_bytes(path, 1)
    except FileNotFoundError:
        raise InputRefused(f"there is no file {place!r}; give the path of an existing file") from None
    except (OSError, ValueError) as error:
        raise InputRefused(f"{place!r} cannot be read: {reason(error)}") from None
    if not first:
        raise InputRefused(f"{place!r} must hold samples, got an empty file")
    return path


@contextmanager
def unpacked(place: str) -> Iterator[Path]:
    """Path of the plain content of a file; what was unpacked is gone afterwards.

    Raises
    ------
    InputRefused
        If the archive is broken, holds several files or another archive, or unpacks to too much.
    """
    path = require_file(place)
    magic = first_bytes(path, 4)
    if magic[:2] != GZIP and (magic != ZIP or _is_numpy(place, path)):
        yield path
        return
    with tempfile.TemporaryDirectory(prefix="gapwright-", ignore_cleanup_errors=True) as folder:
        plain = Path(folder) / path.name.removesuffix(path.suffix)
        try:
            if magic[:2] == GZIP:
                with gzip.open(path) as stream:
                    _pour(place, path.stat().st_size, stream, plain)
            else:
                plain = _unzip(place, path, Path(folder))
        except InputRefused:
            raise
        except Exception as error:  # noqa: BLE001 - the libraries raise whatever comes on broken files
            raise InputRefused(
                f"{place!r} must be a whole archive, got a broken one: {one_line(error)}"
            ) from None
        if first_bytes(plain, 2) == GZIP or first_bytes(plain, 4) == ZIP:
            raise InputRefused(f"{place!r} must hold samples, got an archive within an archive; unpack it")
        yield plain


def members(place: str, path: Path) -> list[zipfile.ZipInfo]:
    """Files in a zip archive, folders left out."""
    try:
        with zipfile.ZipFile(path) as archive:
            return [each for each in archive.infolist() if not each.is_dir()]
    except Exception as error:  # noqa: BLE001 - the library raises whatever comes on broken files
        raise InputRefused(
            f"{place!r} must be a whole archive, got a broken one: {one_line(error)}"
        ) from None


def _is_numpy(place: str, path: Path) -> bool:
    """Whether an archive is one of named arrays."""
    inside = members(place, path)
    return bool(inside) and all(each.filename.endswith(".npy") for each in inside)


def _unzip(place: str, path: Path, folder: Path) -> Path:
    inside = members(place, path)
    if len(inside) != 1:
        raise InputRefused(f"{place!r} must hold one file, got {len(inside)}; unpack it and name the files")
    plain = folder / (Path(inside[0].filename).name or "content")
    with zipfile.ZipFile(path) as archive, archive.open(inside[0]) as stream:
        _pour(place, path.stat().st_size, stream, plain)
    return plain


def _pour(place: str, packed: int, stream: Readable, plain: Path) -> None:
    """Write out what a stream unpacks to, as long as that stays within the limits."""
    total = 0
    with plain.open("wb") as target:
        while piece := stream.read(PIECE):
            total += len(piece)
            require_room(place, packed, total)
            target.write(piece)
    if total == 0:
        raise InputRefused(f"{place!r} must hold samples, got an empty file in it")
