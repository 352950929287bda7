"""What stays at the gap when the job changes: electrode, spindle, liquid, flushing, surroundings."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from gapwright.base.field import Quantity, refused
from gapwright.base.source import Status
from gapwright.base.units import Pascals
from gapwright.facts.liquids import liquid as facts_liquid
from gapwright.rig.electrode import THINNEST_WALL, Electrode, Rod, Tube, bore_diameter, flute_share
from gapwright.rig.materials import LiquidKey
from gapwright.rig.record import FileRecord

__all__ = [
    "THINNEST_WALL",
    "DrivenFlushing",
    "Electrode",
    "Flushing",
    "FreeFlushing",
    "Liquid",
    "Rod",
    "Setup",
    "Spindle",
    "Surroundings",
    "Tube",
    "bore_diameter",
    "flushing_pressure",
    "flute_share",
    "is_dry",
]


class Spindle(FileRecord):
    """What holds and turns the electrode."""

    speed: Annotated[
        float,
        Quantity(
            "Hz",
            at_least=0,
            at_most=2000,
            example="600 rpm",
            help="Turns of the electrode; 0 rpm if it stands still.",
        ),
    ]
    run_out: Annotated[
        float,
        Quantity(
            "m",
            at_least=0,
            at_most=1e-3,
            example="30 µm",
            help="Total reading of a dial gauge on the turning electrode.",
            status=Status.COMMON_PRACTICE,
        ),
    ] = 30e-6
    orbit: Annotated[
        float,
        Quantity(
            "m",
            at_least=0,
            at_most=1e-3,
            example="20 µm",
            help="Radius of the circle on which the turning electrode is led around; 0 µm if it is not.",
            status=Status.FROM_MEMORY,
        ),
    ] = 0.0
    insulation: Annotated[
        float,
        Quantity(
            "Ω",
            at_least=0,
            at_most=1e15,
            example="10 Mohm",
            help="Resistance from spindle to frame, measured running and wet.",
        ),
    ]


class Liquid(FileRecord):
    """What fills the gap; `name = "air"` for a dry rig."""

    name: Annotated[LiquidKey, Field(description="Liquid, or 'air'; `gapwright facts liquids` lists them.")]
    conductivity: (
        Annotated[
            float,
            Quantity(
                "S/m",
                at_least=0,
                at_most=10,
                example="5 uS/cm",
                help="Conductivity as measured; water needs it.",
            ),
        ]
        | None
    ) = None
    cover: Annotated[
        float,
        Quantity(
            "m", at_least=0, at_most=1, example="20 mm", help="Depth of liquid standing over the spark."
        ),
    ] = 0.0
    delays: Literal["exponential", "two-weibull"] = Field(
        default="exponential",
        description="How ignition delays scatter: 'exponential', or 'two-weibull', a mixture of prompt and "
        "late ignitions as seen in water.",
    )
    temperature: Annotated[
        float,
        Quantity(
            "K",
            at_least=263.15,
            at_most=368.15,
            example="20 °C",
            help="Temperature of the liquid or air.",
            status=Status.COMMON_PRACTICE,
        ),
    ] = 293.15

    @model_validator(mode="after")
    def _conductivity_where_it_matters(self) -> Self:
        if is_dry(self) and (self.conductivity is not None or self.cover > 0):
            raise refused(
                "must not be given for air; leave it out",
                key="conductivity" if self.conductivity else "cover",
            )
        if facts_liquid(self.name).kind == "water" and self.conductivity is None:
            raise refused(
                "is missing: water leaks current, and how much decides the open voltage; "
                'measure it and write, say, conductivity = "5 uS/cm"',
                key="conductivity",
            )
        return self


def is_dry(liquid: Liquid) -> bool:
    """Whether the gap is filled with a gas."""
    return facts_liquid(liquid.name).kind == "gas"


class FreeFlushing(FileRecord):
    """No flow driven through the gap."""

    kind: Literal["none", "dip"] = Field(
        description="'none', or 'dip' for a gap that is filled but not flushed."
    )


class DrivenFlushing(FileRecord):
    """Flow driven by a pump or a raised vessel."""

    kind: Literal["side-jet", "through-tube"] = Field(
        description="'side-jet' beside the electrode, or 'through-tube' through its bore."
    )
    pressure: Annotated[
        float,
        Quantity(
            "Pa",
            above=0,
            at_most=20e6,
            example="0.5 MPa",
            help="Pressure above the surroundings at the inlet.",
        ),
    ]


Flushing = Annotated[
    FreeFlushing | DrivenFlushing,
    Field(discriminator="kind", description="How debris is carried out of the gap."),
]


def flushing_pressure(flushing: FreeFlushing | DrivenFlushing) -> Pascals:
    """Pressure that drives the flow; 0 where nothing does, in Pa."""
    return flushing.pressure if isinstance(flushing, DrivenFlushing) else 0.0


class Surroundings(FileRecord):
    """What the person does about fire and fumes."""

    attended: bool = Field(description="Whether somebody stays beside the rig while it drills.")
    exhaust: bool = Field(description="Whether fumes are drawn off.")


class Setup(FileRecord):
    """The gap set-up."""

    polarity: Literal["workpiece positive", "workpiece negative"] = Field(
        description="Which side of the gap is joined to the positive pole of the store."
    )
    electrode: Electrode
    spindle: Spindle = Field(description="What holds and turns the electrode.")
    liquid: Liquid = Field(description="What fills the gap.")
    flushing: Flushing
    surroundings: Surroundings = Field(description="What is done about fire and fumes.")

    @model_validator(mode="after")
    def _flushing_is_possible(self) -> Self:
        if self.flushing.kind == "through-tube" and isinstance(self.electrode, Rod):
            raise refused(
                'must not be "through-tube" with a rod, which has no bore; '
                'write "side-jet", "dip" or "none", or choose a tube',
                key="flushing.kind",
            )
        if self.flushing.kind != "none" and is_dry(self.liquid):
            raise refused(
                f'must be "none" in air, got "{self.flushing.kind}"; name a liquid or write "none"',
                key="flushing.kind",
            )
        return self
