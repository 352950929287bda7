"""The generators behind the bench: those looked at, stretches run anew, sizings and sweeps."""

from dataclasses import dataclass
from typing import TypeVar

from gapwright.app.circuit import Seen, circuit_of
from gapwright.app.generator_marks import Marks, marks
from gapwright.app.generator_view import GeneratorView, generator_view
from gapwright.app.ports import in_turn
from gapwright.app.size import SizeWish, rig_file_of, size
from gapwright.app.sweep import SweepAnswer, SweepWish, sweep
from gapwright.app.sweep_form import AxisForm
from gapwright.base.progress import Progress
from gapwright.shell.crews import crew
from gapwright.shell.desk import Desk, Shelf
from gapwright.shell.figures.schematic import schematic
from gapwright.shell.folder import Kept, NotThere, mark
from gapwright.shell.points import KeptPoints, own_place
from gapwright.study.generator.scene_traces import Look, SceneTraces, is_recorded, looked
from gapwright.study.sizing.sizing import Sizing

MOST_SEEN = 4
MOST_KEPT = 8
FEW = 120
"""Points of a generator alone that are worked out here: starting processes would take longer."""
V = TypeVar("V")
GONE = "this is not kept (any more); the last few are: ask for it again"


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepAsk:
    """What is swept: the texts of rig and job, no job for the generator alone, and one axis."""

    rig: str
    job: str
    axis: AxisForm
    members: int
    seed: int


class GeneratorDesk:
    """All that the page of a generator can ask for."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._seen = Shelf[Seen](MOST_SEEN)
        self._views = Shelf[GeneratorView](MOST_SEEN)
        self._far = Shelf[SceneTraces](MOST_KEPT)
        self._sizings = Shelf[Sizing](MOST_KEPT)
        self._sweeps = Shelf[SweepAnswer](MOST_KEPT)

    def look(self, text: str, name: str, *, progress: Progress) -> str:
        """Run the scenes of a rig's generator; returns the name under which they are kept."""
        answer = mark(text)
        if self._seen.get(answer) is None:
            self._seen.put(answer, circuit_of(name, read=lambda _: text, progress=progress))
        return answer

    def seen(self, answer: str) -> Seen:
        """A generator that is kept.

        Raises
        ------
        NotThere
            If it is not kept, or not any more.
        """
        return _there(self._seen.get(answer))

    def view(self, answer: str) -> GeneratorView:
        """A generator as its page shows it."""
        found = self._views.get(answer)
        if found is None:
            found = generator_view(self.seen(answer))
            self._views.put(answer, found)
        return found

    def marks(self, answer: str, *, scene: str, shows: str) -> Marks:
        """What stands beside the parts of a schematic."""
        return marks(self.view(answer), scene=scene, shows=shows)

    def schematic(self, answer: str, *, scene: str, shows: str) -> str:
        """Schematic of a generator as SVG, marked."""
        own = self.marks(answer, scene=scene, shows=shows)
        netlist = self.seen(answer).scenes.netlist
        return schematic(netlist, values=own.values, shade=own.shades, title=own.title)

    def traces(self, answer: str, look: Look) -> SceneTraces:
        """Traces of a stretch that was recorded, or that was run before by `run_far`.

        Raises
        ------
        NotThere
            If neither is so.
        """
        seen = self.seen(answer)
        if is_recorded(seen.scenes, look):
            return looked(seen.scenes, look)
        found = self._far.get(_far_name(answer, look))
        if found is None:
            raise NotThere(
                "this stretch goes beyond what was recorded; have it run first, by a look over /api/work"
            )
        return found

    def run_far(self, answer: str, look: Look, *, progress: Progress) -> None:
        """Have a stretch ready for `traces`, by a new run where it goes beyond what was recorded."""
        seen, name = self.seen(answer), _far_name(answer, look)
        if not is_recorded(seen.scenes, look) and self._far.get(name) is None:
            self._far.put(name, looked(seen.scenes, look, progress=progress))

    def size(self, wanted: SizeWish, *, progress: Progress) -> str:
        """Size generators; returns the name under which they are kept."""
        answer = mark(repr(wanted))
        if self._sizings.get(answer) is None:
            self._sizings.put(answer, size(wanted, crew=crew(workers=None, cluster=None), progress=progress))
        return answer

    def sizing(self, answer: str) -> Sizing:
        """A sizing that is kept."""
        return _there(self._sizings.get(answer))

    def take(self, answer: str, *, rank: int, name: str) -> Kept:
        """Write the rig file of a candidate into the folder under a new name; nothing is overwritten."""
        return self.desk.folder.create("rig", name, rig_file_of(self.sizing(answer), rank=rank))

    def sweep(self, ask: SweepAsk, *, progress: Progress) -> str:
        """Run a sweep; returns the name under which it is kept. Finished points are kept if it is stopped."""
        answer = mark(repr(ask))
        if self._sweeps.get(answer) is not None:
            return answer
        texts = {"rig": ask.rig, "job": ask.job}
        wish = SweepWish(
            rig="rig",
            job="job" if ask.job else None,
            axes=(ask.axis.text,),
            members=ask.members,
            seed=ask.seed,
        )
        few = not ask.job and ask.axis.points <= FEW
        found = sweep(
            wish,
            read=lambda place: texts[place],
            crew=in_turn if few else crew(workers=None, cluster=None),
            store=KeptPoints(own_place([ask.rig, ask.job, ask.axis.text])),
            progress=progress,
        )
        self._sweeps.put(answer, found)
        return answer

    def swept(self, answer: str) -> SweepAnswer:
        """A sweep that is kept."""
        return _there(self._sweeps.get(answer))


def _far_name(answer: str, look: Look) -> str:
    return f"{answer} {look!r}"


def _there(found: V | None) -> V:
    if found is None:
        raise NotThere(GONE)
    return found
