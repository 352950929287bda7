"""Governors of chargers and of what protects them: current limit, blanking, series switch, shorts, trains."""

from dataclasses import dataclass

from gapwright.base.units import Amperes, Seconds, Volts
from gapwright.circuit.control.governor import (
    Above,
    After,
    Below,
    Governor,
    OnClock,
    Phase,
    Rule,
    Sensor,
    WhenGap,
    WhenIn,
)
from gapwright.circuit.control.spark_loop import GAP, SERIES_SWITCH, STORE
from gapwright.circuit.network.mna import GapState

CHARGER, SERIES, SHORTS, TRAIN, PULSE = "charger", "series switch", "shorts", "train", "pulse"
"""Names of governors."""
CHARGE_PASSED = "charge passed"
"""Counter of the charge of a discharge."""
GAP_VOLTS = Sensor(quantity="volts", name=GAP)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortWatch:
    """A gap that stays below a voltage for a time is taken for shorted, and left alone for another."""

    threshold: Volts
    delay: Seconds
    hold_off: Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class Charging:
    """How a charger's switch works on its coil.

    It opens at `limit` in `coil`, closes after `minimum_off_time` and, if
    `emptied` names a part, once that part's current is gone. It rests while
    the store is between `voltage_limit` and `release`, and for `blanking`
    after each spark.
    """

    switch: str
    coil: str
    limit: Amperes
    minimum_off_time: Seconds
    voltage_limit: Volts
    release: Volts
    emptied: str = ""
    blanking: Seconds | None = None


EMPTY = 0.01
"""Share of the limit below which a coil counts as empty."""


def charger(charging: Charging) -> Governor:
    """Governor of a charger.

    Its phase "full" is the ready signal: the store has its voltage. Where the
    coil still carries its limit at the end of an off-time (the store is below
    the supply), it waits until the current has fallen to the limit.
    """
    coil = Sensor(quantity="amperes", name=charging.coil)
    store = Sensor(quantity="volts", name=STORE)
    held: tuple[Rule, ...] = ()
    if charging.blanking is not None:
        held = (WhenGap(state=GapState.ARC, then="spark"),)
    then = "look" if not charging.emptied else "emptying"
    on = Phase(
        name="on",
        closes=(charging.switch,),
        rules=(*held, Above(sensor=coil, level=charging.limit, then="off")),
    )
    off = Phase(name="off", rules=(*held, After(seconds=charging.minimum_off_time, then=then)))
    look = Phase(
        name="look",
        rules=(
            *held,
            Above(sensor=store, level=charging.voltage_limit, then="full"),
            Above(sensor=coil, level=charging.limit, then="wait"),
            Below(sensor=coil, level=charging.limit, then="on"),
        ),
    )
    wait = Phase(name="wait", rules=(*held, Below(sensor=coil, level=charging.limit, then="off")))
    full = Phase(name="full", rules=(*held, Below(sensor=store, level=charging.release, then="look")))
    return Governor(name=CHARGER, phases=(on, off, look, wait, full, *_options(charging, held)))


def _options(charging: Charging, held: tuple[Rule, ...]) -> list[Phase]:
    """Phases of a charger that waits for an emptied coil, and after a spark."""
    phases = []
    if charging.emptied:
        emptied = Sensor(quantity="amperes", name=charging.emptied)
        gone = Below(sensor=emptied, level=EMPTY * charging.limit, then="look")
        phases.append(Phase(name="emptying", rules=(*held, gone)))
    if charging.blanking is not None:
        phases += [
            Phase(name="spark", rules=(WhenGap(state=GapState.OPEN, then="blanked"),)),
            Phase(name="blanked", rules=(*held, After(seconds=charging.blanking, then="look"))),
        ]
    return phases


def clock(switch: str, *, period: float, on_time: float) -> Governor:
    """Governor that closes a switch for the same time in every period."""
    on = Phase(name="on", closes=(switch,), rules=(After(seconds=on_time, then="off"),))
    off = Phase(name="off", rules=(OnClock(period=period, then="on"),))
    return Governor(name=CHARGER, phases=(on, off))


