"""Several holes one after another with one electrode: wear made up for, touched off again, dressed.

Each hole begins with the electrode as the one before left it, cut square where the job
says so. Touching off puts its end at the entry face again, so the wear of a hole is how
far lower the next one begins. Holes beyond those followed are taken to be like the last
of them, or like the last at the same place after a dressing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite

import numpy as np

from gapwright.base.units import Metres
from gapwright.hole.shape import Chain
from gapwright.rig.job import BetweenHoles, Job, wanted_depth
from gapwright.study.drilling.one_member import MemberResult, Task, run_member
from gapwright.study.forecast.row_account import Account, Dressing, account, left_after, total
from gapwright.study.forecast.row_words import in_words, surety_in_words
from gapwright.study.forecast.worn_end import dressed, point_length, touched_off
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.bands import banded
from gapwright.study.grounds.outcome import Banded, HoleRow, RowHole

FORMED = 0.1
"""Change of the point's length from one hole to the next below which the end has taken its form."""

Row = tuple[MemberResult, ...]
"""Holes of one member, the first with a new electrode; ends early with one that does not get through."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowTask:
    """One member and how many holes it drills in a row."""

    task: Task
    holes: int


def drill_row(asked: RowTask) -> Row | None:
    """Holes of one member, one after another; None if asked to stop.

    Parameters
    ----------
    asked
        The member and the number of holes.
    """
    between = asked.task.made.job.between_holes
    worn: Chain | None = None
    found: list[MemberResult] = []
    for hole in range(asked.holes):
        result = run_member(replace(asked.task, hole=hole, worn=worn))
        if result is None:
            return None
        found.append(result)
        if not result.course.gets_through:
            break
        worn = _next_end(result.course.tool, between, done=hole + 1)
    return tuple(found)


def _next_end(tool: Chain, between: BetweenHoles, *, done: int) -> Chain:
    """The electrode with which the next hole begins."""
    if between.dress_after is None or done % between.dress_after:
        return touched_off(tool)
    return dressed(tool, cut_of(tool, between))


def cut_of(tool: Chain, between: BetweenHoles) -> Metres:
    """Length that a dressing takes: the job's, or as much as has worn thinner [m]."""
    return point_length(tool) if between.dress_length is None else between.dress_length


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cost:
    """What all holes cost one member, beside what its job says of the time between them."""

    drilling: float
    dressing: Dressing | None
    account: Account

    def time(self, between: BetweenHoles, count: int) -> float:
        """Time for all holes, from the first touching off [s]."""
        steady = count * between.touch_off_time + (count - 1) * between.move_time
        return self.drilling + steady + self.dressing_time(between) + self.changing_time(between)

    def dressing_time(self, between: BetweenHoles) -> float:
        """Time for all dressings; endless where a hole is never finished [s]."""
        return self.account.dressings * between.dress_time if isfinite(self.drilling) else inf

    def changing_time(self, between: BetweenHoles) -> float:
        """Time for all new electrodes; endless where a hole is never finished [s]."""
        return self.account.changes * between.change_time if isfinite(self.drilling) else inf


def hole_row(made: Bench, rows: Sequence[Row]) -> HoleRow:
    """What rows of holes say of all holes of a job.

    Parameters
    ----------
    made
        Rig and job with their facts.
    rows
        The row of each member.
    """
    count, between = made.job.hole.count, made.job.between_holes
    narrow = narrow_from(made.job, rows)
    planned = between.dress_after is not None
    dress = between.dress_after if planned else narrow or None
    costs = [_cost(made, row, after=dress) for row in rows]
    cuts = [cost.dressing.cut for cost in costs if cost.dressing is not None]
    found = HoleRow(
        count=count,
        members=len(rows),
        holes=tuple(
            _hole(made, place, list(zip(rows, costs, strict=True))) for place in range(max(map(len, rows)))
        ),
        total_time_s=banded([cost.time(between, count) for cost in costs]),
        drilling_time_s=banded([cost.drilling for cost in costs]),
        touching_off_time_s=count * between.touch_off_time,
        moving_time_s=(count - 1) * between.move_time,
        dressing_time_s=banded([cost.dressing_time(between) for cost in costs]),
        changing_time_s=banded([cost.changing_time(between) for cost in costs]),
        total_electrode_m=banded([cost.account.length for cost in costs]),
        holes_per_electrode=banded([cost.account.per_electrode for cost in costs]),
        electrodes=banded([cost.account.electrodes for cost in costs]),
        dress_after=dress,
        dress_planned=planned,
        dressings=banded([cost.account.dressings for cost in costs]),
        dressing_length_m=float(np.median(cuts)) if cuts else None,
        words=(),
    )
    words = in_words(found, standing=standing_length(made), formed=_formed(rows), narrow_from=narrow)
    times = [cost.time(between, count) for cost in costs]
    return replace(found, words=(*words, surety_in_words(times)))


