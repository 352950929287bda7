"""What a rig will do with a job: members drilled, banded, accounted and put into words."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import nan

from gapwright.base.checks import require_between
from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import Progress, silent
from gapwright.facts.priors import Prior
from gapwright.rig.job import Job
from gapwright.rig.rig import Rig
from gapwright.study import _drilling_state as state
from gapwright.study.assemble import Bench, bench
from gapwright.study.bands import banded
from gapwright.study.cautions import cautions
from gapwright.study.circumstances import excesses, figures_of_readings, remarks, stress
from gapwright.study.ignition import ignition_in_words
from gapwright.study.ledger import ledger
from gapwright.study.network import charge_map_of
from gapwright.study.one_member import (
    COARSE,
    COARSE_DRY,
    FINE,
    FINE_DRY,
    MemberResult,
    Task,
    run_member,
    typical_spark_energy,
)
from gapwright.study.outcome import (
    Banded,
    ClassShare,
    ElectrodeUse,
    Finish,
    Forecast,
    Hole,
    Pictures,
    Sparks,
)
from gapwright.study.pictures import pictures
from gapwright.study.readings import expected_readings
from gapwright.study.uncertain import Member, is_calibrated, median_member, uncertain_constants
from gapwright.study.uncertain import members as draw_members
from gapwright.study.verdict import duration_text, limited_by, time_shares, verdict

SCHEMA = 1
MOST_MEMBERS = 4096

Spread = Callable[[Callable[[Task], MemberResult | None], Sequence[Task]], list[MemberResult | None]]
"""Runs a function over tasks, in any order or place, and gives the results in the tasks' order."""


class Stopped(GapwrightError):
    """The listener asked to stop."""


def one_after_another(
    function: Callable[[Task], MemberResult | None], tasks: Sequence[Task]
) -> list[MemberResult | None]:
    """Run tasks one by one, here."""
    return [function(task) for task in tasks]


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """How much work a forecast may be, and what its luck is.

    `seed`: same seed, same answer, whatever `spread` does. `members`: draws of
    the uncertain constants behind the bands. `progress` hears how far it is;
    False stops with `Stopped`. `spread` runs the members. `beside` names
    constants of another forecast that shall meet the same draws as this one.
    """

    seed: int = 0
    members: int = 64
    progress: Progress = silent
    spread: Spread = one_after_another
    beside: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        """Refuse counts that mean nothing."""
        require_between("members", self.members, 1, MOST_MEMBERS, "")
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


def forecast(
    rig: Rig,
    job: Job,
    *,
    seed: int = 0,
    members: int = 64,
    progress: Progress = silent,
    spread: Spread = one_after_another,
) -> tuple[Forecast, Pictures]:
    """Forecast a drilling, with bands over members and a ledger of the median one.

    Parameters
    ----------
    rig, job
        What drills, and the hole wanted.
    seed, members, progress, spread
        As in `Work`.

    Raises
    ------
    InputRefused
        If rig and job cannot work together, or a number above is out of range.
    BalanceFault
        If the ledger does not close.
    """
    work = Work(seed=seed, members=members, progress=progress, spread=spread)
    done = drillings(rig, job, work)
    return said(done, seed=seed), pictures(done.made, done.fine, done.coarse)


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
    fine, coarse = _drilled(made, constants, work)
    return Drillings(made=made, fine=fine, coarse=coarse)


def said(done: Drillings, *, seed: int) -> Forecast:
    """What the drillings say, as a forecast.

    Raises
    ------
    BalanceFault
        If the ledger does not close.
    """
    return forecast_of(done.made, done.fine, done.coarse, seed=seed)


def _drilled(made: Bench, constants: dict[str, Prior], work: Work) -> tuple[MemberResult, list[MemberResult]]:
    """The drilling shown, spark by spark, and the coarse members behind the bands."""
    heard = Heard(work.progress, work.members)
    heard.say(0, "mapping the generator; the first time here its kernels are compiled, a minute or two")
    charge = charge_map_of(made)
    energy = typical_spark_energy(charge, made)
    middle = median_member(constants)

    few, many = (FINE_DRY, COARSE_DRY) if made.dry else (FINE, COARSE)

    def task(member: Member, heard: Progress = silent, *, shown: bool = False) -> Task:
        return Task(
            made=made,
            charge=charge,
            member=member,
            seed=work.seed,
            batch=few if shown else many,
            shown=shown,
            spark_energy=energy,
            progress=heard,
        )

    first = finished(run_member(task(middle)))
    heard.say(0, f"first look: {_first_words(first)}; {work.members} members follow")
    drawn = draw_members(constants, count=work.members, seed=work.seed, beside=work.beside)
    tasks = [task(middle, heard.fine, shown=True)] + [task(member, heard.member) for member in drawn]
    results = [finished(result) for result in work.spread(run_member, tasks)]
    return results[0], results[1:]


