"""The desk behind the page of captures: what was read, mapped while it is looked at, and how far it is."""

import shutil
import tempfile
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Event, Lock
from typing import Any

from gapwright.app.capture_form import said_parts
from gapwright.app.capture_views import OpenCapture, open_capture
from gapwright.app.captures import CaptureHands, CaptureInHand, CaptureRequest, capture_setup, keep_capture
from gapwright.base.errors import InputRefused
from gapwright.base.progress import Progress, Stopped
from gapwright.capture.waveform import Capture
from gapwright.rig.reading import rig_from_text
from gapwright.shell.capture_place import SIDE_CAR, CapturePlace
from gapwright.shell.capture_supply import SupplyDesk
from gapwright.shell.captures.kept import is_kept, keep, kept_capture, kept_or_made_extremes
from gapwright.shell.captures.reading import recording_at
from gapwright.shell.captures.side_car_said import KEYS
from gapwright.shell.folder import NotThere, mark
from gapwright.shell.memory import give_back
from gapwright.study.captures.recording_setup import RecordingSetup

MOST_READ = 4
MAPPED_FROM = 4_000_000
"""Samples from which a capture is mapped instead of held in memory."""
MOST_FILES = 64
MOST_SETUPS = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadCall:
    """Files of one run, what was said of them, and the text of the rig that was recorded."""

    names: tuple[str, ...]
    said: dict[str, str] = field(default_factory=dict)
    rig: str | None = None
    rig_name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Far:
    """How far a reading is."""

    says: str
    done: int
    total: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Read:
    """A capture that was read, its extremes, and where its samples lie while it is looked at."""

    reading: str
    call: ReadCall
    opened: OpenCapture
    folder: Path | None

    @property
    def found(self) -> CaptureInHand:
        """The capture and all that was understood of it."""
        return self.opened.found


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupMade:
    """How to hook a recorder up to a rig, and what its figure shows."""

    name: str
    told: RecordingSetup
    shown: tuple[Any, ...]


