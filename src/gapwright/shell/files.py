"""Files of the user: read whole with one-line refusals, written whole or not at all."""

import contextlib
import os
import stat
import tempfile
from pathlib import Path

from gapwright.base.errors import InputRefused, StoreFault

LARGEST_TEXT = 1_000_000
"""A rig or job file is a page or two; anything above this many bytes is something else."""


def read_text(place: str) -> str:
    """Text of the file at `place`.

    Raises
    ------
    InputRefused
        If there is no readable text file there.
    """
    try:
        with Path(place).open("rb") as stream:
            content = stream.read(LARGEST_TEXT + 1)
    except FileNotFoundError:
        raise InputRefused(f"there is no file {place!r}; give the path of an existing file") from None
    except IsADirectoryError:
        raise InputRefused(f"{place!r} is a folder; give the path of a file in it") from None
    except PermissionError:
        raise InputRefused(f"{place!r} may not be read by you; change its permissions") from None
    except (OSError, ValueError) as error:
        raise InputRefused(f"{place!r} cannot be read: {reason(error)}") from None
    if len(content) > LARGEST_TEXT:
        raise InputRefused(
            f"{place!r} must be at most {LARGEST_TEXT} bytes of text, got more; give a rig or job file"
        )
    return decoded(content, place)


def decoded(content: bytes, place: str) -> str:
    """Text of the bytes of a file; refuses what is not text in UTF-8."""
    if b"\0" in content:
        raise InputRefused(f"{place!r} must be a text file, got binary data; give a rig or job file")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise InputRefused(
            f"{place!r} must be text in UTF-8, got other bytes in line {line}; save it as UTF-8"
        ) from None


def reason(error: OSError | ValueError) -> str:
    """What the system says is wrong, in its own words."""
    return error.strerror.lower() if isinstance(error, OSError) and error.strerror else str(error)


def require_writable(place: str) -> Path:
    """Path at which a file may be written; refuses early what would fail late.

    Raises
    ------
    InputRefused
        If the folder is missing or closed, or something else than a plain file stands there.
    """
    try:
        path = Path(place).resolve()
        folder = path.parent
        if not folder.is_dir():
            raise InputRefused(
                f"{place!r} cannot be written: there is no folder {str(folder)!r}; make it first"
            )
        if path.exists() and not stat.S_ISREG(path.stat().st_mode):
            raise InputRefused(
                f"{place!r} cannot be written: a folder or device stands there; give another name"
            )
        if not os.access(folder, os.W_OK):
            raise InputRefused(f"{place!r} cannot be written: the folder {str(folder)!r} is closed to you")
    except (OSError, ValueError) as error:
        raise InputRefused(f"{place!r} cannot be written: {reason(error)}") from None
    return path


def require_folder(place: str) -> Path:
    """Path of a folder that can be read.

    Raises
    ------
    InputRefused
        If there is no such folder, or it is closed to the user.
    """
    try:
        path = Path(place).resolve()
        if not path.is_dir():
            said = "is a file" if path.exists() else "is not there"
            raise InputRefused(f"the folder {place!r} {said}; give a folder of rig and job files")
        if not os.access(path, os.R_OK | os.X_OK):
            raise InputRefused(f"the folder {place!r} may not be read by you; change its permissions")
    except (OSError, ValueError) as error:
        raise InputRefused(f"{place!r} cannot be used as a folder: {reason(error)}") from None
    return path


def write_whole(place: str, content: str | bytes) -> None:
    """Write a file under another name beside its place, then move it there: whole or not at all.

    Raises
    ------
    InputRefused
        If nothing can be written there.
    StoreFault
        If writing fails, as on a full disk; the old file, if any, stays.
    """
    path = require_writable(place)
    data = content.encode() if isinstance(content, str) else content
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:80]}.", suffix=".part", dir=path.parent)
    except OSError as error:
        raise StoreFault(f"{place!r} could not be written: {reason(error)}") from None
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).chmod(0o666 & ~current_mask())
        Path(name).replace(path)
    except OSError as error:
        raise StoreFault(f"{place!r} could not be written: {reason(error)}") from None
    finally:
        with contextlib.suppress(FileNotFoundError):
            Path(name).unlink()


def current_mask() -> int:
    """Permissions that new files of this user go without."""
    mask = os.umask(0o022)
    os.umask(mask)
    return mask


def made_folder(folder: str) -> Path:
    """Folder at a place, made if needed.

    Raises
    ------
    InputRefused
        If it cannot be made, or something else stands there.
    """
    base = Path(folder)
    try:
        base.mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise InputRefused(f"{folder!r} cannot be used as a folder: {reason(error)}") from None
    return base


def write_into_folder(folder: str, contents: dict[str, str]) -> list[str]:
    """Write several files into a folder, making it if needed; none of them may exist yet.

    Raises
    ------
    InputRefused
        If one of the files exists already or the folder cannot be made.
    """
    base = made_folder(folder)
    try:
        there = [name for name in contents if (base / name).exists()]
    except (OSError, ValueError) as error:
        raise InputRefused(f"{folder!r} cannot be used as a folder: {reason(error)}") from None
    if there:
        raise InputRefused(
            f"{str(base / there[0])!r} exists already and is not overwritten; give another folder"
        )
    places = [str(base / name) for name in contents]
    for place, text in zip(places, contents.values(), strict=True):
        write_whole(place, text)
    return places
