"""The desk behind the bench: its folder, the answers it keeps, and the work that can be stopped."""

import shutil
from collections import OrderedDict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from typing import Generic, TypeVar

from gapwright.app.bench import FirstLook, Texts, first_look, sight, unfolded
from gapwright.app.bench import Sight as Sight
from gapwright.app.edits import edited
from gapwright.app.forecast import Answer, Effort
from gapwright.app.sheet import Origin, Sheet, sheet
from gapwright.base.errors import InputRefused
from gapwright.base.progress import Progress
from gapwright.rig.reading import Kind, faults_of
from gapwright.shell.capture_desk import CaptureDesk
from gapwright.shell.capture_place import SIDE_CAR, NotSamples
from gapwright.shell.drawers import Drawers
from gapwright.shell.drops import Dropped, recognised
from gapwright.shell.folder import Folder, Kept, NotThere, mark
from gapwright.shell.memory import give_back
from gapwright.shell.preparation import Preparation
from gapwright.shell.workers import Workers
from gapwright.study.forecast.unfolding import Unfolded

MOST_ANSWERS = 16
MOST_LOOKS = 32
V = TypeVar("V")


class Shelf(Generic[V]):
    """The latest few of something, by key; the one not asked for longest goes first."""

    def __init__(self, most: int) -> None:
        self._most, self._kept, self._lock = most, OrderedDict[str, V](), Lock()

    def get(self, key: str) -> V | None:
        """What is kept under a key, None if it is not."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def put(self, key: str, value: V) -> None:
        """Keep something."""
        with self._lock:
            self._kept[key] = value
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighted:
    """A forecast on the way and the name under which it is kept."""

    answer: str
    sight: Sight


class Desk:
    """All that the bench can be asked."""

    def __init__(self, place: Path | None, preparation: Preparation) -> None:
        self.folder = Folder(place)
        self.preparation = preparation
        self.drawers = Drawers()
        self.captures = CaptureDesk(place)
        self._answers = Shelf[Unfolded](MOST_ANSWERS)
        self._looks = Shelf[FirstLook](MOST_LOOKS)
        self._texts = Shelf[str](MOST_LOOKS)

    def text(self, kind: Kind, name: str, changes: Mapping[str, str]) -> str:
        """Text of a file with changes."""
        return self._edited(self.folder.kept(kind, name), changes)

    def _edited(self, kept: Kept, changes: Mapping[str, str]) -> str:
        """Text of a file with changes; the same changes are made once."""
        if not changes:
            return kept.text
        key = f"{kept.kind} {kept.etag} {tuple(changes.items())!r}"
        found = self._texts.get(key)
        if found is None:
            found = edited(kept.kind, kept.text, changes)
            self._texts.put(key, found)
        return found

    def sheet(self, kind: Kind, name: str, changes: Mapping[str, str]) -> Sheet:
        """A file laid out, with changes made and nothing saved."""
        kept = self.folder.kept(kind, name)
        text = self._edited(kept, changes)
        return sheet(text, _origin(kept, saved=text == kept.text and not kept.dropped))

    def save(self, kind: Kind, name: str, changes: Mapping[str, str], *, etag: str) -> Sheet:
        """Save changes; the file must still be the one of `etag`, and must be sound with them."""
        text = self.text(kind, name, changes)
        _refuse_faults(kind, text)
        kept = self.folder.kept(kind, name)
        if kept.dropped and kept.etag == etag:
            kept = self.folder.create(kind, name, text)
        else:
            kept = self.folder.save(kind, name, text, etag=etag)
        return sheet(kept.text, _origin(kept, saved=True))

    def create(self, kind: Kind, name: str, *, source: str, changes: Mapping[str, str]) -> Sheet:
        """Save a copy of a file with changes under a new name."""
        text = self.text(kind, source, changes)
        _refuse_faults(kind, text)
        kept = self.folder.create(kind, name, text)
        return sheet(kept.text, _origin(kept, saved=True))

    def drop(self, label: str, place: Path) -> Dropped:
        """Say what a dropped file is; a rig, a job or a capture is kept beside the folder's files."""
        found = recognised(label, place)
        if found.kind == "capture" or label.lower().endswith(SIDE_CAR):
            return self._drop_capture(label, place)
        if found.kind not in ("rig", "job") or found.text is None:
            return found
        kept = self.folder.drop(found.kind, found.name, found.text)
        laid = sheet(kept.text, _origin(kept, saved=False))
        return Dropped(kind=found.kind, name=kept.name, title=laid.title, says=found.says, sheet=laid)

    def _drop_capture(self, label: str, place: Path) -> Dropped:
        """Take a dropped capture in."""
        with self.captures.place.incoming() as arrived:
            shutil.copyfile(place, arrived)
            try:
                name, says = self.captures.place.take(arrived, label)
            except NotSamples as fault:
                return Dropped(kind="unknown", name="", title=label[:60], says=str(fault))
        return Dropped(kind="capture", name=name, title=name, says=f"a capture, {says}")

    def look(self, texts: Texts) -> FirstLook:
        """First look at a rig and a job."""
        key = mark(f"{texts.rig}\0{texts.job}")
        found = self._looks.get(key)
        if found is None:
            found = first_look(texts)
            self._looks.put(key, found)
        return found

    def looked(self, texts: Texts) -> FirstLook | None:
        """First look at a rig and a job, if it is known already."""
        return self._looks.get(mark(f"{texts.rig}\0{texts.job}"))

    def unfold(self, texts: Texts, *, members: int, seed: int, progress: Progress) -> Iterator[Sighted]:
        """Forecasts, each better than the one before; the last alone where it is known already."""
        name = mark(f"{texts.rig}\0{texts.job}\0{members}\0{seed}")
        known = self._answers.get(name)
        if known is not None:
            yield Sighted(answer=name, sight=sight(known))
            return
        workers = Workers()
        effort = Effort(seed=seed, members=members, spread=workers, progress=workers.heard_by(progress))
        try:
            for found in unfolded(texts, effort=effort):
                answer = name if found.complete else f"{name}-{found.members}"
                self.keep(answer, found)
                yield Sighted(answer=answer, sight=sight(found))
        finally:
            give_back()

    def keep(self, name: str, found: Unfolded) -> None:
        """Keep a forecast under a name."""
        self._answers.put(name, found)

    def answer(self, name: str) -> Answer:
        """A forecast that is kept."""
        found = self.found(name)
        return Answer(forecast=found.forecast, pictures=found.pictures, recorded=found.recorded)

    def found(self, name: str) -> Unfolded:
        """A forecast that is kept, with the frames of its drilling.

        Raises
        ------
        NotThere
            If it is not kept, or not any more.
        """
        found = self._answers.get(name)
        if found is None:
            raise NotThere(f"this answer is not kept (any more); the last {MOST_ANSWERS} are: ask again")
        return found


def _origin(kept: Kept, *, saved: bool) -> Origin:
    return Origin(kind=kept.kind, name=kept.name, etag=kept.etag, saved=saved, dropped=kept.dropped)


def _refuse_faults(kind: Kind, text: str) -> None:
    """Refuse to save what the command line would refuse to read."""
    faults = faults_of(kind, text)
    if faults:
        raise InputRefused(faults[0].says)