class CaptureDesk:
    """All that the bench can be asked about captures."""

    def __init__(self, root: Path | None) -> None:
        self.place = CapturePlace(root)
        self.supplies = SupplyDesk(self.place)
        self._read: dict[str, Read] = {}
        self._far: dict[str, Far] = {}
        self._setups: dict[str, SetupMade] = {}
        self._lock = Lock()

    def close(self) -> None:
        """Let everything temporary go."""
        with self._lock:
            gone, self._read = list(self._read.values()), {}
        for each in gone:
            _let_go(each)
        self.place.close()

    def far(self, name: str) -> Far:
        """How far the latest reading of a capture is."""
        return self._far.get(name, Far(says="", done=0, total=0))

    def read(self, call: ReadCall, *, stop: Event) -> Read:
        """Read a capture, or find it as it was read before.

        Raises
        ------
        InputRefused
            If it cannot be read.
        Stopped
            If nobody waits for it any more.
        """
        paths = [self.place.found(name) for name in call.names]
        name = self._mark(call, paths)
        known = self._known(name)
        if known is not None:
            return known
        draft = Path(tempfile.mkdtemp(prefix="gapwright-"))
        try:
            return self._keep(self._fresh(name, call, paths, draft, self.heard(call.names[0], stop)))
        except KeyboardInterrupt:
            raise Stopped from None
        except InputRefused as refusal:
            raise InputRefused(_without_places(str(refusal), paths)) from None
        finally:
            self.has_ended(call.names[0])
            made = self._read.get(name)
            if made is None or made.folder != draft:
                shutil.rmtree(draft, ignore_errors=True)
            give_back()

    def _mark(self, call: ReadCall, paths: list[Path]) -> str:
        """Name of a reading: another file, another word or another rig gives another."""
        if not 1 <= len(paths) <= MOST_FILES:
            raise InputRefused(f"files of one run must be between 1 and {MOST_FILES}, got {len(paths)}")
        beside = [path.with_name(path.name + SIDE_CAR) for path in paths]
        known = [path for path in (*paths, *beside) if path.exists()]
        told = [(path.name, path.stat().st_mtime_ns, path.stat().st_size) for path in known]
        return mark(repr((told, sorted(call.said.items()), call.rig)))

    def heard(self, name: str, stop: Event) -> Progress:
        """Progress that is told under a name, until `stop` is set."""

        def heard(done: int, total: int, what: str) -> bool:
            self._far[name] = Far(says=what, done=done, total=total)
            return not stop.is_set()

        return heard

    def has_ended(self, name: str) -> None:
        """Tell nothing more under a name."""
        self._far.pop(name, None)

    def _fresh(
        self,
        name: str,
        call: ReadCall,
        paths: list[Path],
        draft: Path,
        heard: Progress,
    ) -> Read:
        mapped: list[Path] = []
        unsaid = frozenset(key for key, text in call.said.items() if not text and key in KEYS)

        def told(what: str) -> None:
            if not heard(0, 0, what):
                raise KeyboardInterrupt

        def settle(capture: Capture) -> Capture:
            told("laying out the samples")
            if capture.count < MAPPED_FROM or is_kept(str(paths[0])):
                return capture
            mapped.append(keep(capture, str(draft / "mapped"), sources=()))
            return kept_capture(str(mapped[0]))

        def record(place: str, options: dict[str, Any]) -> Any:
            told("reading the file")
            return recording_at(place, options, unsaid)

        hands = CaptureHands(
            record=record,
            kept=lambda place: kept_capture(place) if is_kept(place) else None,
            text=lambda _: call.rig or "",
            progress=heard,
            settle=settle,
            extremes=lambda places, capture: kept_or_made_extremes(
                tuple(map(str, mapped)) or places, capture
            ),
        )
        opened = open_capture(self._request(call, paths), hands)
        return Read(
            reading=name,
            call=call,
            opened=replace(opened, found=_named(opened.found, call.names)),
            folder=draft if mapped else None,
        )

    def _request(self, call: ReadCall, paths: list[Path]) -> CaptureRequest:
        parts = said_parts(call.said)
        return CaptureRequest(
            places=tuple(str(path) for path in paths),
            rig=call.rig_name if call.rig is not None else None,
            file_options=parts["file"],
            hookup=parts["hookup"],
            settings=parts["settings"],
        )

    def _known(self, name: str) -> Read | None:
        with self._lock:
            known = self._read.pop(name, None)
            if known is not None:
                self._read[name] = known
            return known

    def _keep(self, read: Read) -> Read:
        gone: list[Read] = []
        with self._lock:
            self._read[read.reading] = read
            while len(self._read) > MOST_READ:
                gone.append(self._read.pop(next(iter(self._read))))
        for each in gone:
            _let_go(each)
        return read

    def found(self, reading: str) -> Read:
        """A capture that was read.

        Raises
        ------
        NotThere
            If it was not, or is not kept any more.
        """
        known = self._known(reading)
        if known is None:
            raise NotThere(
                f"this reading is not kept (any more); the last {MOST_READ} are: read the capture again"
            )
        return known

    def keep(self, read: Read) -> str:
        """Keep a capture mapped and quick to open, beside the others; returns its name."""
        stem = read.call.names[0].split(".")[0]
        place = self.place.free(f"{stem}-kept")
        found = read.found
        sources = tuple(str(path) for path in map(self.place.found, read.call.names) if path.is_file())
        keep_capture(
            found, str(place), keep=lambda capture, folder, **_: keep(capture, folder, sources=sources)
        )
        return place.name

    def setup(self, text: str, rig_name: str) -> SetupMade:
        """How to hook a recorder up to a rig."""
        rig = rig_from_text(text, rig_name)
        told = capture_setup(rig_name, read=lambda _: text)
        shown = (told.earth, rig.setup.polarity == "workpiece positive", rig.supply.earthing == "earthed")
        made = SetupMade(name=mark(text), told=told, shown=shown)
        self._setups[made.name] = made
        while len(self._setups) > MOST_SETUPS:
            self._setups.pop(next(iter(self._setups)))
        return made

    def setup_made(self, name: str) -> SetupMade:
        """How to hook up to a rig, as it was told before.

        Raises
        ------
        NotThere
            If it was not, or is not kept any more.
        """
        made = self._setups.get(name)
        if made is None:
            raise NotThere("this setup is not kept (any more); ask for it again")
        return made


def _named(found: CaptureInHand, names: tuple[str, ...]) -> CaptureInHand:
    """A capture whose answer names its files, not where they lie."""
    return replace(found, answer=replace(found.answer, files=names))


def _without_places(says: str, paths: list[Path]) -> str:
    """A refusal that names files as the page does, not where they lie."""
    for path in paths:
        says = says.replace(f"{path.parent}/", "")
    return says


def _let_go(read: Read) -> None:
    """Take the mapped samples of a reading off the disk."""
    if read.folder is not None:
        with suppress(OSError):
            shutil.rmtree(read.folder, ignore_errors=True)
