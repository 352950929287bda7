"""Sweeps: many points worked out by a crew, what is finished kept, the answer in the order of the points."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gapwright.app.ports import Crew, PointStore, TextSource
from gapwright.base.errors import GapwrightError
from gapwright.base.progress import Progress
from gapwright.study.forecast.sweep import Axis, Point, Task, axis_from, tasks, worked
from gapwright.study.forecast.sweep_figures import Figures

SCHEMA = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepAnswer:
    """Every point of a sweep, in the order of its grid: the last key runs fastest."""

    schema: int
    rig: str
    job: str | None
    seed: int
    members: int
    axes: tuple[Axis, ...]
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepWish:
    """What is to be swept: files by name, and axes as they were written. No job: the generator alone."""

    rig: str
    axes: Sequence[str]
    job: str | None = None
    seed: int = 0
    members: int = 64


def sweep(
    wish: SweepWish, *, read: TextSource, crew: Crew, store: PointStore, progress: Progress
) -> SweepAnswer:
    """Work out what is not kept yet, keep each point as it comes, and put all in order.

    Raises
    ------
    InputRefused
        If a file, an axis or any of the points breaks a rule; nothing is run then.
    """
    axes = tuple(axis_from(text) for text in wish.axes)
    rig = read(wish.rig)
    job = read(wish.job) if wish.job is not None else ""
    grid = tasks(axes, rig=rig, job=job, seed=wish.seed, members=wish.members)
    rig_record, job_record = grid[0][1].records()
    names = [task.name for _, task in grid]
    kept = dict(store.load(names))
    missing = {name: task for (_, task), name in zip(grid, names, strict=True) if name not in kept}
    _gather(missing, kept, crew=crew, store=store, heard=_Heard(progress, len(names), len(kept)))
    points = [
        Point(values=values, figures=kept[name][0], refused=kept[name][1])
        for (values, _), name in zip(grid, names, strict=True)
    ]
    return SweepAnswer(
        schema=SCHEMA,
        rig=rig_record.name,
        job=job_record.name if job_record else None,
        seed=wish.seed,
        members=wish.members if job_record else 0,
        axes=axes,
        points=tuple(points),
    )


class _Heard:
    """Counts finished points aloud."""

    def __init__(self, progress: Progress, total: int, done: int) -> None:
        self._progress, self._total, self._done = progress, total, done
        self.say()

    def say(self, *, more: int = 0) -> bool:
        """Tell how many are done; whether to go on."""
        self._done += more
        return self._progress(self._done, self._total, "points")


def _gather(
    missing: Mapping[str, Task],
    kept: dict[str, tuple[Figures, str | None]],
    *,
    crew: Crew,
    store: PointStore,
    heard: _Heard,
) -> None:
    """Have the crew work out what is missing; each answer is kept before it counts."""
    names = list(missing)

    def done(index: int, answer: tuple[Figures, str | None]) -> bool:
        name = names[index]
        kept[name] = answer
        store.keep(name, answer)
        return heard.say(more=1)

    if names and not crew(worked, [missing[name] for name in names], done):
        raise GapwrightError("the sweep was stopped; what is finished is kept, so run it again to go on")
