"""Finished points of sweeps in a file: one line each, written through before it counts."""

import hashlib
import json
import os
from collections.abc import Sequence
from pathlib import Path

from platformdirs import user_cache_path

from gapwright.base.errors import InputRefused, StoreFault
from gapwright.shell.files import reason, require_writable

BEGINS = b'{"task": '
"""How every line of such a file begins."""

Answer = tuple[dict[str, float | None], str | None]


def own_place(said: Sequence[str]) -> Path:
    """File of the user's cache in which the points of a sweep are kept if no other is named."""
    name = hashlib.sha256("\n".join(said).encode()).hexdigest()[:24]
    return user_cache_path("gapwright") / "sweeps" / f"{name}.jsonl"


class KeptPoints:
    """Points by the names of their tasks, appended to one file.

    A line that was cut off, as by a power failure, is passed over: its point is worked out again.
    """

    def __init__(self, place: str | Path) -> None:
        """Check that the file can be written; it is made with the first point.

        Raises
        ------
        InputRefused
            If nothing can be written there, or a file of another kind stands there.
        """
        path = Path(place)
        try:
            if not isinstance(place, str):
                path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as fault:
            raise StoreFault(f"{str(path)!r} could not be made: {reason(fault)}") from None
        self.path = require_writable(str(path))
        self._require_points(str(path))

    def _require_points(self, place: str) -> None:
        """Refuse to add points to a file that holds something else, such as a rig."""
        try:
            with self.path.open("rb") as stream:
                begins = stream.read(len(BEGINS))
        except FileNotFoundError:
            return
        except OSError as fault:
            raise StoreFault(f"{place!r} could not be read: {reason(fault)}") from None
        if not BEGINS.startswith(begins):
            raise InputRefused(
                f"--keep must name a file of its own for the points of sweeps, got {place!r}, which holds "
                "something else; give a new name"
            )

    def load(self, names: Sequence[str]) -> dict[str, Answer]:
        """Answers that are kept under these names."""
        wanted = set(names)
        found: dict[str, Answer] = {}
        try:
            with self.path.open("rb") as stream:
                for line in stream:
                    kept = _point(line)
                    if kept is not None and kept[0] in wanted:
                        found[kept[0]] = kept[1]
        except FileNotFoundError:
            return {}
        except OSError as fault:
            raise StoreFault(f"{str(self.path)!r} could not be read: {reason(fault)}") from None
        return found

    def keep(self, name: str, answer: Answer) -> None:
        """Append one point and have it written through."""
        line = json.dumps({"task": name, "figures": answer[0], "refused": answer[1]}) + "\n"
        try:
            with self.path.open("ab") as stream:
                if stream.tell() and not self._whole():
                    stream.write(b"\n")
                stream.write(line.encode())
                stream.flush()
                os.fsync(stream.fileno())
        except OSError as fault:
            raise StoreFault(f"{str(self.path)!r} could not be written: {reason(fault)}") from None

    def _whole(self) -> bool:
        """Whether the file ends with a whole line."""
        with self.path.open("rb") as stream:
            stream.seek(-1, os.SEEK_END)
            return stream.read(1) == b"\n"


def _point(line: bytes) -> tuple[str, Answer] | None:
    """A line as a point; None if it is not one."""
    try:
        said = json.loads(line)
        return said["task"], (said["figures"], said["refused"])
    except (ValueError, KeyError, TypeError):
        return None
