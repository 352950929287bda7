"""What all holes of a job cost in electrode and in dressings, from those of a row that were followed."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import cycle, islice
from math import ceil, inf, isfinite, nan

from gapwright.base.units import Metres

MOST_HOLES = 100_000
"""Holes that one electrode is counted for at most."""
ROUNDING = 1e-9
"""Share of an electrode's length that a sum of wears may be out by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dressing:
    """Cutting the end square: after how many holes, by how much, and whether the job itself plans it."""

    after: int
    cut: Metres
    planned: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Account:
    """Electrode and handling for all holes of one member."""

    length: Metres
    """Wear of all holes, and what is cut off."""
    per_electrode: float
    """Whole holes from one electrode; NaN where one does not wear, or never gets there."""
    electrodes: float
    """Endless where one does not last for a hole."""
    dressings: float
    changes: float
    """How often a new electrode is set, or a long one drawn out further."""


def followed(values: Sequence[float], dressing: Dressing | None) -> Sequence[float]:
    """Values of the holes that all others are like: where a dressing is advised, those before it.

    A hole that was never finished counts all the same: that a square end would is not known.
    """
    if dressing is None or dressing.planned or not all(map(isfinite, values)):
        return values
    return values[: dressing.after]


def pattern(values: Sequence[float], dressing: Dressing | None) -> list[float]:
    """Values of the holes from one dressing to the next, each like the last followed at its place.

    Examples
    --------
    >>> pattern([3.0, 2.0, 1.0], None)
    [1.0]
    >>> pattern([3.0, 2.0, 4.0], Dressing(after=2, cut=0.0, planned=True))
    [4.0, 2.0]
    """
    after = dressing.after if dressing else 1
    basis = followed(values, dressing)
    return [(basis[place::after] or basis)[-1] for place in range(after)]


def total(values: Sequence[float], dressing: Dressing | None, count: int) -> float:
    """A figure summed over `count` holes."""
    basis = followed(values, dressing)[:count]
    repeated = pattern(values, dressing)
    begin = len(basis) % len(repeated)
    rest = islice(cycle(repeated), begin, begin + count - len(basis))
    return sum(basis) + sum(rest)


def account(wears: Sequence[Metres], *, dressing: Dressing | None, standing: Metres, count: int) -> Account:
    """What all holes of a job cost.

    Parameters
    ----------
    wears
        Wear of each followed hole. [m]
    dressing
        When the end is cut square, and by how much; None for never.
    standing
        Length of one electrode that holes may use up, above 0. [m]
    count
        How many holes there are.

    Examples
    --------
    Two holes of 2 mm, 1 mm cut off, two holes, ... of 23.5 mm that stand free:

    >>> plan = Dressing(after=2, cut=1e-3, planned=True)
    >>> found = account([2e-3, 2e-3], dressing=plan, standing=23.5e-3, count=12)
    >>> found.per_electrode, found.electrodes, found.dressings, f"{1e3 * found.length:.1f} mm"
    (9.0, 2.0, 5, '29.0 mm')
    """
    worn = total(wears, dressing, count)
    if not isfinite(worn):
        return Account(length=inf, per_electrode=nan, electrodes=inf, dressings=inf, changes=inf)
    after, cut = (dressing.after, dressing.cut) if dressing else (0, 0.0)
    each = holes_on_one(pattern(wears, dressing), cut=cut, standing=standing)
    if each == 0:
        dressings = (count - 1) // after if after else 0
        length = worn + dressings * cut
        changes = ceil(length / standing * (1.0 - ROUNDING)) - 1
        return Account(length=length, per_electrode=0.0, electrodes=inf, dressings=dressings, changes=changes)
    whole, rest = divmod(count, each)
    dressings = whole * ((each - 1) // after) + (max(0, rest - 1) // after) if after else 0
    needed = ceil(count / each)
    return Account(
        length=worn + dressings * cut,
        per_electrode=float(each) if each < MOST_HOLES else nan,
        electrodes=float(needed),
        dressings=dressings,
        changes=needed - 1,
    )


def holes_on_one(wears: Sequence[Metres], *, cut: Metres, standing: Metres) -> int:
    """Whole holes from one electrode: `wears` from one dressing to the next, `cut` between."""
    used, held = 0.0, 0
    while held < MOST_HOLES:
        if held and held % len(wears) == 0:
            used += cut
        used += wears[held % len(wears)]
        if used > standing * (1.0 + ROUNDING):
            break
        held += 1
    return held


def left_after(wears: Sequence[Metres], *, dressing: Dressing | None, standing: Metres) -> list[Metres]:
    """What each followed hole leaves of the standing length, before a dressing; NaN where it never ends.

    An electrode that does not last for a hole is set anew before it.
    """
    planned = dressing is not None and dressing.planned
    left, found = standing, []
    for place, wear in enumerate(wears):
        if planned and dressing is not None and place and place % dressing.after == 0:
            left -= dressing.cut
        if not isfinite(wear):
            found.append(nan)
            continue
        if wear > left:
            left = standing
        left = max(0.0, left - wear)
        found.append(left)
    return found
