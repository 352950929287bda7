"""The rows of holes behind the bench: drilled on the cores of this machine, the last few kept."""

from dataclasses import dataclass

from gapwright.app.bench import Texts
from gapwright.app.forecast import Effort, Keeping
from gapwright.app.hole_row import RowAnswer, row_of
from gapwright.base.progress import Progress
from gapwright.shell.desk import Desk, Shelf
from gapwright.shell.folder import NotThere, mark
from gapwright.shell.memory import give_back
from gapwright.shell.workers import Workers

MOST_KEPT = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class RowAsk:
    """The texts of rig and job, and how many holes are followed."""

    texts: Texts
    holes: int
    members: int
    seed: int


class RowDesk:
    """All that the page can ask for about holes in a row."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._rows = Shelf[RowAnswer](MOST_KEPT)

    def drill(self, ask: RowAsk, *, progress: Progress) -> str:
        """Drill a row; returns the name under which it is kept."""
        name = mark(repr(ask))
        if self._rows.get(name) is not None:
            return name
        workers = Workers()
        effort = Effort(
            seed=ask.seed,
            members=ask.members,
            spread=workers,
            progress=workers.heard_by(progress),
            keeping=Keeping(in_a_row=ask.holes),
        )
        try:
            self._rows.put(name, row_of(ask.texts, effort))
        finally:
            give_back()
        return name

    def row(self, name: str) -> RowAnswer:
        """A row that is kept.

        Raises
        ------
        NotThere
            If it is not kept, or not any more.
        """
        found = self._rows.get(name)
        if found is None:
            raise NotThere(f"this row is not kept (any more); the last {MOST_KEPT} are: drill it again")
        return found
