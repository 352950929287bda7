"""The electrode: material, form of its section and of its tip, length."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from gapwright.base.field import Quantity, refused
from gapwright.base.quantity import printed_quantity
from gapwright.base.source import Status
from gapwright.base.units import Metres, Number
from gapwright.rig.materials import ConductorKey
from gapwright.rig.record import FileRecord

THINNEST_WALL = 20e-6
"""Thinnest wall of a tube that is believed, m; common practice, no source."""

Diameter = Annotated[
    float,
    Quantity("m", at_least=20e-6, at_most=20e-3, example="0.5 mm", help="Outer diameter of the electrode."),
]
Length = Annotated[
    float,
    Quantity(
        "m",
        above=0,
        at_most=2,
        example="150 mm",
        help="Whole length of a new electrode; in a tube the liquid flows through all of it.",
    ),
]
FreeLength = Annotated[
    float,
    Quantity(
        "m",
        above=0,
        at_most=1,
        example="25 mm",
        help="Length that stands out of the holder or guide and may be used up.",
    ),
]
PointLength = Annotated[
    float,
    Quantity(
        "m",
        at_least=0,
        at_most=50e-3,
        example="0.15 mm",
        help="Length of the conical point of a new electrode, 0 mm if it is cut square; a 118° point is "
        "0.3 diameters long.",
        status=Status.FROM_MEMORY,
    ),
]
EdgeRadius = Annotated[
    float,
    Quantity(
        "m",
        at_least=0,
        at_most=10e-3,
        example="50 µm",
        help="Radius of the rounded outer edge of an electrode that has worked before, 0 µm if it is sharp.",
        status=Status.FROM_MEMORY,
    ),
]
MaterialField = Annotated[
    ConductorKey, Field(description="Material; `gapwright facts materials` lists them.")
]


class Rod(FileRecord):
    """A solid electrode."""

    form: Literal["rod"] = Field(description="Solid electrode.")
    material: MaterialField
    diameter: Diameter
    length: Length
    free_length: FreeLength
    point_length: PointLength = 0.0
    edge_radius: EdgeRadius = 0.0
    flute_share: Annotated[
        float,
        Quantity(
            "",
            at_least=0,
            at_most=0.8,
            example="0.3",
            help="Share of the section that flutes take from a round rod, 0 if it has none; they let liquid "
            "and debris through.",
            status=Status.FROM_MEMORY,
        ),
    ] = 0.0

    @model_validator(mode="after")
    def _free_length_is_part(self) -> Self:
        _check_lengths(self)
        return self


class Tube(FileRecord):
    """An electrode with a bore, through which liquid can be pressed."""

    form: Literal["tube"] = Field(description="Electrode with a bore.")
    material: MaterialField
    diameter: Diameter
    bore: Annotated[
        float,
        Quantity("m", at_least=10e-6, at_most=20e-3, example="0.2 mm", help="Diameter of the bore."),
    ]
    length: Length
    free_length: FreeLength
    point_length: PointLength = 0.0
    edge_radius: EdgeRadius = 0.0

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if self.diameter - self.bore < 2 * THINNEST_WALL:
            raise refused(
                f"must leave a wall of at least {printed_quantity(THINNEST_WALL, 'm')} in a tube of "
                f"{printed_quantity(self.diameter, 'm')}, got {printed_quantity(self.bore, 'm')}",
                key="bore",
            )
        _check_lengths(self)
        return self


def _check_lengths(electrode: Rod | Tube) -> None:
    if electrode.free_length > electrode.length:
        raise refused(
            f"must be at most length ({printed_quantity(electrode.length, 'm')}), "
            f"got {printed_quantity(electrode.free_length, 'm')}",
            key="free_length",
        )
    wall = 0.5 * (electrode.diameter - bore_diameter(electrode))
    if electrode.edge_radius > wall:
        raise refused(
            f"must be at most the metal beside the axis or the bore ({printed_quantity(wall, 'm')}), "
            f"got {printed_quantity(electrode.edge_radius, 'm')}",
            key="edge_radius",
        )
    if electrode.point_length >= electrode.free_length:
        raise refused(
            f"must be below free_length ({printed_quantity(electrode.free_length, 'm')}), "
            f"got {printed_quantity(electrode.point_length, 'm')}",
            key="point_length",
        )


Electrode = Annotated[Rod | Tube, Field(discriminator="form", description="The tool that sparks go from.")]


def bore_diameter(electrode: Rod | Tube) -> Metres:
    """Diameter of the electrode's bore; 0 for a rod, in m."""
    return electrode.bore if isinstance(electrode, Tube) else 0.0


def flute_share(electrode: Rod | Tube) -> Number:
    """Share of the electrode's section that flutes take away; 0 for a tube."""
    return electrode.flute_share if isinstance(electrode, Rod) else 0.0
