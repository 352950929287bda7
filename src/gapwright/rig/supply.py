"""The supply between socket and generator, and what the rest of the rig draws beside it."""

from typing import Annotated, Literal

from pydantic import Field

from gapwright.base.field import Quantity
from gapwright.base.source import Status
from gapwright.rig.record import FileRecord


class Supply(FileRecord):
    """A bench supply, adapter or rectified transformer."""

    voltage: Annotated[
        float,
        Quantity(
            "V", above=0, at_most=400, example="70 V", help="Voltage that the supply is set to, unloaded."
        ),
    ]
    current_limit: Annotated[
        float,
        Quantity("A", above=0, at_most=100, example="2 A", help="Largest current that the supply gives."),
    ]
    earthing: Literal["isolated", "earthed"] = Field(
        description="Whether an output pole is joined to protective earth ('earthed') or floats ('isolated')."
    )
    output_resistance: Annotated[
        float,
        Quantity(
            "Ω",
            at_least=0,
            at_most=100,
            example="0.1 ohm",
            help="Resistance inside the supply and its cable, which lowers its voltage under load.",
            status=Status.FROM_MEMORY,
        ),
    ] = 0.1
    efficiency: Annotated[
        float,
        Quantity(
            "",
            above=0,
            at_most=1,
            example="0.85",
            help="Share of the power drawn from the socket, idle watts apart, that the supply gives out.",
            status=Status.FROM_MEMORY,
        ),
    ] = 0.85
    idle_power: Annotated[
        float,
        Quantity(
            "W",
            at_least=0,
            at_most=500,
            example="3 W",
            help="What the supply draws from the socket while it gives nothing.",
            status=Status.FROM_MEMORY,
        ),
    ] = 3.0


class Auxiliaries(FileRecord):
    """Power that the rest of the rig draws from the socket while it drills."""

    spindle_power: Annotated[
        float,
        Quantity(
            "W", at_least=0, at_most=5000, example="5 W", help="Drawn by the motor that turns the electrode."
        ),
    ]
    machine_power: Annotated[
        float,
        Quantity(
            "W", at_least=0, at_most=5000, example="15 W", help="Drawn by the axis motors and their drivers."
        ),
    ]
    controller_power: Annotated[
        float,
        Quantity(
            "W", at_least=0, at_most=5000, example="2 W", help="Drawn by the gap controller and its display."
        ),
    ]
    pump_power: Annotated[
        float,
        Quantity(
            "W", at_least=0, at_most=5000, example="20 W", help="Drawn by the flushing pump; 0 W without one."
        ),
    ] = 0.0
