"""What is said of a capture, kept beside it: its side-car, read and written by the name of the capture."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from gapwright.base.errors import InputRefused
from gapwright.shell.capture_place import SIDE_CAR, CapturePlace
from gapwright.shell.captures.kept import is_kept
from gapwright.shell.captures.side_car import LARGEST, side_car_from
from gapwright.shell.captures.side_car_said import KEYS, said_in, with_said
from gapwright.shell.files import read_text, write_whole
from gapwright.shell.folder import ReadOnly, Stale, mark

_WRITING = Lock()


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptWords:
    """What a side-car says, as texts by key; `etag` names its text, and is empty where there is none."""

    said: dict[str, str]
    etag: str


def kept_words(place: CapturePlace, name: str) -> KeptWords:
    """What the side-car of a capture says.

    Raises
    ------
    NotThere
        If there is no capture of that name.
    InputRefused
        If the side-car cannot be read, or is none.
    """
    return _told(_beside(place, name))


def _told(path: Path) -> KeptWords:
    text = _text(path)
    if text is None:
        return KeptWords(said={}, etag="")
    return KeptWords(said=said_in(side_car_from(path.name, text.encode())), etag=mark(text))


def keep_words(place: CapturePlace, name: str, said: Mapping[str, str], *, etag: str) -> KeptWords:
    """Say something else in the side-car of a capture; all that is not touched stays as it stands there.

    Raises
    ------
    NotThere
        If there is no capture of that name.
    InputRefused
        If a value is wrong, or the capture is kept in a form that takes none.
    Stale
        If the side-car is not the one that was looked at.
    ReadOnly
        If nothing can be written there.
    """
    path = _beside(place, name)
    if is_kept(str(place.found(name))):
        raise InputRefused(
            f"{name!r} is a kept capture, whose samples are corrected already; correct the original instead"
        )
    other = next((key for key in said if key not in KEYS), None)
    if other is not None:
        raise InputRefused(f"{other[:60]!r} is not kept with a capture; leave it out")
    with _WRITING:
        now = _told(path)
        if now.etag != etag:
            raise Stale(f"the side-car of {name!r} was changed elsewhere; look at it again first")
        text = with_said(_text(path), now.said, said)
        side_car_from(path.name, text.encode())
        if now.etag or any(said.values()):
            try:
                write_whole(str(path), text)
            except InputRefused:
                raise ReadOnly(f"the side-car of {name!r} cannot be written: the folder is closed") from None
        return _told(path)


def _beside(place: CapturePlace, name: str) -> Path:
    """Path of the side-car of a capture; a link that leads elsewhere is not followed."""
    found = place.found(name)
    path = found.with_name(found.name + SIDE_CAR)
    if path.is_symlink():
        raise InputRefused(f"the side-car of {name!r} is a link, which is not followed; put a file there")
    return path


def _text(path: Path) -> str | None:
    if not path.exists():
        return None
    text = read_text(str(path))
    if len(text.encode()) > LARGEST:
        raise InputRefused(f"the side-car {path.name!r} must be at most {LARGEST} bytes, got more")
    return text
