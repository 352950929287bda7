"""The drillings of a forecast: the one shown, spark by spark, and the members behind the bands."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from gapwright.base.checks import require_between
from gapwright.base.errors import InputRefused
from gapwright.base.progress import Progress, Stopped, silent, tell
from gapwright.facts.priors import Prior
from gapwright.rig.job import Job
from gapwright.rig.rig import Rig
from gapwright.study.drilling.one_member import (
    ENOUGH,
    FINE,
    FINE_DRY,
    MemberResult,
    Task,
    is_hopeless,
    run_member,
    typical_spark_energy,
)
from gapwright.study.drilling.recorder import NOTHING, Asked, Recorded, Recorder
from gapwright.study.drilling.time_lapse import pace
from gapwright.study.forecast.hole_row import Row, RowTask, drill_row, hole_row
from gapwright.study.forecast.verdict import duration_text
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds.assemble import Bench, bench
from gapwright.study.grounds.outcome import HoleRow
from gapwright.study.grounds.uncertain import Member, median_member, uncertain_constants
from gapwright.study.grounds.uncertain import members as draw_members

MOST_MEMBERS = 4096
MOST_IN_A_ROW = 20
ROW_MEMBERS, ROW_SHARE = 8, 4
"""Members that drill a row of holes at least, and of how many of a forecast's one does."""

Spread = Callable[[Callable[[Any], Any], Sequence[Any]], list[Any]]
"""Runs a function over tasks, in any order or place, and gives the results in the tasks' order."""


