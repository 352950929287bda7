"""Parts a circuit is made of, as frozen records in SI units.

Every part lies between two nodes, `start` and `end`; its current counts as
positive from start to end through the part, its voltage as start minus end.
The node "0" is ground. `stage` and `account` say under which heading of the
ledger the energy that the part gives or takes is booked.
"""

from dataclasses import dataclass

from gapwright.base.checks import require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Farads, Henries, Ohms, Seconds, Siemens, Volts
from gapwright.circuit.network.magnetics import Piece, require_pieces

STAGES = ("socket", "supply", "store", "leads", "spark")
"""Stages of the ledger, from the socket to the spark."""

SMALLEST_OHMS = 1e-3
"""Least resistance of anything that conducts; below it the equations lose digits. [Ω]"""


def require_ohms(name: str, value: float) -> None:
    """Refuse a conducting resistance below `SMALLEST_OHMS`.

    Raises
    ------
    InputRefused
        If `value` is not finite or too small.
    """
    require_finite(name, value, "Ω")
    if value < SMALLEST_OHMS:
        raise InputRefused(
            f"{name} must be at least {SMALLEST_OHMS:g} Ω, got {value:g} Ω; a real part has more, give it"
        )


def require_place(name: str, start: str, end: str, stage: str, account: str) -> None:
    """Refuse a part without a name, between a node and itself, or under no heading.

    Raises
    ------
    InputRefused
        If a label is empty, both ends are one node, or the stage is unknown.
    """
    if not (name and start and end and account):
        raise InputRefused(f"a part must have a name, two nodes and an account, got {name!r} with one empty")
    if start == end:
        raise InputRefused(f"{name} must lie between two nodes, got {start!r} at both ends")
    if stage not in STAGES:
        raise InputRefused(f"{name}.stage must be one of {', '.join(STAGES)}, got {stage!r}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistor:
    """A resistance, down to 1 mΩ."""

    name: str
    start: str
    end: str
    ohms: Ohms
    stage: str
    account: str

    def __post_init__(self) -> None:
        """Refuse what the equations cannot take."""
        require_place(self.name, self.start, self.end, self.stage, self.account)
        require_ohms(f"{self.name}.ohms", self.ohms)


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacitor:
    """A capacitance with its series resistance, which no real one lacks.

    The account takes what the series resistance turns to heat. Without any,
    the capacitor must not stand in a loop of capacitors and voltage sources.
    """

    name: str
    start: str
    end: str
    farads: Farads
    series_ohms: Ohms
    stage: str
    account: str

    def __post_init__(self) -> None:
        """Refuse what the equations cannot take."""
        require_place(self.name, self.start, self.end, self.stage, self.account)
        require_positive(f"{self.name}.farads", self.farads, "F")
        if self.series_ohms != 0:
            require_ohms(f"{self.name}.series_ohms", self.series_ohms)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inductor:
    """An inductance with a resistance across it, which takes its current when a path opens.

    The account takes what that damper turns to heat. The damper may be left
    out (None) where resistors, capacitors and sources alone join the coil's
    ends. `pieces` are the bends of a core that saturates.
    """

    name: str
    start: str
    end: str
    henries: Henries
    damper_ohms: Ohms | None
    stage: str
    account: str
    pieces: tuple[Piece, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what the equations cannot take."""
        require_place(self.name, self.start, self.end, self.stage, self.account)
        require_positive(f"{self.name}.henries", self.henries, "H")
        if self.damper_ohms is not None:
            require_ohms(f"{self.name}.damper_ohms", self.damper_ohms)
        require_pieces(self.name, self.henries, self.pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class VoltageSource:
    """A constant voltage, start above end; the account is what it delivers."""

    name: str
    start: str
    end: str
    volts: Volts
    stage: str
    account: str

    def __post_init__(self) -> None:
        """Refuse what the equations cannot take."""
        require_place(self.name, self.start, self.end, self.stage, self.account)
        require_finite(f"{self.name}.volts", self.volts, "V")


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentSource:
    """A constant current, driven from start to end through the source; the account is what it delivers."""

    name: str
    start: str
    end: str
    amperes: Amperes
    stage: str
    account: str

    def __post_init__(self) -> None:
        """Refuse what the equations cannot take."""
        require_place(self.name, self.start, self.end, self.stage, self.account)
        require_finite(f"{self.name}.amperes", self.amperes, "A")


@dataclass(frozen=True, slots=True, kw_only=True)
class Switch:
    """A transistor as a switch: one resistance closed, another open; a control may work it."""

    name: str
    start: str
    end: str
    on_ohms: Ohms
    off_ohms: Ohms
    stage: str
    account: str
    closed: bool = False

    def __post_init__(self) -> None:
        """Refuse what the equations cannot take."""
        require_place(self.name, self.start, self.end, self.stage, self.account)
        require_ohms(f"{self.name}.on_ohms", self.on_ohms)
        require_ohms(f"{self.name}.off_ohms", self.off_ohms)
        if self.off_ohms <= self.on_ohms:
            raise InputRefused(
                f"{self.name}.off_ohms must be above on_ohms, got {self.off_ohms:g} Ω and {self.on_ohms:g} Ω"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Diode:
    """A diode from start (anode) to end: a drop and a resistance when it conducts, else a leak.

    With `storage_seconds` it holds the charge that its current brings in that
    time, conducts backwards until that charge is gone, and then snaps off.
    """

    name: str
    start: str
    end: str
    drop_volts: Volts
    on_ohms: Ohms
    off_ohms: Ohms
    stage: str
    account: str
    storage_seconds: Seconds = 0.0

    def __post_init__(self) -> None:
        """Refuse what the equations cannot take."""
        require_place(self.name, self.start, self.end, self.stage, self.account)
        require_not_negative(f"{self.name}.drop_volts", self.drop_volts, "V")
        require_not_negative(f"{self.name}.storage_seconds", self.storage_seconds, "s")
        require_ohms(f"{self.name}.on_ohms", self.on_ohms)
        require_ohms(f"{self.name}.off_ohms", self.off_ohms)
        if self.off_ohms <= self.on_ohms:
            raise InputRefused(
                f"{self.name}.off_ohms must be above on_ohms, got {self.off_ohms:g} Ω and {self.on_ohms:g} Ω"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """The spark gap: open with a leak, burning with a drop and a resistance, or shorted.

    A discharge ends when its current, once it has risen above `hold_amperes`,
    falls to that value, or when it stops rising before it gets there. For
    `recovery_seconds` after that no new one starts. Only the direction from
    start to end ignites; but with `restrike_volts` above 0, a gap that has
    just gone out burns on within that time, in either direction, as soon as
    so much lies across it: a ring that turns round. What a discharge takes is
    booked under `account`, the rest under "leakage" and "short circuit".
    """

    name: str
    start: str
    end: str
    leak_siemens: Siemens
    arc_volts: Volts
    arc_ohms: Ohms
    hold_amperes: Amperes
    short_ohms: Ohms
    stage: str
    account: str
    recovery_seconds: Seconds = 0.0
    restrike_volts: Volts = 0.0

    def __post_init__(self) -> None:
        """Refuse what the equations cannot take."""
        require_place(self.name, self.start, self.end, self.stage, self.account)
        require_not_negative(f"{self.name}.leak_siemens", self.leak_siemens, "S")
        require_not_negative(f"{self.name}.arc_volts", self.arc_volts, "V")
        require_ohms(f"{self.name}.arc_ohms", self.arc_ohms)
        require_not_negative(f"{self.name}.hold_amperes", self.hold_amperes, "A")
        require_ohms(f"{self.name}.short_ohms", self.short_ohms)
        require_not_negative(f"{self.name}.recovery_seconds", self.recovery_seconds, "s")
        require_not_negative(f"{self.name}.restrike_volts", self.restrike_volts, "V")
        if 0 < self.restrike_volts <= self.arc_volts:
            raise InputRefused(
                f"{self.name}.restrike_volts must be above the {self.arc_volts:g} V of the arc, "
                f"got {self.restrike_volts:g} V; less does not keep it burning"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeCounter:
    """Counts the charge that has gone through a part since a control last set it to zero.

    It forgets a ten-thousandth in each millisecond.
    """

    name: str
    part: str


Element = Resistor | Capacitor | Inductor | VoltageSource | CurrentSource | Switch | Diode | Gap
