"""Several holes one after another with one electrode: wear made up for, touched off again, dressed.

Each hole begins with the electrode as the one before left it. Touching off puts
its end at the entry face again, so the wear of a hole is how far lower the next
one begins. Holes beyond those followed are taken to be like the last of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, inf, isfinite, nan

import numpy as np

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Metres
from gapwright.hole.shape import Chain
from gapwright.rig.job import Job, wanted_depth
from gapwright.study.drilling.one_member import MemberResult, Task, run_member
from gapwright.study.forecast.verdict import duration_text
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.bands import banded
from gapwright.study.grounds.outcome import Banded, HoleRow, RowHole

FULL_WIDTH = 0.97
"""Share of its widest radius from which an electrode counts as full."""
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
    worn: Chain | None = None
    found: list[MemberResult] = []
    for hole in range(asked.holes):
        result = run_member(replace(asked.task, hole=hole, worn=worn))
        if result is None:
            return None
        found.append(result)
        if not result.course.gets_through:
            break
        worn = touched_off(result.course.tool)
    return tuple(found)


def touched_off(tool: Chain) -> Chain:
    """A worn electrode with its end at height 0 again, drawn out of its holder by what it has lost.

    Parameters
    ----------
    tool
        Radii and heights of its points. [m]

    Returns
    -------
    worn
        The same points lower, the upper ends where they were. [m]

    Examples
    --------
    >>> r, h = touched_off((np.array([0.0, 1.0, 1.0]), np.array([0.5, 0.6, 2.0])))
    >>> h.round(3).tolist()
    [0.0, 0.1, 2.0]
    """
    radii, heights = tool[0].copy(), tool[1].copy()
    tops = heights >= heights.max() * (1.0 - 1e-9)
    lower = heights - heights.min()
    return radii, np.where(tops, heights, lower)


def point_length(tool: Chain) -> Metres:
    """Length over which the worn end is thinner than the electrode.

    Parameters
    ----------
    tool
        Radii and heights of its points, from inside outwards. [m]

    Returns
    -------
    length
        From the tip to where the outer side is as good as full. [m]

    Examples
    --------
    >>> point_length((np.array([0.0, 0.5, 1.0, 1.0]), np.array([0.0, 0.2, 0.6, 5.0])))
    0.6
    """
    radii, heights = tool
    tip = int(np.argmin(heights))
    outside, up = radii[tip:], heights[tip:]
    full = outside >= FULL_WIDTH * outside.max()
    return float(up[full].min() - heights[tip])


def hole_row(made: Bench, rows: Sequence[Row]) -> HoleRow:
    """What rows of holes say of all holes of a job.

    Parameters
    ----------
    made
        Rig and job with their facts.
    rows
        The row of each member.
    """
    count = made.job.hole.count
    longest = max(len(row) for row in rows)
    holes = tuple(_hole(place, rows) for place in range(longest))
    times = [_total(row, "time", count) for row in rows]
    lengths = [_total(row, "wear_length", count) for row in rows]
    per = [_per_electrode(made, row) for row in rows]
    dress = dress_after(made.job, rows)
    dressing = _median([point_length(row[-1].course.tool) for row in rows]) if dress else None
    spare = 0.0 if dress is None or dressing is None else dressing / dress
    needs = [_electrodes(made, row, count, spare) for row in rows]
    found = HoleRow(
        count=count,
        members=len(rows),
        holes=holes,
        total_time_s=banded(times),
        total_electrode_m=banded([length + spare * count for length in lengths]),
        holes_per_electrode=banded(per),
        electrodes=banded(needs),
        dress_after=dress,
        dressing_length_m=dressing,
        words=(),
    )
    return replace(found, words=in_words(made, found, formed=_formed(rows)))


def _hole(place: int, rows: Sequence[Row]) -> RowHole:
    """One place of the row over all members; a member that ended before does not count as finished."""
    there = [row[place] for row in rows if len(row) > place]
    done = sum(each.course.gets_through for each in there)

    def over(values: Sequence[float]) -> Banded:
        return banded([*values, *[inf] * (len(rows) - len(there))])

    return RowHole(
        hole=place + 1,
        finished_share=done / len(rows),
        time_s=over([each.figure["time"] for each in there]),
        entry_diameter_m=banded([each.figure["entry"] for each in there]),
        exit_diameter_m=banded([each.figure["exit"] for each in there]),
        wear_length_m=over([each.figure["wear_length"] for each in there]),
        feed_m=over([_feed(each) for each in there]),
        point_length_m=banded([point_length(each.course.tool) for each in there]),
    )


def _feed(each: MemberResult) -> Metres:
    """Way of the holder from touching off to the end of the hole; endless where it never got there [m]."""
    return float(each.course.numbers[state.DEPTH]) if each.course.gets_through else inf


def _total(row: Row, name: str, count: int) -> float:
    """A figure summed over `count` holes, those beyond the row like its last."""
    taken = [each.figure[name] for each in row[:count]]
    return sum(taken) + max(0, count - len(taken)) * taken[-1]


def standing_length(made: Bench) -> Metres:
    """Length of one electrode that holes may use up without setting it again in its holder [m]."""
    return max(0.0, made.rig.setup.electrode.free_length - wanted_depth(made.job))


def _per_electrode(made: Bench, row: Row) -> float:
    """Whole holes from one electrode."""
    wear = row[-1].figure["wear_length"]
    return float(floor(standing_length(made) / wear)) if isfinite(wear) and wear > 0.0 else nan


def _electrodes(made: Bench, row: Row, count: int, spare: Metres) -> float:
    """Electrodes for all holes; endless where one does not last for a hole."""
    wear = row[-1].figure["wear_length"] + spare
    whole = floor(standing_length(made) / wear) if isfinite(wear) and wear > 0.0 else 0
    return float(ceil(count / whole)) if whole else inf


def dress_after(job: Job, rows: Sequence[Row]) -> int | None:
    """Holes after which to cut the end square; None where a square end drills no better.

    A square end drills better where most members make the first hole as wanted
    and a later one not: it does not get through, or its exit is too narrow.

    Parameters
    ----------
    job
        The hole wanted.
    rows
        The row of each member.
    """
    longest = max(len(row) for row in rows)
    if not _mostly_good(job, rows, 0):
        return None
    return next((place for place in range(1, longest) if not _mostly_good(job, rows, place)), None)


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


def _median(values: Sequence[float]) -> float:
    return float(np.median(values))


def in_words(made: Bench, found: HoleRow, *, formed: bool) -> tuple[str, ...]:
    """A row of holes in sentences.

    Parameters
    ----------
    made
        Rig and job with their facts.
    found
        What the row says.
    formed
        Whether the electrode's end has taken its form.
    """
    last = found.holes[-1]
    wear, feed, point = last.wear_length_m.median, last.feed_m.median, last.point_length_m.median
    time, length = found.total_time_s.median, found.total_electrode_m.median
    if wear is None or feed is None or point is None or time is None or length is None:
        return (
            f"Hole {last.hole} of the row does not get there in most members, so the {found.count} holes "
            "cannot be counted on.",
        )
    touch = (
        f"Touch off again before each hole, store discharged and electrode turning: its end then begins "
        f"{printed_quantity(wear, 'm', digits=2)} lower than before. Without touching off let the feed begin "
        f"that much lower each time. Each hole takes {printed_quantity(feed, 'm')} of feed from touching off."
    )
    cost = (
        f"{found.count} holes take {duration_text(time)} of drilling, touching off not counted, and "
        f"{printed_quantity(length, 'm', digits=2)} of electrode"
    )
    return touch, cost + _settings_in_words(made, found), _dressing_in_words(found, point, formed=formed)


def _settings_in_words(made: Bench, found: HoleRow) -> str:
    """How many electrodes that makes."""
    usable, needs = printed_quantity(standing_length(made), "m"), found.electrodes.median
    if needs is None:
        return f"; the {usable} that stand free do not last for one hole: set it again on the way."
    many = f"{needs:.0f} electrodes" if needs > 1.5 else "one electrode"
    return f": {many}, counting the {usable} that stand free, or as many settings of a long one."


def _dressing_in_words(found: HoleRow, point: Metres, *, formed: bool) -> str:
    worn = f"The worn end is thinner over {printed_quantity(point, 'm', digits=2)}"
    if found.dress_after is not None:
        return (
            f"{worn}: cut it square after {found.dress_after} "
            f"{'hole' if found.dress_after == 1 else 'holes'}, or the exits come out too narrow."
        )
    if not formed:
        return f"{worn} and still grows after {len(found.holes)} holes; follow more of them."
    return f"{worn} and has taken its form; a square end would soon look the same, so do not dress it."
