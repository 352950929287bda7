"""What a forecast says in words: the verdict, and what limits the drilling."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from gapwright.motion.loop import is_stable
from gapwright.rig.generator import gives_pulses
from gapwright.study.drilling.drilling import Course
from gapwright.study.drilling.gap_margin import product_text
from gapwright.study.drilling.one_member import MemberResult
from gapwright.study.drilling.why_ended import deciding_number
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.ledger import DISCHARGE, LEAKAGE, booked, drawn_from_supply
from gapwright.study.grounds.outcome import Banded, GapLoop

WHY = {
    "starved": "the gap never ignites often enough to go deeper",
    "only shorts": "the electrode spends its time shorted, not sparking",
    "standing arc": "the generator feeds an arc that does not go out",
    "electrode used up": "the electrode is used up before the hole is done",
    "time limit": "the time limit is reached first",
    "liquid boils": "the hole's wall gets hotter than the liquid's boiling point",
}


def duration_text(seconds: float) -> str:
    """A duration as a person says it.

    Examples
    --------
    >>> duration_text(8.2), duration_text(141.0), duration_text(5000.0)
    ('8 s', '2.4 min', '83 min')
    """
    if seconds < 60.0:
        return f"{seconds:.0f} s"
    minutes = seconds / 60.0
    return f"{minutes:.1f} min" if minutes < 10.0 else f"{minutes:.0f} min"


def verdict(
    made: Bench, *, time: Banded, done_share: float, results: Sequence[MemberResult], limit: str
) -> str:
    """One sentence: does it get through, how long, and what limits it."""
    wanted = "Gets through" if made.job.hole.through else "Reaches its depth"
    if time.median is None:
        return f"Does not {_plain(wanted)}: {_main_reason(made, results)}. What limits it is {limit}."
    low = duration_text(time.low) if time.low is not None else "unknown"
    high = duration_text(time.high) if time.high is not None else "never"
    share = "" if done_share > 0.995 else f", in {100 * done_share:.0f} % of the ways the constants may lie"
    about = f"{wanted} in about {duration_text(time.median)} a hole ({low} to {high}){share}"
    return f"{about}; what limits it is {limit}."


def _plain(claim: str) -> str:
    return {"Gets through": "get through", "Reaches its depth": "reach its depth"}[claim]


def _main_reason(made: Bench, results: Sequence[MemberResult]) -> str:
    """The commonest reason among members that did not finish, and the number that decided one of them."""
    reasons = [r.course.ended for r in results if not r.course.gets_through]
    commonest = max(sorted(set(reasons)), key=reasons.count)
    one = next(r.course for r in results if r.course.ended == commonest)
    decided = deciding_number(made, one)
    return WHY.get(commonest, commonest) + (f" ({decided})" if decided else "")


def time_shares(done: Course) -> NDArray[np.float64]:
    """Share of the drilling's time by class of discharge, charging counted to the spark it feeds."""
    total = float(done.class_time.sum())
    return done.class_time / total if total > 0.0 else done.class_time


ENDED_BY = {
    state.ENDINGS[state.STANDING]: "an arc that does not go out",
    state.ENDINGS[state.BOILS]: "heat, which boils the liquid in the hole",
    state.ENDINGS[state.USED_UP]: "electrode wear",
}
"""What limits a drilling that ended for one of these reasons, whatever took its time."""


def limited_by(made: Bench, shown: MemberResult, loop: GapLoop | None = None) -> str:
    """What the drilling waits for, as a noun phrase.

    Parameters
    ----------
    made
        Rig and job with their facts.
    shown
        The drilling shown.
    loop
        Stability of its gap loop, where that is known.
    """
    if shown.course.ended in ENDED_BY:
        return ENDED_BY[shown.course.ended]
    share = time_shares(shown.course)
    shorted, waiting = float(share[state.C_SHORT]), float(share[state.C_OPEN])
    feeding = 1.0 - shorted - waiting
    if shorted >= max(waiting, feeding):
        return f"shorts, which take {100 * shorted:.0f} % of the time ({_short_cause(made, loop)})"
    given = drawn_from_supply(shown.metered)
    burnt, leaked = booked(shown.metered, DISCHARGE), booked(shown.metered, LEAKAGE)
    if leaked > burnt:
        return (
            f"the leak through the water, which takes {100 * leaked / given:.0f} % of what the supply gives, "
            f"where sparks get {100 * burnt / given:.2g} %"
        )
    if waiting > feeding:
        return f"a gap that stands open {100 * waiting:.0f} % of the time, charged and waiting for a spark"
    if gives_pulses(made.rig.generator):
        return f"the generator's pulses: they burn, pause and rest {100 * feeding:.0f} % of the time"
    return f"the generator's power: the store is being recharged {100 * feeding:.0f} % of the time"


def _short_cause(made: Bench, loop: GapLoop | None) -> str:
    step = made.rig.axis.resolution * 1e6
    if made.dry:
        return f"steps of {step:g} µm are coarse against a contact"
    if loop is not None and not is_stable(loop.product):
        return (
            f"gain times slope times lag of the gap loop is {product_text(loop.product)}, unstable from 1.57"
        )
    return f"axis steps of {step:g} µm, debris"
