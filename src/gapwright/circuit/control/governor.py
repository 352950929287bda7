"""Controls as data: small state machines that watch the circuit and the clock and work its switches.

A governor is in one phase at a time and enters the first of its phases at
the start. A phase closes some of the switches that its governor works and
opens the rest; its rules say by what it gives way to which other phase.
Several governors run side by side and may look at each other's phase: a
charger, a detector of shorts, a series switch.
"""

from dataclasses import dataclass

from gapwright.base.checks import close_names, require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Seconds
from gapwright.circuit.network.mna import GapState

QUANTITIES = ("volts", "amperes", "node", "charge")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensor:
    """What a rule watches: "volts" or "amperes" of a part, voltage of a "node", "charge" of a counter.

    The current of a coil is that in its winding, without its damper's.
    """

    quantity: str
    name: str

    def __post_init__(self) -> None:
        """Refuse a quantity that is none."""
        if self.quantity not in QUANTITIES:
            raise InputRefused(
                f"a sensor must watch {' or '.join(QUANTITIES)}, got {self.quantity!r}"
                f"{close_names(self.quantity, QUANTITIES)}"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Above:
    """The quantity is above a level."""

    sensor: Sensor
    level: float
    then: str

    def __post_init__(self) -> None:
        """Refuse a level that is no number."""
        require_finite(f"level of {self.sensor.name}", self.level, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Below:
    """The quantity is below a level."""

    sensor: Sensor
    level: float
    then: str

    def __post_init__(self) -> None:
        """Refuse a level that is no number."""
        require_finite(f"level of {self.sensor.name}", self.level, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """The phase has lasted for a time."""

    seconds: Seconds
    then: str

    def __post_init__(self) -> None:
        """Refuse a phase that takes no time by the clock."""
        require_positive("time of a phase", self.seconds, "s")


@dataclass(frozen=True, slots=True, kw_only=True)
class OnClock:
    """A clock ticks: every period, the first time at `first`."""

    period: Seconds
    then: str
    first: Seconds = 0.0

    def __post_init__(self) -> None:
        """Refuse a clock that does not tick."""
        require_positive("period of a clock", self.period, "s")
        require_not_negative("first tick of a clock", self.first, "s")


@dataclass(frozen=True, slots=True, kw_only=True)
class WhenGap:
    """The gap is in a state."""

    state: GapState
    then: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WhenIn:
    """Another governor is in a phase, or is in any other if `not_in`."""

    governor: str
    phase: str
    then: str
    not_in: bool = False


Rule = Above | Below | After | OnClock | WhenGap | WhenIn


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """What a governor does for a while, and by what it stops.

    `zeroes` names a counter of charge set to zero at the start of the phase;
    `gap` holds the gap in a state, for scenes that are played.
    """

    name: str
    rules: tuple[Rule, ...] = ()
    closes: tuple[str, ...] = ()
    zeroes: str = ""
    gap: GapState | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Governor:
    """A state machine; it starts in the first of its phases."""

    name: str
    phases: tuple[Phase, ...]

    def __post_init__(self) -> None:
        """Refuse doubles, and rules that lead nowhere."""
        names = [phase.name for phase in self.phases]
        if not names:
            raise InputRefused(f"governor {self.name!r} must have a phase, got none")
        if len(set(names)) < len(names):
            raise InputRefused(f"phases of {self.name!r} must have names of their own, got one twice")
        for phase in self.phases:
            for rule in phase.rules:
                if rule.then not in names:
                    raise InputRefused(
                        f"phase {phase.name!r} of {self.name!r} must lead to another, got {rule.then!r}"
                        f"{close_names(rule.then, names)}"
                    )

    @property
    def switches(self) -> tuple[str, ...]:
        """Switches that this governor works, in order of first use."""
        return tuple(dict.fromkeys(name for phase in self.phases for name in phase.closes))


@dataclass(frozen=True, slots=True, kw_only=True)
class Governed:
    """Several governors side by side."""

    governors: tuple[Governor, ...]

    def __post_init__(self) -> None:
        """Refuse two hands at one switch, and looks at phases that are not there."""
        require_governors(self.governors)


def require_governors(governors: tuple[Governor, ...]) -> None:
    """Refuse doubles, two hands at one switch, and looks at phases that are not there.

    Raises
    ------
    InputRefused
        If the governors cannot work side by side.
    """
    phases = {g.name: [phase.name for phase in g.phases] for g in governors}
    if len(phases) < len(governors):
        raise InputRefused("governors must have names of their own, got one twice; rename it")
    hands: dict[str, str] = {}
    for g in governors:
        for switch in g.switches:
            if switch in hands:
                raise InputRefused(
                    f"{switch} must be worked by one governor, got {hands[switch]!r} and {g.name!r}"
                )
            hands[switch] = g.name
        for phase in g.phases:
            for rule in phase.rules:
                if isinstance(rule, WhenIn) and rule.phase not in phases.get(rule.governor, ()):
                    near = close_names(rule.phase, phases.get(rule.governor, phases))
                    raise InputRefused(
                        f"{g.name!r} looks at phase {rule.phase!r} of {rule.governor!r}, got none such{near}"
                    )