def series_switch(
    watch: ShortWatch | None, *, largest_charge: float | None = None, rest: float = 50e-6
) -> Governor:
    """Governor of a switch between store and gap: it opens on a short, and after a set charge.

    With a largest charge, its circuit needs the counter `CHARGE_PASSED`,
    which starts anew with each discharge and each short: what leaks through
    an open gap does not count.
    """
    low: tuple[Rule, ...] = ()
    phases: list[Phase] = []
    if watch is not None:
        low = (Below(sensor=GAP_VOLTS, level=watch.threshold, then="doubt"),)
        phases += _shorted(watch)
    if largest_charge is None:
        return Governor(
            name=SERIES, phases=(Phase(name="closed", closes=(SERIES_SWITCH,), rules=low), *phases)
        )
    enough = Above(sensor=Sensor(quantity="charge", name=CHARGE_PASSED), level=largest_charge, then="cut")
    passes = tuple(WhenGap(state=state, then="passing") for state in (GapState.ARC, GapState.SHORT))
    closed = Phase(name="closed", closes=(SERIES_SWITCH,), rules=(*passes, *low))
    passing = Phase(
        name="passing",
        closes=(SERIES_SWITCH,),
        rules=(enough, WhenGap(state=GapState.OPEN, then="closed"), *low),
        zeroes=CHARGE_PASSED,
    )
    cut = Phase(name="cut", rules=(After(seconds=rest, then="closed"),))
    return Governor(name=SERIES, phases=(closed, passing, cut, *phases))


def _shorted(watch: ShortWatch) -> list[Phase]:
    """Phases of a series switch that doubts the gap, and that has opened on it."""
    back = Above(sensor=GAP_VOLTS, level=watch.threshold, then="closed")
    late = After(seconds=watch.delay, then="open")
    return [
        Phase(name="doubt", closes=(SERIES_SWITCH,), rules=(back, late)),
        Phase(name="open", rules=(After(seconds=watch.hold_off, then="closed"),)),
    ]


def train(run: float, rest: float) -> Governor:
    """Governor whose phase "run" lets pulses through for a time, and "rest" does not."""
    return Governor(
        name=TRAIN,
        phases=(
            Phase(name="run", rules=(After(seconds=run, then="rest"),)),
            Phase(name="rest", rules=(After(seconds=rest, then="run"),)),
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulsing:
    """When pulses begin and end: each burns equally long from its ignition on."""

    ignition_current: Amperes
    burning_time: Seconds
    longest_wait: Seconds
    pause: Seconds
    short: ShortWatch | None = None
    trained: bool = False
    """Whether a governor `train` lets pulses through."""


def pulses(
    pulsing: Pulsing, *, waiting: tuple[str, ...], burning: tuple[str, ...], paused: tuple[str, ...] = ()
) -> Governor:
    """Governor of pulses; the names are the switches that are closed in each phase."""
    struck = Above(
        sensor=Sensor(quantity="amperes", name=GAP), level=pulsing.ignition_current, then="burning"
    )
    ends = After(seconds=pulsing.burning_time, then="pause")
    phases = [
        Phase(
            name="waiting",
            closes=waiting,
            rules=(struck, After(seconds=pulsing.longest_wait, then="pause")),
        ),
        Phase(name="burning", closes=burning, rules=(ends, *_when_low(pulsing))),
        Phase(
            name="pause",
            closes=paused,
            rules=(After(seconds=pulsing.pause, then="ready" if pulsing.trained else "waiting"),),
        ),
    ]
    if pulsing.trained:
        phases.append(
            Phase(name="ready", closes=paused, rules=(WhenIn(governor=TRAIN, phase="run", then="waiting"),))
        )
    if pulsing.short is not None:
        back = Above(sensor=GAP_VOLTS, level=pulsing.short.threshold, then="burning")
        shut = After(seconds=pulsing.short.delay, then="shut")
        phases += [
            Phase(name="doubt", closes=burning, rules=(back, shut)),
            Phase(name="shut", closes=paused, rules=(After(seconds=pulsing.short.hold_off, then="pause"),)),
        ]
    return Governor(name=PULSE, phases=tuple(phases))


def _when_low(pulsing: Pulsing) -> tuple[Rule, ...]:
    if pulsing.short is None:
        return ()
    return (Below(sensor=GAP_VOLTS, level=pulsing.short.threshold, then="doubt"),)


def kept_current(switch: str, coil: str, *, low: float, high: float) -> Governor:
    """Governor that keeps a coil's current between two values."""
    current = Sensor(quantity="amperes", name=coil)
    return Governor(
        name="current",
        phases=(
            Phase(name="up", closes=(switch,), rules=(Above(sensor=current, level=high, then="down"),)),
            Phase(name="down", rules=(Below(sensor=current, level=low, then="up"),)),
        ),
    )
