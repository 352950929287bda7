"""Two rigs drill the same hole on one clock, each member of both under the same luck.

A member of one rig and the member of that number of the other share the draw
of every constant that both have, and their random streams purpose by purpose.
What remains between them is the rigs' own: the difference is taken member by
member, and its band is narrower than that of two forecasts set side by side.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite, isnan, nan

import numpy as np
from numpy.typing import NDArray

from gapwright.base.progress import Progress
from gapwright.rig.job import Job, wanted_depth
from gapwright.rig.rig import Rig
from gapwright.study.drilling.one_member import MemberResult
from gapwright.study.forecast.drillings import Drillings, Work, drillings
from gapwright.study.forecast.forecast import said
from gapwright.study.forecast.pictures import pictures
from gapwright.study.forecast.verdict import duration_text
from gapwright.study.grounds.bands import HIGH, LOW, banded
from gapwright.study.grounds.outcome import Banded, Forecast, Pictures
from gapwright.study.grounds.uncertain import uncertain_constants

SCHEMA = 1
POINTS = 200
"""Instants of the common clock."""

LESS_IS_BETTER = {
    "time_s": "time",
    "wear_length_m": "wear_length",
    "specific_energy_j_per_m3": "specific_energy",
    "ra_m": "ra",
    "recast_m": "recast",
}
MORE_IS_BETTER = {"removal_rate_m3_per_s": "rate_of_removal"}
NEITHER = {
    "entry_diameter_m": "entry",
    "exit_diameter_m": "exit",
    "overcut_m": "overcut",
    "taper_rad": "taper",
    "spark_rate_hz": "spark_rate",
    "spark_energy_j": "spark_energy",
    "sparks": "sparks",
}
COMPARED = LESS_IS_BETTER | MORE_IS_BETTER | NEITHER
"""What is compared: key of the answer, and name of the members' figure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One number of two rigs, and how it differs from member to member under the same luck.

    `difference` is second less first; an end is None where a member of one rig
    did not finish. `ratio` is second over first, over pairs that both finished.
    `better_share` is the share of pairs in which the second is the better,
    None where neither direction is better; `pairs` counts those compared.
    """

    first: Banded
    second: Banded
    difference: Banded
    ratio: Banded
    better_share: float | None
    pairs: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthBand:
    """Depth of a hole at the instants of the common clock: ends and middle of the members' band."""

    low_m: tuple[float, ...]
    median_m: tuple[float, ...]
    high_m: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """Depths of both holes at the same instants."""

    time_s: tuple[float, ...]
    first: DepthBand
    second: DepthBand
    wanted_depth_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two forecasts of one job, and the differences between the rigs with their bands."""

    schema: int
    sentence: str
    first: Forecast
    second: Forecast
    differences: dict[str, Difference]
    clock: Clock


def comparison(first: Rig, second: Rig, job: Job, work: Work) -> tuple[Comparison, tuple[Pictures, Pictures]]:
    """Forecast one job on two rigs under the same luck, and take the differences.

    Parameters
    ----------
    first, second
        The rigs; differences are those of the second against the first.
    job
        The hole that both drill.
    work
        Seed, members, listener, and where the members run.

    Raises
    ------
    InputRefused
        If the job cannot be done with one of the rigs.
    """
    names = frozenset(uncertain_constants(first, job)) | frozenset(uncertain_constants(second, job))
    done = [
        drillings(rig, job, replace(work, beside=names, progress=_halved(work.progress, part)))
        for part, rig in enumerate((first, second))
    ]
    one, two = (said(each, seed=work.seed) for each in done)
    found = differences(done[0].coarse, done[1].coarse)
    answer = Comparison(
        schema=SCHEMA,
        sentence=sentence(*labels(first.name, second.name), found["time_s"]),
        first=one,
        second=two,
        differences=found,
        clock=clock(*done),
    )
    return answer, (_pictured(done[0]), _pictured(done[1]))


def labels(first: str, second: str) -> tuple[str, str]:
    """What to call two rigs side by side: by their names, numbered where those are the same.

    Parameters
    ----------
    first, second
        Names of the rigs.

    Examples
    --------
    >>> labels("mill", "mill")
    ('mill (first)', 'mill (second)')
    """
    return (f"{first} (first)", f"{second} (second)") if first == second else (first, second)


def _pictured(done: Drillings) -> Pictures:
    return pictures(done.made, done.fine, done.coarse)


def _halved(progress: Progress, part: int) -> Progress:
    """Progress of one of two forecasts, as half of the whole."""

    def heard(done: int, total: int, what: str) -> bool:
        return progress(part * total + done, 2 * total, f"{('first', 'second')[part]} rig: {what}")

    return heard


def differences(first: Sequence[MemberResult], second: Sequence[MemberResult]) -> dict[str, Difference]:
    """Differences of everything compared, member by member.

    Parameters
    ----------
    first, second
        Members of both rigs, in the same order.
    """
    return {
        key: difference(
            [each.figure.get(name, nan) for each in first],
            [each.figure.get(name, nan) for each in second],
            better=1 if key in MORE_IS_BETTER else -1 if key in LESS_IS_BETTER else 0,
        )
        for key, name in COMPARED.items()
    }


def difference(first: Sequence[float], second: Sequence[float], *, better: int) -> Difference:
    """Difference of one number, member by member; a member that did not finish counts as infinite.

    Parameters
    ----------
    first, second
        The number in each member; NaN where it has none.
    better
        1 if more is better, -1 if less is, 0 if neither.

    Examples
    --------
    >>> difference([2.0, 4.0, float("inf")], [1.0, 3.0, 5.0], better=-1).better_share
    1.0
    """
    pairs = [(a, b) for a, b in zip(first, second, strict=True) if not (isnan(a) or isnan(b))]
    gains = [better * _less(b, a) for a, b in pairs]
    decided = [gain for gain in gains if gain != 0.0]
    return Difference(
        first=banded(first),
        second=banded(second),
        difference=banded([_less(b, a) for a, b in pairs if isfinite(a) or isfinite(b)]),
        ratio=banded([b / a for a, b in pairs if isfinite(a) and isfinite(b) and a > 0.0]),
        better_share=sum(gain > 0.0 for gain in decided) / len(decided) if better and decided else None,
        pairs=len(pairs),
    )


def _less(a: float, b: float) -> float:
    """`a` less `b`; two infinite ones do not differ."""
    return 0.0 if a == b else a - b


def sentence(first: str, second: str, time: Difference) -> str:
    """The comparison of the two times in words, with its band and how many members it rests on.

    Parameters
    ----------
    first, second
        Names of the rigs.
    time
        Difference of their times.
    """
    share = time.better_share
    if share is None:
        return f"{second} and {first} do not differ in time in any of {time.pairs} members."
    ratio, gap = time.ratio, time.difference
    if ratio.median is None or ratio.low is None or ratio.high is None:
        return (
            f"No member finishes on both {first} and {second}; "
            f"{second} is the faster in {100.0 * share:.0f} % of the members that differ."
        )
    words = (
        f"{second} takes {ratio.median:.2g} times as long as {first} "
        f"({ratio.low:.2g} to {ratio.high:.2g} over members under the same luck), "
        f"and is the faster in {100.0 * share:.0f} % of them"
    )
    if gap.median is not None and gap.median != 0.0:
        words += f"; {'later' if gap.median > 0.0 else 'sooner'} by {duration_text(abs(gap.median))}"
    return f"{words}."


def clock(first: Drillings, second: Drillings) -> Clock:
    """Depths of both holes at the same instants, to the end of the slower band.

    Parameters
    ----------
    first, second
        All drillings of both rigs.
    """
    last = max(_last(done.coarse) for done in (first, second))
    times = np.linspace(0.0, last, POINTS)
    bands = [_depths(done.coarse, times) for done in (first, second)]
    return Clock(
        time_s=tuple(times.tolist()),
        first=bands[0],
        second=bands[1],
        wanted_depth_m=wanted_depth(first.made.job),
    )


def _last(results: Sequence[MemberResult]) -> float:
    """Time at which the slow end of the band ends."""
    ends = [each.course.time for each in results]
    return float(np.quantile(ends, HIGH, method="inverted_cdf")) if ends else 1.0


def _depths(results: Sequence[MemberResult], times: NDArray[np.float64]) -> DepthBand:
    """Band of depths; each member stays where it ended."""
    depths = np.array(
        [
            np.interp(times, [*c.trace[:, 0], c.time], [*c.trace[:, 1], c.depth])
            for c in (r.course for r in results)
        ]
    )
    low, median, high = np.quantile(depths, [LOW, 0.5, HIGH], axis=0, method="inverted_cdf")
    return DepthBand(low_m=tuple(low.tolist()), median_m=tuple(median.tolist()), high_m=tuple(high.tolist()))