def one_after_another(function: Callable[[Any], Any], tasks: Sequence[Any]) -> list[Any]:
    """Run tasks one by one, here."""
    return [function(task) for task in tasks]


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """How much work a forecast may be, and what its luck is.

    Where none of the first few members gets there the rest are not drilled, unless each is to be
    compared with another forecast's.

    `seed`: same seed, same answer, whatever `spread` does. `members`: draws of
    the uncertain constants behind the bands. `progress` hears how far it is;
    False stops with `Stopped`. `spread` runs the members. `beside` names
    constants of another forecast that shall meet the same draws as this one.
    `asked` is what is kept of the drilling shown. `in_a_row` holes are drilled
    with one electrode by a few members; 0 for none.
    """

    seed: int = 0
    members: int = 64
    progress: Progress = silent
    spread: Spread = one_after_another
    beside: frozenset[str] = frozenset()
    asked: Asked = NOTHING
    in_a_row: int = 0

    def __post_init__(self) -> None:
        """Refuse counts that mean nothing."""
        require_between("members", self.members, 1, MOST_MEMBERS, "")
        if self.in_a_row:
            require_between("holes in a row", self.in_a_row, 2, MOST_IN_A_ROW, "")
        if not 0 <= self.seed < 2**64:
            raise InputRefused(
                f"seed must be a whole number from 0 to 2^64 - 1, got {self.seed}; any will do"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Drillings:
    """All drillings of one forecast: the one shown, spark by spark, and the members behind the bands."""

    made: Bench
    fine: MemberResult
    coarse: list[MemberResult]
    recorded: Recorded
    row: HoleRow | None = None


def drillings(rig: Rig, job: Job, work: Work) -> Drillings:
    """Drill the hole shown and the members behind the bands.

    Raises
    ------
    InputRefused
        If rig and job cannot work together.
    Stopped
        If the listener asked to stop.
    """
    made = bench(rig, job)
    constants = uncertain_constants(rig, job)
    recorder = Recorder(made, work.asked)
    fine, coarse = _drilled(made, constants, work, recorder)
    recorded = recorder.recorded(fine.course, seed=work.seed)
    row = _row(made, constants, work) if work.in_a_row else None
    return Drillings(made=made, fine=fine, coarse=coarse, recorded=recorded, row=row)


def drilled_row(rig: Rig, job: Job, work: Work) -> HoleRow:
    """Holes in a row alone, without the forecast of the first: the same as beside one.

    Raises
    ------
    InputRefused
        If rig and job cannot work together.
    Stopped
        If the listener asked to stop.
    """
    made = bench(rig, job)
    require_between("holes in a row", work.in_a_row, 2, MOST_IN_A_ROW, "")
    return _row(made, uncertain_constants(rig, job), work)


def _row(made: Bench, constants: dict[str, Prior], work: Work) -> HoleRow:
    """Holes in a row, by the first few of the members that drill one hole."""
    members = min(max(ROW_MEMBERS, work.members // ROW_SHARE), work.members)
    heard = Heard(work.progress, members * work.in_a_row)
    heard.say(0, "mapping the generator")
    charge = charge_map_of(made, progress=heard.beforehand)
    energy, lapse = typical_spark_energy(charge, made), pace(made)
    said = f"{work.in_a_row} holes in a row, drilled {members} times over: holes"
    heard.say(0, said)

    def heard_hole(done: int, total: int, what: str) -> bool:  # noqa: ARG001 - the shape of Progress
        return heard.member(done, total, said)

    tasks = [
        RowTask(
            task=Task(
                made=made,
                charge=charge,
                member=member,
                seed=work.seed,
                batch=lapse.sparks_for_one(member),
                shown=False,
                spark_energy=energy,
                progress=heard_hole,
            ),
            holes=work.in_a_row,
        )
        for member in draw_members(constants, count=members, seed=work.seed, beside=work.beside)
    ]
    found: list[Row | None] = work.spread(drill_row, tasks)
    rows = [row for row in found if row is not None]
    if len(rows) < len(found):
        raise Stopped("stopped as asked")
    return hole_row(made, rows)


def _drilled(
    made: Bench, constants: dict[str, Prior], work: Work, recorder: Recorder
) -> tuple[MemberResult, list[MemberResult]]:
    """The drilling shown, spark by spark, and the coarse members behind the bands."""
    heard = Heard(work.progress, work.members)
    heard.say(0, "mapping the generator; the first time here its kernels are compiled, a minute or two")
    charge = charge_map_of(made, progress=heard.beforehand)
    energy = typical_spark_energy(charge, made)
    middle, lapse, few = median_member(constants), pace(made), FINE_DRY if made.dry else FINE

    def task(member: Member, heard: Progress = silent, *, shown: bool = False) -> Task:
        return Task(
            made=made,
            charge=charge,
            member=member,
            seed=work.seed,
            batch=few if shown else lapse.sparks_for_one(member),
            shown=shown,
            spark_energy=energy,
            progress=heard,
            wanted=recorder.wanted if shown else None,
        )

    first = finished(run_member(task(middle)))
    heard.say(0, f"first look: {_first_words(first)}; {work.members} more to follow")
    drawn = draw_members(constants, count=work.members, seed=work.seed, beside=work.beside)
    few_first = len(drawn) if work.beside else ENOUGH
    tasks = [task(middle, heard.fine, shown=True)] + [
        task(member, heard.member) for member in drawn[:few_first]
    ]
    fine, *coarse = [finished(result) for result in work.spread(run_member, tasks)]
    if not is_hopeless(coarse):
        rest = [task(member, heard.member) for member in drawn[few_first:]]
        coarse += [finished(result) for result in work.spread(run_member, rest)]
    return fine, coarse


class Heard:
    """Counts members as they finish, and passes it on; stops when the listener asks."""

    def __init__(self, progress: Progress, total: int) -> None:
        """Start with none done."""
        self._progress, self._total, self._done = progress, total, 0

    def say(self, done: int, what: str) -> None:
        """Tell the listener, and stop if it asks to."""
        tell(self._progress, done, self._total, what)

    def beforehand(self, done: int, total: int, what: str) -> bool:  # noqa: ARG002 - the shape of Progress
        """Hear from what comes before the first member."""
        return self._progress(0, self._total, what)

    def member(self, done: int, total: int, what: str) -> bool:
        """Hear from a member: it counts once it has finished, and may be stopped on its way."""
        if done >= total:
            self._done += 1
        return self._progress(min(self._done, self._total), self._total, what)

    def fine(self, done: int, total: int, what: str) -> bool:
        """Hear from the drilling shown, which does not count as a member."""
        return self._progress(self._done, self._total, what) if done < total else True


def finished(result: MemberResult | None) -> MemberResult:
    """A member's result, or `Stopped` if it was stopped on its way."""
    if result is None:
        raise Stopped("stopped as asked")
    return result


def _first_words(first: MemberResult) -> str:
    """The median member, coarsely, in a few words."""
    course = first.course
    if course.gets_through:
        return f"{course.ended} in about {duration_text(course.time)}"
    return f"ends with {course.ended!r} after {duration_text(course.time)}"
