"""Why a drilling ended, with the number that decided it."""

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Number, Seconds
from gapwright.study.drilling._kernel_drilling import STANDING_ROW
from gapwright.study.drilling._kernel_settling import BOILING_FOR
from gapwright.study.drilling.drilling import Course
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.limit_words import celsius_text
from gapwright.study.grounds.member_setting import LONGEST_DRILLING, patience_of, usable_length


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
    return printed_quantity(patience_of(made), "s")


def _rate(count: Number, time: Seconds) -> str:
    return f"{count / time if time > 0.0 else 0.0:.3g} sparks a second"


def _no_progress(made: Bench, done: Course) -> str:
    depth, num = printed_quantity(done.depth, "m", digits=3), done.numbers
    since = done.time - float(num[state.PROGRESS_AT])
    if since < patience_of(made):
        stretch = done.time - float(num[state.LOOKED_AT])
        waited = float(num[state.OPEN_TIME] - num[state.LOOKED_OPEN]) * done.batch / stretch
        return f"open and waiting for {100 * waited:.0f} % of {_last_stretch(made, done)}"
    rate = _rate(done.sparks - float(num[state.SPARKS_BEFORE]) * done.batch, since)
    return f"{_patience(made)} without a micrometre of progress at {depth}, with {rate} in that time"


def _short_share(done: Course) -> Number:
    return float(done.numbers[state.SHORT_TIME]) * done.batch / done.time


def _shorted(made: Bench, done: Course) -> str:
    depth, num = printed_quantity(done.depth, "m", digits=3), done.numbers
    if done.time >= _limit(made):
        return f"shorted {100 * _short_share(done):.0f} % of {_allowed(made)}, and {depth} reached in it"
    if done.time - float(num[state.PROGRESS_AT]) < patience_of(made):
        return _fruitless(made, done)
    since = done.time - float(num[state.PROGRESS_AT])
    shorted = float(num[state.SHORT_TIME] - num[state.SHORT_BEFORE]) * done.batch
    share = shorted / since if since > 0.0 else 0.0
    return f"shorted {100 * share:.0f} % of {_patience(made)} without a micrometre of progress at {depth}"


def _fruitless(made: Bench, done: Course) -> str:
    """Shorts that led somewhere, but too slowly."""
    num = done.numbers
    stretch = done.time - float(num[state.LOOKED_AT])
    share = float(num[state.SHORT_TIME] - num[state.LOOKED_SHORT]) * done.batch / stretch
    return f"shorted {100 * share:.0f} % of {_last_stretch(made, done)}"


def _last_stretch(made: Bench, done: Course) -> str:
    """The stretch after which a drilling was given up, and what it brought."""
    num = done.numbers
    stretch = done.time - float(num[state.LOOKED_AT])
    gained = printed_quantity(done.depth - float(num[state.LOOKED_FRONT]), "m", digits=3)
    return (
        f"the last {stretch:.0f} s, which took it {gained} deeper to "
        f"{printed_quantity(done.depth, 'm', digits=3)}: at that pace not in {_allowed(made)}"
    )


def _arc(made: Bench, _done: Course) -> str:
    held = printed_quantity(made.hold_current, "A")
    return f"an arc in {STANDING_ROW} control ticks in a row, where {held} keeps one alive"


def _worn(made: Bench, done: Course) -> str:
    gone, whole = printed_quantity(done.worn, "m", digits=3), printed_quantity(usable_length(made), "m")
    return f"{gone} worn off at {printed_quantity(done.depth, 'm', digits=3)}, where {whole} can be used"


def _limit(made: Bench) -> Seconds:
    return made.job.limits.time or LONGEST_DRILLING


def _allowed(made: Bench) -> str:
    """The time limit in words: the job's, or how long a forecast follows a drilling."""
    said = "allowed" if made.job.limits.time else "that a forecast follows a drilling"
    return f"the {printed_quantity(_limit(made), 's')} {said}"


def _late(made: Bench, done: Course) -> str:
    if done.time < _limit(made):
        return _last_stretch(made, done)
    depth = printed_quantity(done.depth, "m", digits=3)
    return (
        f"{depth} reached in {_allowed(made)}, with {_rate(done.sparks, done.time)} "
        f"and shorts for {100 * _short_share(done):.0f} % of the time"
    )


def _boiled(made: Bench, done: Course) -> str:
    wall, bound = float(done.numbers[state.HOTTEST_WALL]), made.liquid.fact("boiling_point").value
    return (
        f"the hole's wall at up to {celsius_text(wall)} for {BOILING_FOR:g} s, "
        f"where the liquid boils at {celsius_text(bound)}"
    )
