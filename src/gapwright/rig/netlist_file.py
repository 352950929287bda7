"""A generator of the user's own: its circuit part by part, and what works its switches."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from gapwright.base.checks import close_names
from gapwright.base.field import Quantity, refused
from gapwright.base.source import Status
from gapwright.rig.components import Capacitor
from gapwright.rig.generator_kinds import ControlPower
from gapwright.rig.netlist_control import Control, NoControl
from gapwright.rig.record import FileRecord

Node = Annotated[str, StringConstraints(min_length=1, max_length=40, pattern=r"^[^\x00-\x1f\x7f]+$")]
Stage = Literal["supply", "store", "leads", "spark"]


def ohms(help: str, example: str, *, status: Status | None = None) -> Quantity:  # noqa: A002 - as in the field
    """Quantity of a resistance that a part has."""
    return Quantity("Ω", at_least=1e-3, at_most=1e9, example=example, help=help, status=status)


class TwoNodes(FileRecord):
    """Where a part lies; its current counts from the first node to the second."""

    between: tuple[Node, Node] = Field(description='The two nodes, the positive one first; ground is "0".')
    stage: Stage = Field(default="supply", description="Stage of the ledger that the part belongs to.")

    @model_validator(mode="before")
    @classmethod
    def _list_of_two(cls, given: Any) -> Any:
        """Take the pair of nodes as the list that a file has."""
        if isinstance(given, Mapping) and isinstance(given.get("between"), list):
            if len(given["between"]) != 2:
                raise refused('must be two nodes such as ["out", "0"]', key="between")
            return {**given, "between": tuple(given["between"])}
        return given


class ResistorPart(TwoNodes):
    """A resistor, a wire, a contact."""

    part: Literal["resistor"] = Field(description="A resistance.")
    resistance: Annotated[float, ohms("Resistance.", "180 ohm")]


class CapacitorPart(TwoNodes):
    """A capacitor with its series resistance, and its ratings where it plays the store."""

    part: Literal["capacitor"] = Field(description="A capacitance.")
    capacitance: Annotated[
        float, Quantity("F", at_least=10e-12, at_most=0.1, example="1 uF", help="Capacitance.")
    ]
    esr: Annotated[
        float,
        Quantity("Ω", at_least=0, at_most=1000, example="5 mohm", help="Equivalent series resistance."),
    ]
    type: Literal["film", "electrolytic", "ceramic"] = Field(default="film", description="Kind of capacitor.")
    voltage_rating: (
        Annotated[
            float,
            Quantity("V", above=0, at_most=5000, example="250 V", help="Voltage that the maker allows."),
        ]
        | None
    ) = None
    reverse_rating: (
        Annotated[
            float,
            Quantity(
                "V", at_least=0, at_most=5000, example="250 V", help="Voltage of the wrong sign allowed."
            ),
        ]
        | None
    ) = None
    ripple_rating: (
        Annotated[
            float,
            Quantity("A", above=0, at_most=1000, example="2 A", help="Alternating current, r.m.s., allowed."),
        ]
        | None
    ) = None


class Bend(FileRecord):
    """A current from which on a coil has less inductance."""

    current: Annotated[float, Quantity("A", above=0, at_most=1e4, example="3 A", help="Current of the bend.")]
    inductance: Annotated[
        float, Quantity("H", above=0, at_most=1, example="20 uH", help="Inductance above that current.")
    ]


class InductorPart(TwoNodes):
    """A coil or the inductance of a wire; `damper` lies across it."""

    part: Literal["inductor"] = Field(description="An inductance.")
    inductance: Annotated[
        float, Quantity("H", at_least=1e-9, at_most=10, example="47 uH", help="Inductance at small current.")
    ]
    damper: (
        Annotated[
            float,
            ohms(
                "Resistance across it; needed where switches, diodes or the gap may cut its current.",
                "100 kohm",
            ),
        ]
        | None
    ) = None
    bends: tuple[Bend, ...] = Field(default=(), max_length=2, description="How its core saturates.")

    @model_validator(mode="before")
    @classmethod
    def _list_of_bends(cls, given: Any) -> Any:
        """Take the bends as the list that a file has."""
        if isinstance(given, Mapping) and isinstance(given.get("bends"), list):
            return {**given, "bends": tuple(given["bends"])}
        return given


class VoltagePart(TwoNodes):
    """A constant voltage."""

    part: Literal["voltage"] = Field(description="A source of constant voltage.")
    voltage: Annotated[
        float,
        Quantity("V", at_least=-5000, at_most=5000, example="24 V", help="Voltage, first node above second."),
    ]


class CurrentPart(TwoNodes):
    """A constant current."""

    part: Literal["current"] = Field(description="A source of constant current.")
    current: Annotated[
        float,
        Quantity("A", at_least=-1000, at_most=1000, example="1 A", help="Current out of the second node."),
    ]


class SwitchPart(TwoNodes):
    """A transistor as a switch."""

    part: Literal["switch"] = Field(description="A transistor.")
    on_resistance: Annotated[float, ohms("Resistance while it conducts.", "40 mohm")]
    off_resistance: Annotated[
        float, ohms("Resistance while it does not.", "10 Mohm", status=Status.FROM_MEMORY)
    ] = 1e7


class DiodePart(TwoNodes):
    """A diode from its first node, the anode, to the second."""

    part: Literal["diode"] = Field(description="A diode.")
    drop: Annotated[
        float,
        Quantity("V", at_least=0, at_most=100, example="0.7 V", help="Forward voltage at small current."),
    ]
    resistance: Annotated[float, ohms("Rise of the forward voltage per ampere.", "30 mohm")]
    off_resistance: Annotated[
        float, ohms("Resistance while it blocks.", "10 Mohm", status=Status.FROM_MEMORY)
    ] = 1e7
    storage_time: Annotated[
        float,
        Quantity(
            "s",
            at_least=0,
            at_most=1e-3,
            example="50 ns",
            help="Charge held per ampere, given back before it blocks.",
        ),
    ] = 0.0


class GapPart(TwoNodes):
    """The spark gap; what burns in it follows from electrode and workpiece."""

    part: Literal["gap"] = Field(description="The spark gap.")
    stage: Stage = Field(default="spark", description="Stage of the ledger that the part belongs to.")
    restrike_voltage: (
        Annotated[
            float,
            Quantity(
                "V",
                above=0,
                at_most=5000,
                example="40 V",
                help="Voltage at which a gap that has just gone out burns on, either way.",
            ),
        ]
        | None
    ) = None


Part = Annotated[
    ResistorPart
    | CapacitorPart
    | InductorPart
    | VoltagePart
    | CurrentPart
    | SwitchPart
    | DiodePart
    | GapPart,
    Field(discriminator="part"),
]


class Roles(FileRecord):
    """Which parts play what."""

    gap: str = Field(description="Name of the gap.")
    supply: str = Field(description="Name of the source that is the rig's supply.")
    store: str = Field(description="Name of the capacitor that each spark empties.")
    lead: str = Field(description="Name of the inductance of the leads to the gap.")
    coil: str = Field(default="", description="Name of the coil whose current a control watches.")


ROLES: dict[str, type[TwoNodes]] = {
    "gap": GapPart,
    "supply": VoltagePart,
    "store": CapacitorPart,
    "lead": InductorPart,
    "coil": InductorPart,
}
"""Kind of part that can play each role."""


class CoupledCoils(FileRecord):
    """Two coils on one core."""

    first: str = Field(description="Name of one coil.")
    second: str = Field(description="Name of the other.")
    coefficient: Annotated[
        float, Quantity("", above=-1, below=1, example="0.98", help="Share of the flux that both have.")
    ]


class NetlistGenerator(FileRecord):
    """A circuit of the user's own."""

    kind: Literal["netlist"] = Field(description="A circuit of your own, part by part.")
    roles: Roles = Field(description="Which parts play gap, store and coil.")
    parts: dict[str, Part] = Field(description="The parts by name.")
    couplings: dict[str, CoupledCoils] = Field(
        default_factory=dict, description="Coils on one core, by name."
    )
    control: Control = Field(
        default_factory=lambda: NoControl(kind="none"), description="What works the switches."
    )
    open_voltage: Annotated[
        float,
        Quantity("V", above=0, at_most=400, example="80 V", help="Voltage across the open gap at most."),
    ]
    control_power: ControlPower = 0.3

    @model_validator(mode="after")
    def _roles_are_played(self) -> Self:
        for role, kind in ROLES.items():
            name = getattr(self.roles, role)
            if not name and role == "coil":
                continue
            if not isinstance(self.parts.get(name), kind):
                near = close_names(name, [n for n, part in self.parts.items() if isinstance(part, kind)])
                word = kind.__name__.removesuffix("Part").lower()
                raise refused(f"must name a part of kind {word}, got {name!r}{near}", key=f"roles.{role}")
        missing = [
            key
            for key in ("voltage_rating", "reverse_rating", "ripple_rating")
            if getattr(self.parts[self.roles.store], key) is None
        ]
        if missing:
            raise refused(
                f"is missing (the store is held against its ratings); write {missing[0]}",
                key=f"parts.{self.roles.store}.{missing[0]}",
            )
        return self

    @property
    def capacitor(self) -> Capacitor:
        """The store, as the other kinds have it."""
        store = self.parts[self.roles.store]
        rated = store.model_dump(
            include={"capacitance", "type", "voltage_rating", "reverse_rating", "ripple_rating"}
        )
        return Capacitor(**rated, esr=max(getattr(store, "esr", 0.0), 1e-9))

    @property
    def bleeder(self) -> None:
        """Its bleeder, if any, is one of the parts."""
        return