class Heard:
    """Counts members as they finish, and passes it on; stops when the listener asks."""

    def __init__(self, progress: Progress, total: int) -> None:
        """Start with none done."""
        self._progress, self._total, self._done = progress, total, 0

    def say(self, done: int, what: str) -> None:
        """Tell the listener, and stop if it asks to."""
        if not self._progress(done, self._total, what):
            raise Stopped("stopped as asked")

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


def forecast_of(made: Bench, fine: MemberResult, coarse: Sequence[MemberResult], *, seed: int) -> Forecast:
    """Everything the drillings say, put together."""
    done = [r for r in coarse if r.course.gets_through]
    time = _band(coarse, "time")
    limit = limited_by(made, fine.course)
    share = len(done) / len(coarse)
    opened = sum(1 for r in coarse if r.course.numbers[state.EXIT] > 0.0) / len(coarse)
    return Forecast(
        schema=SCHEMA,
        rig=made.rig.name,
        job=made.job.name,
        seed=seed,
        members=len(coarse),
        calibrated=is_calibrated(made.rig),
        verdict=verdict(made, time=time, done_share=share, results=coarse, limit=limit),
        gets_through=time.median is not None,
        limited_by=limit,
        ignition=ignition_in_words(made, fine.figure["front_gap"] if fine.course.sparks else None),
        finished_share=share,
        through_share=opened,
        ended=_ended(coarse),
        time_s=time,
        removal_rate_m3_per_s=_band(coarse, "rate_of_removal"),
        specific_energy_j_per_m3=_band(coarse, "specific_energy"),
        sparks=_sparks(fine, coarse),
        hole=_hole(coarse),
        electrode=ElectrodeUse(
            wear_length_m=_band(coarse, "wear_length"), volume_wear_ratio=_band(coarse, "wear_ratio")
        ),
        finish=Finish(
            ra_m=_band(coarse, "ra"), vdi_3400_class=_band(coarse, "class"), recast_m=_band(coarse, "recast")
        ),
        expected_readings=expected_readings(made, figures_of_readings(made, fine, coarse)),
        ledger=ledger(made, fine.metered),
        cautions=cautions(made, stress(made, fine)),
        outside_range=excesses(made, coarse),
        remarks=remarks(made, fine, coarse),
    )


def _band(results: Sequence[MemberResult], name: str) -> Banded:
    return banded([r.figure.get(name, nan) for r in results])


def _ended(results: Sequence[MemberResult]) -> dict[str, float]:
    """Share of members by how they ended, commonest first."""
    counted = Counter(r.course.ended for r in results)
    return {reason: count / len(results) for reason, count in counted.most_common()}


def _sparks(fine: MemberResult, coarse: Sequence[MemberResult]) -> Sparks:
    """Spark statistics; class counts and shares are those of the drilling shown."""
    shares = time_shares(fine.course)
    classes = {
        name: ClassShare(count=int(fine.course.class_count[k]), time_share=float(shares[k]))
        for k, name in enumerate(state.CLASSES)
    }
    return Sparks(
        count=_band(coarse, "sparks"),
        rate_hz=_band(coarse, "spark_rate"),
        energy_j=_band(coarse, "spark_energy"),
        classes=classes,
    )


def _hole(coarse: Sequence[MemberResult]) -> Hole:
    """Size of the hole; a member that never got so far is left out of the band."""
    return Hole(
        entry_diameter_m=_band(coarse, "entry"),
        exit_diameter_m=_band(coarse, "exit"),
        taper_rad=_band(coarse, "taper"),
        depth_m=_band(coarse, "depth"),
        overcut_m=_band(coarse, "overcut"),
        practice_overcut_m=_band(coarse, "practice_overcut"),
    )
