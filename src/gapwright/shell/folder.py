"""The folder of rig and job files that the bench serves: named, never by path, and no change is lost."""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from threading import Lock

from gapwright.base.errors import InputRefused
from gapwright.rig.reading import Kind
from gapwright.shell.files import read_text, write_whole

NAME = re.compile(r"[A-Za-z0-9_-]{1,60}")
MOST_DROPPED = 20
KINDS: tuple[Kind, ...] = ("rig", "job")


class NotThere(InputRefused):
    """A file that was named is not in the folder."""


class Taken(InputRefused):
    """A file of that name is there already."""


class Stale(InputRefused):
    """The file on disk is not the one that was edited."""


class ReadOnly(InputRefused):
    """Nothing can be saved here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A file: its text, the mark that changes with it, and whether it is on disk."""

    kind: Kind
    name: str
    text: str
    etag: str
    dropped: bool


def mark(text: str) -> str:
    """Mark of a text: the same text has the same, any other another."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:24]


class Folder:
    """Rig and job files of one folder, or of the demonstration, and those dropped on the page."""

    def __init__(self, place: Path | None) -> None:
        """Serve a folder, or the demonstration where `place` is None."""
        self._root = None if place is None else place.resolve()
        self._dropped: dict[tuple[Kind, str], str] = {}
        self._lock = Lock()

    @property
    def saves(self) -> bool:
        """Whether files can be saved."""
        return self._root is not None

    @property
    def name(self) -> str:
        """Name for a title, never a path."""
        return "demonstration" if self._root is None else self._root.name

    def listed(self) -> list[tuple[Kind, str]]:
        """Kind and name of every file, in alphabetical order."""
        with self._lock:
            return sorted({*self._on_disk(), *self._dropped}, key=lambda each: (each[0], each[1]))

    def _on_disk(self) -> Iterator[tuple[Kind, str]]:
        root = files("gapwright.shell") / "demo" if self._root is None else self._root
        for each in root.iterdir():
            for kind in KINDS:
                stem = each.name.removesuffix(f".{kind}.toml")
                if stem != each.name and NAME.fullmatch(stem) and each.is_file():
                    yield kind, stem

    def kept(self, kind: Kind, name: str) -> Kept:
        """A file by its name.

        Raises
        ------
        NotThere
            If there is none.
        InputRefused
            If it cannot be read as text.
        """
        with self._lock:
            return self._kept(kind, name)

    def _kept(self, kind: Kind, name: str) -> Kept:
        dropped = self._dropped.get((kind, name))
        text = self._read(kind, name) if dropped is None else dropped
        return Kept(kind=kind, name=name, text=text, etag=mark(text), dropped=dropped is not None)

    def _read(self, kind: Kind, name: str) -> str:
        if NAME.fullmatch(name) is None or (kind, name) not in set(self._on_disk()):
            raise NotThere(f"there is no {kind} called {name[:60]!r} here; /api/folder lists them")
        if self._root is None:
            return (files("gapwright.shell") / "demo" / f"{name}.{kind}.toml").read_text(encoding="utf-8")
        return read_text(str(self._place(kind, name)))

    def _place(self, kind: Kind, name: str) -> Path:
        """Path of a file in the folder; refuses names that are none, and links that lead out of it."""
        if NAME.fullmatch(name) is None:
            raise NotThere("a name must have 1 to 60 letters, digits, - and _")
        if self._root is None:
            raise ReadOnly(
                "the demonstration cannot be changed; start gapwright bench with a folder of yours"
            )
        path = self._root / f"{name}.{kind}.toml"
        if path.resolve().parent != self._root:
            raise NotThere(f"{path.name!r} leads out of the folder and is not served")
        return path

    def save(self, kind: Kind, name: str, text: str, *, etag: str) -> Kept:
        """Save a text in place of the one with this mark.

        Raises
        ------
        Stale
            If the file on disk is another by now.
        ReadOnly
            If this is the demonstration.
        """
        with self._lock:
            path = self._place(kind, name)
            if self._kept(kind, name).etag != etag:
                raise Stale(
                    f"the {kind} {name!r} was changed elsewhere since it was opened; look, then save again"
                )
            self._write(path, text)
            self._dropped.pop((kind, name), None)
            return self._kept(kind, name)

    def create(self, kind: Kind, name: str, text: str) -> Kept:
        """Save a text under a new name.

        Raises
        ------
        Taken
            If there is a file of that name.
        ReadOnly
            If this is the demonstration.
        """
        with self._lock:
            path = self._place(kind, name)
            if path.exists() or path.is_symlink():
                raise Taken(f"there is a {kind} called {name!r} already; choose another name")
            self._write(path, text)
            self._dropped.pop((kind, name), None)
            return self._kept(kind, name)

    def _write(self, path: Path, text: str) -> None:
        try:
            write_whole(str(path), text)
        except InputRefused:
            raise ReadOnly(f"{path.name!r} cannot be written: the folder is closed to you") from None

    def drop(self, kind: Kind, wanted: str, text: str) -> Kept:
        """Keep a text beside the files until the bench ends, under a free name near the one wanted."""
        base = re.sub(r"[^A-Za-z0-9_-]+", "-", wanted).strip("-")[:50] or "dropped"
        with self._lock:
            if len(self._dropped) >= MOST_DROPPED:
                raise InputRefused(
                    f"at most {MOST_DROPPED} dropped files are kept; save some or restart the bench"
                )
            taken = {*self._on_disk(), *self._dropped}
            numbered = (f"{base}-{number}" for number in range(2, 1000))
            name = next(each for each in (base, *numbered) if (kind, each) not in taken)
            self._dropped[kind, name] = text
            return self._kept(kind, name)
