"""What a file is that somebody drops on the page, told by its content and never by its name alone."""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from gapwright.app.sheet import Sheet
from gapwright.base.errors import InputRefused
from gapwright.rig.reading import LONGEST_FILE, plain_text
from gapwright.shell.captures.telling import HEAD, samples_form

DropKind = Literal["rig", "job", "capture", "picture", "unknown"]

PICTURES = {
    b"\x89PNG\r\n\x1a\n": "PNG",
    b"\xff\xd8\xff": "JPEG",
    b"II*\x00": "TIFF",
    b"MM\x00*": "TIFF",
    b"BM": "BMP",
}
"""First bytes of kinds of pictures; open standards."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dropped:
    """What became of a dropped file, in one line; `sheet` where it is a rig or a job."""

    kind: DropKind
    name: str
    title: str
    says: str
    sheet: Sheet | None = None
    text: str | None = None


def recognised(label: str, place: Path) -> Dropped:
    """What the file at `place` is; `label` is what the page calls it."""
    stem = Path(label.replace("\\", "/")).name.removesuffix(".toml")
    name = stem.removesuffix(".rig").removesuffix(".job")[:60]
    with place.open("rb") as stream:
        head = stream.read(HEAD)
        picture = next((kind for start, kind in PICTURES.items() if head.startswith(start)), None)
        if picture is not None:
            return _left("picture", name, f"a {picture} picture; this bench does not measure pictures yet")
        content = head + stream.read(LONGEST_FILE * 4)
    if not content.strip():
        return _left("unknown", name, "an empty file: nothing to take")
    try:
        text = plain_text(content)
    except InputRefused as fault:
        return _samples(head, name) or _left(
            "unknown", name, f"not a file that the bench can read: it {fault}"
        )
    return _of_text(name, text, head)


def _of_text(name: str, text: str, head: bytes) -> Dropped:
    try:
        kind = tomllib.loads(text).get("file")
    except (ValueError, RecursionError):
        kind = None
    if kind in ("rig", "job"):
        return Dropped(
            kind=kind, name=name, title=name, says=f"a {kind} file, kept until the bench ends", text=text
        )
    return _samples(head, name) or _left(
        "unknown", name, 'text, but neither a rig nor a job: it must begin with file = "rig" or file = "job"'
    )


def _samples(head: bytes, name: str) -> Dropped | None:
    """A capture, if the file looks like one."""
    form = samples_form(head)
    return None if form is None else _left("capture", name, f"{form}, taken for a capture")


def _left(kind: DropKind, name: str, says: str) -> Dropped:
    return Dropped(kind=kind, name=name, title=name, says=says)
