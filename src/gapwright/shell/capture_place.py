"""Where the bench keeps captures: beside its rigs, named, never by path, and nothing overwritten."""

import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from gapwright.base.errors import InputRefused, StoreFault
from gapwright.shell.captures.kept import is_kept
from gapwright.shell.captures.side_car import side_car_from
from gapwright.shell.captures.telling import HEAD, samples_form
from gapwright.shell.drops import PICTURES
from gapwright.shell.files import current_mask, reason
from gapwright.shell.folder import NotThere, ReadOnly

OWN = "captures"
"""Folder below the served one that takes what is dropped."""
NAME = re.compile(r"[A-Za-z0-9_-][A-Za-z0-9_-]{0,63}(?:\.[A-Za-z0-9]{1,8}){0,2}")
PLAIN = (".csv", ".tsv", ".npy", ".npz", ".parquet", ".h5", ".hdf5", ".wav", ".csv.gz", ".csv.zip")
"""Endings that are taken for captures among the rigs, too."""
SIDE_CAR = ".json"
LONGEST_STEM = 50


class NotSamples(InputRefused):
    """A file is not taken, because it holds no samples."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A capture that can be named: a file, or a folder of the form in which captures are kept."""

    name: str
    bytes: int
    changed_ns: int
    kept: bool
    described: bool
    """Whether a side-car stands beside it."""


class CapturePlace:
    """Files of captures by name; in the demonstration they go with the bench."""

    def __init__(self, root: Path | None) -> None:
        """Keep captures below a folder, or in a temporary one where `root` is None."""
        self._lock = Lock()
        self._temporary: tempfile.TemporaryDirectory[str] | None = None
        self._root = None if root is None else root.resolve()

    @property
    def stays(self) -> bool:
        """Whether what is taken is still there when the bench has ended."""
        return self._root is not None

    def close(self) -> None:
        """Let a temporary folder go."""
        if self._temporary is not None:
            self._temporary.cleanup()
            self._temporary = None

    def _folders(self) -> list[Path]:
        """Folders that are looked into, the one that takes what is dropped first."""
        if self._root is None:
            if self._temporary is None:
                self._temporary = tempfile.TemporaryDirectory(prefix="gapwright-", ignore_cleanup_errors=True)
            return [Path(self._temporary.name)]
        return [self._root / OWN, self._root]

    def listed(self) -> list[Listed]:
        """Captures that can be named, in alphabetical order."""
        found: dict[str, Listed] = {}
        for place, folder in enumerate(self._folders()):
            for path in self._inside(folder):
                if self._is_capture(path, own=place == 0):
                    found.setdefault(path.name, _listed(path))
        return [found[name] for name in sorted(found)]

    def _inside(self, folder: Path) -> list[Path]:
        try:
            return [path for path in folder.iterdir() if NAME.fullmatch(path.name) and self._leads_here(path)]
        except OSError:
            return []

    def _leads_here(self, path: Path) -> bool:
        """Whether a path is no link that leads out of the folder."""
        return path.resolve().parent == path.parent.resolve()

    def _is_capture(self, path: Path, *, own: bool) -> bool:
        if path.is_dir():
            return is_kept(str(path))
        if path.suffix == SIDE_CAR or not path.is_file():
            return False
        return own or path.name.lower().endswith(PLAIN)

    def found(self, name: str) -> Path:
        """Path of a capture.

        Raises
        ------
        NotThere
            If there is none of that name.
        """
        for place, folder in enumerate(self._folders()):
            path = folder / name
            if NAME.fullmatch(name) and self._leads_here(path) and self._is_capture(path, own=place == 0):
                return path
        raise NotThere(f"there is no capture called {name[:80]!r} here; /api/captures lists them")

    @contextmanager
    def incoming(self) -> Iterator[Path]:
        """Place for a file that is still arriving; what is left there goes.

        Raises
        ------
        ReadOnly
            If nothing can be written here.
        """
        folder = self._folders()[0]
        try:
            folder.mkdir(exist_ok=True)
            handle, name = tempfile.mkstemp(prefix=".arriving-", suffix=".part", dir=folder)
        except OSError:
            raise ReadOnly("captures cannot be written: the folder is closed to you") from None
        os.close(handle)
        try:
            yield Path(name)
        except OSError as error:
            raise StoreFault(f"the capture could not be written: {reason(error)}") from None
        finally:
            Path(name).unlink(missing_ok=True)

    def take(self, arrived: Path, label: str) -> tuple[str, str]:
        """Give a file that arrived a free name near its label; returns name and what it is.

        Raises
        ------
        NotSamples
            If it does not look like samples.
        """
        stem, ending = _near(label)
        with arrived.open("rb") as stream:
            head = stream.read(HEAD)
        if ending.endswith(SIDE_CAR):
            return self._take_side_car(arrived, stem, ending)
        form = samples_form(head)
        folder = self._folders()[0]
        if form is None and (folder / f"{stem}{ending}{SIDE_CAR}").is_file():
            form = "raw samples, as their side-car says"
        if form is None:
            raise NotSamples(_no_samples(label, head))
        Path(arrived).chmod(0o666 & ~current_mask())
        with self._lock:
            return self._placed(arrived, folder, stem, ending), form

    def free(self, wanted: str) -> Path:
        """Path of a name that is free, near the one wanted."""
        stem, ending = _near(wanted)
        folder = self._folders()[0]
        folder.mkdir(exist_ok=True)
        return next(path for path in _paths(folder, stem, ending) if not path.exists())

    def _placed(self, arrived: Path, folder: Path, stem: str, ending: str) -> str:
        """Link a file under the first free name; nothing that stands there is touched."""
        taken = {path.name for each in self._folders() for path in self._inside(each)}
        for path in _paths(folder, stem, ending):
            if path.name in taken:
                continue
            try:
                path.hardlink_to(arrived)
            except FileExistsError:
                continue
            except OSError:
                arrived.rename(path)  # a file system without links; its name was free a moment ago
            return path.name
        raise AssertionError

    def _take_side_car(self, arrived: Path, stem: str, ending: str) -> tuple[str, str]:
        content = arrived.read_bytes() if arrived.stat().st_size <= HEAD else b"?"
        try:
            side_car_from(f"{stem}{ending}", content)
        except InputRefused as fault:
            raise NotSamples(str(fault)) from None
        path = self._folders()[0] / f"{stem}{ending}"
        try:
            path.hardlink_to(arrived)
        except FileExistsError:
            raise NotSamples(
                f"there is a side-car {path.name!r} already and it is not overwritten; change that one"
            ) from None
        return path.name, "a side-car, used when the file that it stands beside is read"


