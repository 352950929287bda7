"""What a rig will do with a job: members drilled, banded, accounted and put into words."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from math import nan

from gapwright.base.progress import Progress, silent
from gapwright.base.units import Metres
from gapwright.rig.job import Job
from gapwright.rig.rig import Rig
from gapwright.study.cautions.cautions import cautions
from gapwright.study.drilling.gap_margin import gap_loop, working_gap
from gapwright.study.drilling.one_member import MemberResult
from gapwright.study.drilling.tick_history import History
from gapwright.study.forecast.circumstances import excesses, figures_of_readings, remarks, stress
from gapwright.study.forecast.drillings import (
    MOST_MEMBERS,
    Drillings,
    Heard,
    Spread,
    Work,
    drillings,
    finished,
    one_after_another,
)
from gapwright.study.forecast.ignition import ignition_in_words, what_a_liquid_changes
from gapwright.study.forecast.pictures import pictures
from gapwright.study.forecast.readings import expected_readings
from gapwright.study.forecast.verdict import limited_by, time_shares, verdict
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.bands import banded
from gapwright.study.grounds.ledger import ledger
from gapwright.study.grounds.outcome import (
    Banded,
    ClassShare,
    ElectrodeUse,
    Finish,
    Forecast,
    Hole,
    Pictures,
    Sparks,
)
from gapwright.study.grounds.uncertain import is_calibrated

__all__ = [
    "MOST_MEMBERS",
    "Drillings",
    "Heard",
    "Spread",
    "Work",
    "drillings",
    "finished",
    "forecast",
    "forecast_of",
    "one_after_another",
    "said",
]

SCHEMA = 1


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


def said(done: Drillings, *, seed: int) -> Forecast:
    """What the drillings say, as a forecast.

    Raises
    ------
    BalanceFault
        If the ledger does not close.
    """
    found = forecast_of(done.made, done.fine, done.coarse, seed=seed, history=done.recorded.history)
    return replace(found, row=done.row)


def forecast_of(
    made: Bench,
    fine: MemberResult,
    coarse: Sequence[MemberResult],
    *,
    seed: int,
    history: History | None = None,
) -> Forecast:
    """Everything the drillings say, put together; of the gap and its loop more where its history is known."""
    done = [r for r in coarse if r.course.gets_through]
    time = _band(coarse, "time")
    loop = None if history is None else gap_loop(made, history)
    limit = limited_by(made, fine, loop)
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
        gap_loop=loop,
        ignition=ignition_in_words(made, _gap(fine, history)),
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
        ignition_in_a_liquid=what_a_liquid_changes(made),
        outside_range=excesses(made, coarse),
        remarks=remarks(made, fine, coarse),
    )


def _gap(fine: MemberResult, history: History | None) -> Metres | None:
    """Working gap of the drilling shown: its last one where its history is not known, None if it has none."""
    if history is not None:
        return working_gap(history)
    return fine.figure["front_gap"] if fine.course.sparks else None


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
