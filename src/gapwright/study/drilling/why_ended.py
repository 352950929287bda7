"""Why a drilling ended, with the number that decided it."""

from gapwright.base.quantity import printed_quantity
from gapwright.study.drilling._kernel_drilling import STANDING_ROW
from gapwright.study.drilling._kernel_settling import BOILING_FOR
from gapwright.study.drilling.drilling import Course
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.limit_words import celsius_text
from gapwright.study.grounds.member_setting import LONGEST_DRILLING, PATIENCE, PATIENCE_DRY, usable_length


def deciding_number(made: Bench, done: Course) -> str:
    """What decided that a drilling ended before its hole was done, as a noun phrase; empty if it was done.

    Parameters
    ----------
    made
        Rig and job with their facts.
    done
        What the drilling did.
    """
    return {
        "starved": _no_progress,
        "only shorts": _shorted,
        "standing arc": _arc,
        "electrode used up": _worn,
        "time limit": _late,
        "liquid boils": _boiled,
    }.get(done.ended, _nothing)(made, done)


def _nothing(_made: Bench, _done: Course) -> str:
    return ""


def _patience(made: Bench) -> str:
    return printed_quantity(PATIENCE_DRY if made.dry else PATIENCE, "s")


def _no_progress(made: Bench, done: Course) -> str:
    depth = printed_quantity(done.depth, "m", digits=3)
    rate = done.sparks / done.time
    return f"{_patience(made)} without a micrometre of progress at {depth}, with {rate:.3g} sparks a second"


def _shorted(made: Bench, done: Course) -> str:
    share = float(done.numbers[state.SHORT_TIME]) * done.batch / done.time
    return f"shorted {100 * share:.0f} % of its time, and {_patience(made)} without a micrometre of progress"


def _arc(made: Bench, _done: Course) -> str:
    held = printed_quantity(made.hold_current, "A")
    return f"an arc in {STANDING_ROW} control ticks in a row, where {held} keeps one alive"


def _worn(made: Bench, done: Course) -> str:
    gone, whole = printed_quantity(done.worn, "m", digits=3), printed_quantity(usable_length(made), "m")
    return f"{gone} worn off at {printed_quantity(done.depth, 'm', digits=3)}, where {whole} can be used"


def _late(made: Bench, done: Course) -> str:
    limit = printed_quantity(made.job.limits.time or LONGEST_DRILLING, "s")
    return f"{limit} allowed, and {printed_quantity(done.depth, 'm', digits=3)} reached in it"


def _boiled(made: Bench, done: Course) -> str:
    wall, bound = float(done.numbers[state.HOTTEST_WALL]), made.liquid.fact("boiling_point").value
    return (
        f"the hole's wall at up to {celsius_text(wall)} for {BOILING_FOR:g} s, "
        f"where the liquid boils at {celsius_text(bound)}"
    )
