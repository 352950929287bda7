"""What works the switches of a circuit of the user's own: nothing, a clock, a limit, or phases and rules."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from gapwright.base.field import Quantity, refused
from gapwright.base.quantity import Unread, read_quantity
from gapwright.rig.record import FileRecord


class NoControl(FileRecord):
    """Nothing is switched."""

    kind: Literal["none"] = Field(description="Nothing is switched.")


class Clock(FileRecord):
    """A clock closes a switch for the same time in every period."""

    kind: Literal["fixed on-time"] = Field(description="A clock closes one switch.")
    switch: str = Field(description="Name of the switch.")
    period: Annotated[float, Quantity("s", above=0, at_most=10, example="25 us", help="Period of the clock.")]
    on_time: Annotated[
        float, Quantity("s", above=0, at_most=10, example="12 us", help="How long the switch is closed.")
    ]


class CurrentLimited(FileRecord):
    """The switch opens at a coil current and closes after a least time, until the store is full."""

    kind: Literal["peak current"] = Field(description="A current limit works one switch.")
    switch: str = Field(description="Name of the switch.")
    limit: Annotated[
        float, Quantity("A", above=0, at_most=1000, example="3 A", help="Coil current at which it opens.")
    ]
    minimum_off_time: Annotated[
        float, Quantity("s", above=0, at_most=1, example="4 us", help="Shortest time that it stays open.")
    ]
    voltage_limit: Annotated[
        float, Quantity("V", above=0, at_most=5000, example="70 V", help="Store voltage at which it pauses.")
    ]
    hysteresis: Annotated[
        float,
        Quantity("V", at_least=0, at_most=1000, example="2 V", help="Fall of the store before it goes on."),
    ]


Watched = Literal["volts", "amperes", "node", "charge"]
UNITS = {"volts": "V", "amperes": "A", "node": "V", "charge": "C"}
"""Unit of the level of what is watched."""


class RuleText(FileRecord):
    """One rule of a phase: exactly one of `above`, `below`, `after`, `every`, `gap` and `in` says when."""

    then: str = Field(description="Phase that follows.")
    watch: Watched | None = Field(
        default=None, description="What is watched of the part or node named by `of`."
    )
    of: str = Field(default="", description="Part or node that is watched.")
    above: str | None = Field(default=None, description='Level to be exceeded, such as "3 A" or "70 V".')
    below: str | None = Field(default=None, description='Level to be gone below, such as "0 A".')
    after: (
        Annotated[
            float, Quantity("s", above=0, at_most=1e3, example="12 us", help="Time since the phase began.")
        ]
        | None
    ) = None
    every: (
        Annotated[float, Quantity("s", above=0, at_most=1e3, example="25 us", help="Period of a clock.")]
        | None
    ) = None
    gap: Literal["open", "arc", "short"] | None = Field(default=None, description="State of the gap.")
    in_phase: str = Field(default="", description='Phase of another governor, written "governor/phase".')
    not_in_phase: str = Field(default="", description="The same, while that governor is in any other phase.")

    @model_validator(mode="after")
    def _one_reason(self) -> "RuleText":
        given = [self.above, self.below, self.after, self.every, self.gap]
        reasons = sum(value is not None for value in given) + bool(self.in_phase) + bool(self.not_in_phase)
        if reasons != 1:
            raise refused(
                "must say when by exactly one of above, below, after, every, gap, in_phase, not_in_phase, "
                f"got {reasons}"
            )
        if (self.above is not None or self.below is not None) and not (self.watch and self.of):
            raise refused('must say what it watches; write watch = "amperes" and of = the part')
        if self.above is not None or self.below is not None:
            try:
                _ = self.level
            except Unread as fault:
                raise refused(f"{fault}", key="above" if self.above is not None else "below") from None
        return self

    @property
    def level(self) -> float:
        """Level of the quantity that is watched, in its SI unit."""
        return read_quantity(self.above or self.below or "", UNITS[self.watch or "volts"])


class PhaseText(FileRecord):
    """Switches that are closed for a while, and the rules by which the phase ends."""

    closes: tuple[str, ...] = Field(default=(), description="Switches that are closed.")
    rules: tuple[RuleText, ...] = Field(default=(), description="By what it ends.")
    zeroes: str = Field(default="", description="Part whose counted charge starts anew with the phase.")

    @model_validator(mode="before")
    @classmethod
    def _lists(cls, given: Any) -> Any:
        """Take lists as a file has them."""
        if not isinstance(given, Mapping):
            return given
        lists = {key: tuple(given[key]) for key in ("closes", "rules") if isinstance(given.get(key), list)}
        return {**given, **lists}


class GovernorText(FileRecord):
    """A small machine: it starts in the first of its phases."""

    phases: dict[str, PhaseText] = Field(description="Its phases by name, the first one first.")


class Governors(FileRecord):
    """Small machines side by side."""

    kind: Literal["governors"] = Field(description="Phases and rules work the switches.")
    governors: dict[str, GovernorText] = Field(description="The machines by name.")


Control = Annotated[NoControl | Clock | CurrentLimited | Governors, Field(discriminator="kind")]
