"""Wires from the generator to the gap, and the sliding contact on the turning electrode."""

import math
from typing import Annotated, Self

from pydantic import Field, model_validator

from gapwright.base.field import Quantity, refused
from gapwright.base.source import Status
from gapwright.base.units import Ohms, SquareMetres
from gapwright.facts.conductors import (
    THICKEST_GAUGE,
    THINNEST_GAUGE,
    gauge_diameter,
    resistance_per_metre,
)
from gapwright.rig.record import FileRecord


class Leads(FileRecord):
    """Loop from the store through the gap and back, gap left out.

    Its resistance is given, or follows from `length` and the copper's
    `wire_area` or `wire_gauge`.
    """

    inductance: Annotated[
        float,
        Quantity(
            "H",
            at_least=1e-9,
            at_most=1e-3,
            example="400 nH",
            help="Inductance of the loop; about 1 uH per metre of go-and-return wire lying side by side.",
        ),
    ]
    resistance: (
        Annotated[
            float,
            Quantity(
                "Ω", at_least=0, at_most=100, example="40 mohm", help="Resistance of go and return wire."
            ),
        ]
        | None
    ) = None
    length: (
        Annotated[
            float,
            Quantity(
                "m", above=0, at_most=100, example="0.8 m", help="Length of wire, go and return together."
            ),
        ]
        | None
    ) = None
    wire_area: (
        Annotated[
            float,
            Quantity(
                "m²", above=0, at_most=1e-3, example="0.5 mm²", help="Copper cross-section of the wire."
            ),
        ]
        | None
    ) = None
    wire_gauge: (
        Annotated[
            int,
            Field(
                ge=THICKEST_GAUGE,
                le=THINNEST_GAUGE,
                description="American wire gauge (AWG) number of the wire; -1 is gauge 00.",
            ),
        ]
        | None
    ) = None
    contact_resistance: Annotated[
        float,
        Quantity(
            "Ω",
            at_least=0,
            at_most=100,
            example="20 mohm",
            help="Resistance of the sliding contact (brush) on the electrode; 0 ohm without one.",
            status=Status.FROM_MEMORY,
        ),
    ] = 20e-3
    shared_length: Annotated[
        float,
        Quantity(
            "m",
            at_least=0,
            at_most=10,
            example="2 cm",
            help="Length of wire that gap and controller share; 0 m where they meet at one point only.",
            status=Status.FROM_MEMORY,
        ),
    ] = 10e-3

    @model_validator(mode="after")
    def _one_way_to_the_resistance(self) -> Self:
        wires = [wire for wire in (self.wire_area, self.wire_gauge) if wire is not None]
        if self.resistance is not None and (self.length is not None or wires):
            raise refused(
                "must not stand beside length and wire: give the one or the other", key="resistance"
            )
        if self.resistance is None and (self.length is None or len(wires) != 1):
            raise refused(
                "must be given, or else length with one of wire_area and wire_gauge; "
                'write resistance = "40 mohm" or length = "0.8 m" and wire_area = "0.5 mm²"',
                key="resistance",
            )
        return self


def copper_area(leads: Leads) -> SquareMetres | None:
    """Cross-section of the wires' copper, in m²; None where only their resistance is given."""
    if leads.wire_area is not None:
        return leads.wire_area
    if leads.wire_gauge is not None:
        return math.pi / 4 * gauge_diameter(leads.wire_gauge) ** 2
    return None


def wire_resistance(leads: Leads) -> Ohms:
    """Direct-current resistance of the wires, sliding contact left out, in Ω."""
    if leads.resistance is not None:
        return leads.resistance
    diameter = math.sqrt(4 * (copper_area(leads) or 0.0) / math.pi)
    return resistance_per_metre(diameter) * (leads.length or 0.0)
