"""Names of files that commands write: each kind has its own ending, and no rig file is overwritten."""

from pathlib import Path

from gapwright.base.errors import InputRefused
from gapwright.shell.files import require_writable

DECKS = (".cir", ".sp", ".spice", ".net")
"""How names of decks for a circuit simulator end."""
REPORTS = (".html", ".htm")
"""How names of reports end."""


def require_named(place: str, option: str, endings: tuple[str, ...]) -> Path:
    """Path at which a file of a kind may be written; its name must end as files of that kind do.

    So no report, no deck and no table ever lands on a rig or a job because a name was mistyped.

    Raises
    ------
    InputRefused
        If the name ends otherwise, or nothing can be written there.
    """
    if not place.lower().endswith(endings):
        kinds = " or ".join(filter(None, (", ".join(endings[:-1]), endings[-1])))
        raise InputRefused(f"{option} must name a file that ends in {kinds}, got {place!r}; name it so")
    return require_writable(place)


def require_new(place: str, option: str, endings: tuple[str, ...]) -> Path:
    """Path of a file of a kind that is not there yet.

    Raises
    ------
    InputRefused
        If something stands there already, or `require_named` refuses.
    """
    path = require_named(place, option, endings)
    if path.exists():
        raise InputRefused(f"{place!r} exists already and is not overwritten; give another name")
    return path


def require_report(place: str) -> None:
    """Refuse a report that could not be written, or would stand under the name of something else."""
    require_named(place, "--report", REPORTS)


def require_deck(place: str) -> None:
    """Refuse a deck that could not be written, or would stand under the name of something else."""
    require_named(place, "--deck", DECKS)


def require_new_rig(place: str) -> None:
    """Refuse a rig file that stands already: the user's own is never overwritten."""
    require_new(place, "--write", (".toml",))
