"""A forecast that unfolds: one coarse member first, then bands over more and more members."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gapwright.base.checks import require_between
from gapwright.base.progress import Progress, silent
from gapwright.rig.job import Job
from gapwright.rig.rig import Rig
from gapwright.study.drilling.drilling import Frame
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
from gapwright.study.drilling.recorder import Recorded, Recorder
from gapwright.study.drilling.time_lapse import Pace, pace
from gapwright.study.forecast.forecast import (
    MOST_MEMBERS,
    Heard,
    Spread,
    finished,
    forecast_of,
    one_after_another,
)
from gapwright.study.forecast.pictures import pictures
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds.assemble import Bench, bench
from gapwright.study.grounds.outcome import Forecast, Pictures
from gapwright.study.grounds.uncertain import Member, median_member, uncertain_constants
from gapwright.study.grounds.uncertain import members as draw_members

STEPS = (2, 8)
"""Members after which a forecast is given on the way to all of them."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Unfolded:
    """A forecast on the way: `members` stand behind its bands, 0 where one coarse member is all there is.

    `recorded` is what was kept of the drilling shown, spark by spark, once there is one.
    """

    forecast: Forecast
    pictures: Pictures
    frames: tuple[Frame, ...]
    members: int
    complete: bool
    recorded: Recorded | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Drilling:
    """What every task of a forecast has in common."""

    made: Bench
    seed: int
    heard: Heard
    recorder: Recorder
    lapse: Pace

    def tasks(self, members: Sequence[Member], *, shown: bool = False, coarse: bool = True) -> list[Task]:
        """Tasks of members; a drilling that is shown keeps its frames and does not count."""
        charge = charge_map_of(self.made, progress=self.heard.beforehand)
        few = FINE_DRY if self.made.dry else FINE
        return [
            Task(
                made=self.made,
                charge=charge,
                member=member,
                seed=self.seed,
                batch=self.lapse.sparks_for_one(member) if coarse else few,
                shown=shown,
                spark_energy=typical_spark_energy(charge, self.made),
                progress=self.heard.fine if shown else self.heard.member,
                wanted=self.recorder.wanted if shown and not coarse else None,
            )
            for member in members
        ]


def unfolding(
    rig: Rig,
    job: Job,
    *,
    seed: int = 0,
    members: int = 32,
    progress: Progress = silent,
    spread: Spread = one_after_another,
) -> Iterator[Unfolded]:
    """Forecasts of a drilling, each better than the one before; the last is what `forecast` gives.

    The first rests on one coarse member, so its bands have no width and mean nothing.

    Parameters
    ----------
    rig, job
        What drills, and the hole wanted.
    seed
        Same seed, same answers, whatever `spread` does.
    members
        How many draws of the uncertain constants the last bands rest on.
    progress
        Hears how far it is; False stops with `Stopped`.
    spread
        Runs the members; one after another if not given.

    Raises
    ------
    InputRefused
        If rig and job cannot work together, or a number above is out of range.
    """
    require_between("members", members, 1, MOST_MEMBERS, "")
    made = bench(rig, job)
    constants = uncertain_constants(rig, job)
    heard = Heard(progress, members)
    recorder, recorded = Recorder(made), None
    drilling = _Drilling(made=made, seed=seed, heard=heard, recorder=recorder, lapse=pace(made))
    middle = median_member(constants)
    heard.say(0, "mapping the generator")
    first = finished(run_member(drilling.tasks([middle], shown=True)[0]))
    yield _unfolded(drilling, first, [first], members=0, complete=False)
    drawn = draw_members(constants, count=members, seed=seed)
    results: list[MemberResult] = []
    shown, is_fine = first, False
    for step in (*(count for count in (*STEPS, ENOUGH) if count < members), members):
        # The drilling shown takes longest: it runs beside the second lot of members.
        wanted = not is_fine and (bool(results) or step == members)
        fine = drilling.tasks([middle], shown=True, coarse=False) if wanted else []
        found = spread(run_member, fine + drilling.tasks(drawn[len(results) : step]))
        done = [finished(each) for each in found]
        if fine:
            shown, is_fine = done[0], True
            recorded = recorder.recorded(shown.course, seed=seed)
        results += done[len(fine) :]
        complete = len(results) == members or is_hopeless(results)
        yield _unfolded(
            drilling,
            shown,
            results,
            members=len(results),
            complete=complete,
            recorded=recorded,
        )
        if complete:
            return


def _unfolded(
    drilling: _Drilling,
    shown: MemberResult,
    results: Sequence[MemberResult],
    *,
    members: int,
    complete: bool,
    recorded: Recorded | None = None,
) -> Unfolded:
    history = None if recorded is None else recorded.history
    return Unfolded(
        forecast=forecast_of(drilling.made, shown, results, seed=drilling.seed, history=history),
        pictures=pictures(drilling.made, shown, results),
        frames=shown.course.frames,
        members=members,
        complete=complete,
        recorded=recorded,
    )
