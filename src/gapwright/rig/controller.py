"""The controller that keeps the gap."""

from typing import Annotated, Literal

from pydantic import Field

from gapwright.base.field import Quantity
from gapwright.base.source import Status
from gapwright.rig.record import FileRecord


class Controller(FileRecord):
    """Feeds while the sensed voltage is above the set point, retreats while it is below."""

    senses: Literal["mean-gap-voltage"] = Field(
        description="What is measured: the gap voltage through a slow filter."
    )
    law: Literal["proportional"] = Field(description="How the error becomes speed: in proportion to it.")
    set_point: Annotated[
        float,
        Quantity(
            "",
            above=0,
            below=1,
            example="0.6",
            help="Wanted mean gap voltage, as a share of the open voltage.",
        ),
    ]
    gain: Annotated[
        float,
        Quantity(
            "m/s",
            above=0,
            at_most=1,
            example="0.2 mm/s",
            help="Feed speed at an error of one open voltage: speed = gain * (share sensed - set point).",
        ),
    ]
    retract_speed: Annotated[
        float,
        Quantity("m/s", above=0, at_most=1, example="1 mm/s", help="Speed of retreat while a short is seen."),
    ]
    short_threshold: Annotated[
        float,
        Quantity(
            "V",
            above=0,
            at_most=200,
            example="8 V",
            help="Mean gap voltage below which the gap counts as shorted.",
        ),
    ]
    sample_time: Annotated[
        float,
        Quantity("s", at_least=10e-6, at_most=1, example="1 ms", help="Time between two decisions."),
    ]
    filter_time: Annotated[
        float,
        Quantity(
            "s",
            above=0,
            at_most=1,
            example="10 ms",
            help="Time constant of the filter before the measurement: 10 kohm and 1 uF make 10 ms.",
            status=Status.COMMON_PRACTICE,
        ),
    ] = 10e-3
