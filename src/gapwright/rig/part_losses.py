"""What parts lose at the edges of a control and in a core: optional keys of a rig file."""

from typing import Annotated

from gapwright.base.field import Quantity
from gapwright.rig.record import FileRecord

OutputCapacitance = Annotated[
    float,
    Quantity(
        "F",
        at_least=0,
        at_most=1e-6,
        example="200 pF",
        help="Capacitance between its ends, emptied through it at each closing.",
    ),
]
GateCharge = Annotated[
    float,
    Quantity("C", at_least=0, at_most=1e-5, example="30 nC", help="Charge that closing takes at the gate."),
]
RecoveryCharge = Annotated[
    float,
    Quantity(
        "C", at_least=0, at_most=1e-4, example="50 nC", help="Charge that it gives back before it blocks."
    ),
]


class Core(FileRecord):
    """Core of a coil; its loss per volume is coefficient times powers of frequency and swing."""

    area: Annotated[
        float, Quantity("m²", above=0, at_most=1e-2, example="97 mm²", help="Cross-section of the core.")
    ]
    volume: Annotated[
        float, Quantity("m³", above=0, at_most=1e-3, example="6 cm³", help="Volume of the core.")
    ]
    turns: Annotated[float, Quantity("", above=0, at_most=1e4, example="14", help="Turns of the winding.")]
    coefficient: Annotated[
        float,
        Quantity(
            "W/m³",
            above=0,
            at_most=1e6,
            example="2e-3 W/m³",
            help="Loss at 1 Hz and 1 T, from a fit to the maker's curves.",
        ),
    ]
    frequency_exponent: Annotated[
        float, Quantity("", at_least=1, at_most=3, example="1.4", help="Power of the frequency.")
    ]
    flux_exponent: Annotated[
        float, Quantity("", at_least=1, at_most=4, example="2.5", help="Power of the flux density.")
    ]