def _listed(path: Path) -> Listed:
    kept = path.is_dir()
    told = path.stat()
    size = sum(each.stat().st_size for each in path.iterdir()) if kept else told.st_size
    return Listed(
        name=path.name,
        bytes=size,
        changed_ns=told.st_mtime_ns,
        kept=kept,
        described=not kept and path.with_name(path.name + SIDE_CAR).is_file(),
    )


def _near(label: str) -> tuple[str, str]:
    """Stem and endings of a sound name near a label."""
    name = label.replace("\\", "/").rsplit("/", 1)[-1]
    stem, *endings = name.split(".")
    plain = [re.sub(r"[^A-Za-z0-9]", "", each)[:8].lower() for each in endings[-2:]]
    middle = "-".join([stem, *endings[:-2]])
    sound = re.sub(r"[^A-Za-z0-9_-]+", "-", middle).strip("-")[:LONGEST_STEM] or "capture"
    return sound, "".join(f".{each}" for each in plain if each)


def _paths(folder: Path, stem: str, ending: str) -> Iterator[Path]:
    yield folder / f"{stem}{ending}"
    for number in range(2, 100_000):
        yield folder / f"{stem}-{number}{ending}"


def _no_samples(label: str, head: bytes) -> str:
    """Why a file is not taken, in one line."""
    shown = f"{label[:60]!r}"
    picture = next((kind for start, kind in PICTURES.items() if head.startswith(start)), None)
    if not head.strip():
        return f"{shown} must hold samples, got an empty file"
    if picture is not None:
        return f"{shown} must hold samples, got a {picture} picture"
    if b"\0" in head:
        return (
            f"{shown} must hold samples in a form that says so, got other bytes; raw samples need their "
            "side-car beside them, so drop that first"
        )
    return f"{shown} must hold columns of numbers, got other text"
