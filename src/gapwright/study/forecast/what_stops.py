"""Why some members do not get there though others do: what parts the two, and what would bring them there."""

from collections.abc import Sequence

import numpy as np
from scipy.stats import mannwhitneyu

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Metres, Number
from gapwright.study.drilling.gap_margin import clean_gap, has_margin, operating_point
from gapwright.study.drilling.one_member import MemberResult
from gapwright.study.drilling.time_lapse import steps_into_contact
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.uncertain import REMOVAL, uncertain_constants

BY_CHANCE = 0.01
"""Chance that luck alone parts the members as firmly by any of the constants, above which none is named."""
MOST_OF_THEM = 0.75
"""Share of the members that stop, from which on the steps of the axis are what stops them."""
STEPPED = (state.ENDINGS[state.STARVED], state.ENDINGS[state.SHORTED], state.ENDINGS[state.TIMED_OUT])
"""Ends that steps wider than the gap can lead to."""
REMOVAL_TITLE = "metal removed per joule of a spark, among what is possible"


def what_stops(made: Bench, coarse: Sequence[MemberResult]) -> list[str]:
    """Sentences on what parts the members that do not get there from those that do.

    Nothing where all or none get there, or where nothing parts them more firmly than luck might.

    Parameters
    ----------
    made
        Rig and job with their facts.
    coarse
        The members.
    """
    stopped = [r for r in coarse if not r.course.gets_through]
    others = [r for r in coarse if r.course.gets_through]
    said = [text for text in (_narrow_gap(made, stopped, others),) if text]
    if stopped and others:
        said += [text for text in (_constant(made, stopped, others),) if text]
    return said


def _narrow_gap(made: Bench, stopped: Sequence[MemberResult], others: Sequence[MemberResult]) -> str:
    """Whether the members that stop are those whose gap is narrower than one step of the axis."""
    held = [r for r in stopped if r.course.ended in STEPPED]
    point = operating_point(made) if held and not made.dry and has_margin(made) else None
    if point is None:
        return ""

    def gap(result: MemberResult) -> Metres:
        return clean_gap(made, point.hazard, result.member)

    narrow = [gap(r) for r in held if steps_into_contact(made, gap(r))]
    beside = sum(steps_into_contact(made, gap(r)) for r in others)
    is_common = len(narrow) >= MOST_OF_THEM * len(stopped)
    if not is_common or beside * len(stopped) >= len(narrow) * max(len(others), 1):
        return ""
    step = printed_quantity(made.rig.axis.resolution, "m")
    middle = printed_quantity(float(np.median(narrow)), "m", digits=2)
    least = printed_quantity(min(narrow), "m", digits=2)
    those = "the one member that does not get there"
    if len(stopped) > 1:
        those = f"{len(narrow)} of the {len(stopped)} members that do not get there"
    as_others = f", as in {beside} of the {len(others)} that do" if others else ""
    which = f"{middle} in the middle one of them, steps of {step}"
    if len(narrow) == 1:
        which = f"{middle}, steps of {step}"
    return (
        f"In {those} the set point asks for a gap narrower than one step of the axis ({which}){as_others}: "
        "a step then ends in a touch, and the electrode swings between a touch and a gap too wide to ignite. "
        f"Steps finer than the gap, of {least} or less, or a higher open voltage, which widens the gap in "
        "proportion, bring them on."
    )


def _value(result: MemberResult, name: str) -> Number:
    member = result.member
    return member.value[name] if name in member.value else member.chance[name]


def _constant(made: Bench, stopped: Sequence[MemberResult], others: Sequence[MemberResult]) -> str:
    """The uncertain constant that parts the two most firmly, by the rank test of Mann and Whitney."""
    constants = uncertain_constants(made.rig, made.job)
    found = []
    for name in (*constants, REMOVAL):
        ours, theirs = [_value(r, name) for r in stopped], [_value(r, name) for r in others]
        if min(ours + theirs) < max(ours + theirs):
            found.append((float(mannwhitneyu(ours, theirs).pvalue), name, ours, theirs))
    if not found:
        return ""
    chance, name, ours, theirs = min(found)
    if chance * len(found) > BY_CHANCE:
        return ""
    title, unit = REMOVAL_TITLE, ""
    if name in constants:
        title, unit = constants[name].title, constants[name].unit
    here, there = (printed_quantity(float(np.median(each)), unit, digits=2) for each in (ours, theirs))
    return (
        f"Of all that is uncertain, what parts these members from the others most firmly is the "
        f"{title}: {here} in the middle one of them, {there} of the others. Measured on your rig and "
        f"written under [priors] in its file, it decides which of them yours is."
    )
