"""What a file is that somebody drops on the page, told by its content and never by its name alone."""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from gapwright.app.sheet import Sheet
from gapwright.base.errors import InputRefused
from gapwright.rig.reading import LONGEST_FILE, plain_text

DropKind = Literal["rig", "job", "capture", "picture", "unknown"]

HEAD = 4096
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
        return _left("unknown", name, f"not a file that the bench can read: it {fault}")
    return _of_text(name, text)


def _of_text(name: str, text: str) -> Dropped:
    try:
        kind = tomllib.loads(text).get("file")
    except (ValueError, RecursionError):
        kind = None
        if _looks_like_columns(text):
            return _left(
                "capture", name, "columns of numbers, perhaps a capture; this bench does not read them yet"
            )
    if kind in ("rig", "job"):
        return Dropped(
            kind=kind, name=name, title=name, says=f"a {kind} file, kept until the bench ends", text=text
        )
    return _left(
        "unknown", name, 'text, but neither a rig nor a job: it must begin with file = "rig" or file = "job"'
    )


def _looks_like_columns(text: str) -> bool:
    """Whether most of the first lines hold several numbers."""
    lines = [line for line in text.splitlines()[:60] if line.strip()]
    rows = [line.replace(";", ",").replace("\t", ",").split(",") for line in lines]
    numeric = [row for row in rows if len(row) > 1 and all(_is_number(cell) for cell in row if cell.strip())]
    return len(numeric) > len(lines) / 2


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


def _left(kind: DropKind, name: str, says: str) -> Dropped:
    return Dropped(kind=kind, name=name, title=name, says=says)