def _cost(made: Bench, row: Row, *, after: int | None) -> _Cost:
    """What all holes cost one member."""
    between, count = made.job.between_holes, made.job.hole.count
    dressing = None
    if after is not None:
        worn = row[min(after, len(row)) - 1].course.tool
        dressing = Dressing(after=after, cut=cut_of(worn, between), planned=between.dress_after is not None)
    wears = [each.figure["wear_length"] for each in row]
    return _Cost(
        drilling=total([each.figure["time"] for each in row], dressing, count),
        dressing=dressing,
        account=account(wears, dressing=dressing, standing=standing_length(made), count=count),
    )


def _hole(made: Bench, place: int, rows: Sequence[tuple[Row, _Cost]]) -> RowHole:
    """One place of the row over all members; a member that ended before does not count as finished."""
    there = [row[place] for row, _ in rows if len(row) > place]
    done = sum(each.course.gets_through for each in there)

    def over(values: Sequence[float]) -> Banded:
        return banded([*values, *[inf] * (len(rows) - len(there))])

    def left(row: Row, cost: _Cost) -> float:
        wears = [each.figure["wear_length"] for each in row]
        return left_after(wears, dressing=cost.dressing, standing=standing_length(made))[place]

    after = made.job.between_holes.dress_after
    return RowHole(
        hole=place + 1,
        finished_share=done / len(rows),
        time_s=over([each.figure["time"] for each in there]),
        entry_diameter_m=banded([each.figure["entry"] for each in there]),
        exit_diameter_m=banded([each.figure["exit"] for each in there]),
        wear_length_m=over([each.figure["wear_length"] for each in there]),
        feed_m=over([_feed(each) for each in there]),
        point_length_m=banded([point_length(each.course.tool) for each in there]),
        electrode_left_m=banded([left(row, cost) for row, cost in rows if len(row) > place]),
        dressed=after is not None and (place + 1) % after == 0 and place + 1 < made.job.hole.count,
    )


def _feed(each: MemberResult) -> Metres:
    """Way of the holder from touching off to the end of the hole; endless where it never got there [m]."""
    return float(each.course.numbers[state.DEPTH]) if each.course.gets_through else inf


def standing_length(made: Bench) -> Metres:
    """Length of one electrode that holes may use up without setting it again in its holder [m]."""
    return max(0.0, made.rig.setup.electrode.free_length - wanted_depth(made.job))


def narrow_from(job: Job, rows: Sequence[Row]) -> int | None:
    """Place of the first hole that most members no longer make as wanted, after a first that they do.

    So many holes may be drilled before a square end drills better. None where
    they make all as wanted; 0 where not even the first one, and a new end does
    no better.

    Parameters
    ----------
    job
        The hole wanted.
    rows
        The row of each member.
    """
    longest = max(len(row) for row in rows)
    return next((place for place in range(longest) if not _mostly_good(job, rows, place)), None)


def _mostly_good(job: Job, rows: Sequence[Row], place: int) -> bool:
    """Whether most members that come so far make the hole at a place of the row as wanted."""
    there = [row[place] for row in rows if len(row) > place]
    return 2 * sum(_is_good(job, each) for each in there) > len(there)


def _is_good(job: Job, each: MemberResult) -> bool:
    """Whether a hole is finished, and its exit no narrower than wanted."""
    narrow = job.hole.through and each.figure["exit"] < job.hole.diameter - job.hole.tolerance
    return each.course.gets_through and not narrow


def _formed(rows: Sequence[Row]) -> bool:
    """Whether the end has taken its form in most members: one more hole hardly changes its point."""
    changes = []
    for row in rows:
        if len(row) > 1:
            before, after = (point_length(each.course.tool) for each in row[-2:])
            changes.append(abs(after - before) <= FORMED * max(before, after))
    return 2 * sum(changes) > len(changes)
