"""A row of holes in sentences."""

from collections.abc import Sequence

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Metres, Seconds
from gapwright.study.forecast.verdict import duration_text
from gapwright.study.grounds.bands import beyond_ends, middle_error
from gapwright.study.grounds.outcome import HoleRow

OUTERMOST = 19
"""Members up to which the 5th and 95th percentile are the outermost two of them."""


def in_words(found: HoleRow, *, standing: Metres, formed: bool, narrow_from: int | None) -> tuple[str, ...]:
    """A row of holes in sentences.

    Parameters
    ----------
    found
        What the row says.
    standing
        Length of one electrode that holes may use up. [m]
    formed
        Whether the electrode's end has taken its form.
    narrow_from
        Place of the first hole that most members do not make as wanted, from 0; None where there is none.
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
    takes = "1 hole takes" if found.count == 1 else f"{found.count} holes take"
    cost = (
        f"{takes} {duration_text(time)}{_times_in_words(found)}, and "
        f"{printed_quantity(length, 'm', digits=2)} of electrode"
    )
    dressing = (
        _planned_in_words(found, point, narrow_from)
        if found.dress_planned
        else _advice_in_words(found, point, formed=formed)
    )
    return touch, cost + _settings_in_words(found, standing), dressing


def surety_in_words(times: Sequence[Seconds]) -> str:
    """How well few members know the bands of a row.

    Parameters
    ----------
    times
        Time for all holes, of each member; endless where it never gets there. [s]
    """
    count = len(times)
    if count == 1:
        return "One member drilled the row, so that nothing has a band."
    begun = f"Bands over {count} members"
    if count > OUTERMOST:
        begun += ", the 5th and 95th percentile"
    else:
        begun += (
            f" reach from the least to the greatest of them: about {100 * beyond_ends(count):.0f} % of all "
            "that may be lie beyond each end"
        )
    known = middle_error(times)
    if known is None:
        return f"{begun}; the middle of the time for all holes is not known from so few."
    low, high = (duration_text(end) for end in known)
    return (
        f"{begun}; the middle of the time for all holes lies between {low} and {high}, at one standard "
        "deviation."
    )


def _times_in_words(found: HoleRow) -> str:
    """What the time goes to."""
    parts = (
        ("of drilling", found.drilling_time_s.median),
        ("of touching off", found.touching_off_time_s),
        ("of moving on", found.moving_time_s),
        ("of dressing", found.dressing_time_s.median),
        ("for new electrodes", found.changing_time_s.median),
    )
    said = [f"{duration_text(time)} {name}" for name, time in parts if time]
    return f" ({', '.join(said[:-1])} and {said[-1]}, each by its median)" if len(said) > 1 else ""


def _settings_in_words(found: HoleRow, standing: Metres) -> str:
    """How many electrodes that makes."""
    usable, needs = printed_quantity(standing, "m"), found.electrodes.median
    if needs is None:
        return f"; the {usable} that stand free do not last for one hole: set it again on the way."
    many = f"{needs:.0f} electrodes" if needs > 1.5 else "one electrode"
    return f": {many}, counting the {usable} that stand free, or as many settings of a long one."


def _advice_in_words(found: HoleRow, point: Metres, *, formed: bool) -> str:
    """Whether to dress, where the job does not say."""
    worn = f"The worn end is thinner over {printed_quantity(point, 'm', digits=2)}"
    if found.dress_after is not None:
        return (
            f"{worn}: cut it square after {holes_text(found.dress_after)}, or the exits come out too narrow."
        )
    if not formed:
        return f"{worn} and still changes after {len(found.holes)} holes; follow more of them."
    return f"{worn} and has taken its form; a square end would soon look the same, so do not dress it."


def _planned_in_words(found: HoleRow, point: Metres, narrow_from: int | None) -> str:
    """What the job's own dressing does."""
    after, cut, times = found.dress_after or 1, found.dressing_length_m or 0.0, found.dressings.median or 0.0
    often = "once" if round(times) == 1 else f"{times:.0f} times"
    said = (
        f"The job has {printed_quantity(cut, 'm', digits=2)} cut off square after every "
        f"{holes_text(after)}, {often} in all; by the last hole followed the worn end is thinner over "
        f"{printed_quantity(point, 'm', digits=2)}."
    )
    if after >= len(found.holes):
        more = " No hole that was followed comes after a dressing; follow more of them to see what it does."
        said += more
    if narrow_from is None:
        return said
    if 0 < narrow_from < after:
        return (
            f"{said} Hole {narrow_from + 1} already comes out too narrow, or not at all: dress after "
            f"{holes_text(narrow_from)}."
        )
    return f"{said} Even so hole {narrow_from + 1} comes out too narrow, or not at all, in most members."


def holes_text(count: int) -> str:
    """A number of holes in words."""
    return "1 hole" if count == 1 else f"{count} holes"
