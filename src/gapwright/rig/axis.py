"""The axis that feeds the electrode."""

from typing import Annotated

from gapwright.base.field import Quantity
from gapwright.base.source import Status
from gapwright.rig.record import FileRecord


class Axis(FileRecord):
    """What the feed axis really does, whatever its microsteps promise."""

    resolution: Annotated[
        float,
        Quantity(
            "m",
            above=0,
            at_most=1e-3,
            example="10 µm",
            help="Smallest step that truly moves the electrode; 5 to 20 µm on a cheap mill.",
            status=Status.COMMON_PRACTICE,
        ),
    ] = 10e-6
    backlash: Annotated[
        float,
        Quantity(
            "m",
            at_least=0,
            at_most=5e-3,
            example="30 µm",
            help="Motion lost on reversing; 10 to 100 µm on a cheap mill.",
            status=Status.COMMON_PRACTICE,
        ),
    ] = 30e-6
    max_speed: Annotated[
        float,
        Quantity(
            "m/s", above=0, at_most=1, example="2 mm/s", help="Fastest feed or retreat without losing steps."
        ),
    ]
    acceleration: Annotated[
        float,
        Quantity(
            "m/s²",
            above=0,
            at_most=100,
            example="50 mm/s²",
            help="How fast the axis gains speed without losing steps.",
        ),
    ]
    lag: Annotated[
        float,
        Quantity(
            "s",
            at_least=0,
            at_most=5,
            example="5 ms",
            help="From deciding to moving: 1 to 5 ms with own firmware, 20 to 100 ms if moves are streamed.",
        ),
    ]
    stiction: Annotated[
        float,
        Quantity(
            "m",
            at_least=0,
            at_most=1e-3,
            example="5 µm",
            help="Way by which the drive winds up before the slide at rest breaks loose; 0 µm if it is free.",
            status=Status.FROM_MEMORY,
        ),
    ] = 0.0
