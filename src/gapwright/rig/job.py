"""The job: the hole that is wanted."""

from typing import Annotated, Self

from pydantic import Field, model_validator

from gapwright.base.field import Quantity, refused
from gapwright.base.quantity import printed_quantity
from gapwright.base.source import Status
from gapwright.base.units import Metres
from gapwright.rig.materials import ConductorKey
from gapwright.rig.record import FileRecord, WholeFile
from gapwright.rig.rig import Name


class Workpiece(FileRecord):
    """What is drilled."""

    material: Annotated[ConductorKey, Field(description="Material; `gapwright facts materials` lists them.")]
    thickness: Annotated[
        float,
        Quantity("m", at_least=10e-6, at_most=0.3, example="1.5 mm", help="Thickness where the hole goes."),
    ]
    overhang: (
        Annotated[
            float,
            Quantity(
                "m",
                above=0,
                at_most=1,
                example="10 mm",
                help="Distance from the clamp to the hole where a sheet is clamped on one side only.",
            ),
        ]
        | None
    ) = None


class Hole(FileRecord):
    """Size and number of the holes; `depth` only where they do not go through."""

    diameter: Annotated[
        float,
        Quantity("m", at_least=30e-6, at_most=20e-3, example="0.58 mm", help="Wanted diameter."),
    ]
    tolerance: Annotated[
        float,
        Quantity(
            "m",
            above=0,
            at_most=2e-3,
            example="40 µm",
            help="Allowed departure from the diameter, either way.",
        ),
    ]
    through: bool = Field(default=True, description="Whether the hole goes through.")
    depth: (
        Annotated[
            float,
            Quantity("m", above=0, at_most=0.3, example="1 mm", help="Depth of a hole that ends inside."),
        ]
        | None
    ) = None
    count: Annotated[int, Field(ge=1, le=100_000, description="How many holes.")] = 1
    roughness: (
        Annotated[
            float,
            Quantity(
                "m",
                at_least=10e-9,
                at_most=100e-6,
                example="3.2 µm",
                help="Wanted mean roughness Ra, at most.",
            ),
        ]
        | None
    ) = None
    vdi_3400_class: (
        Annotated[int, Field(ge=0, le=45, description="Wanted finish as VDI 3400 class.")] | None
    ) = None

    @model_validator(mode="after")
    def _one_statement_each(self) -> Self:
        if self.through and self.depth is not None:
            raise refused(
                "must not be given for a through hole; leave it out or write through = false", key="depth"
            )
        if not self.through and self.depth is None:
            raise refused('is missing: through = false needs it; write depth = "1 mm"', key="depth")
        if self.tolerance >= self.diameter / 2:
            raise refused(
                f"must be below half the diameter ({printed_quantity(self.diameter / 2, 'm')}), "
                f"got {printed_quantity(self.tolerance, 'm')}",
                key="tolerance",
            )
        if self.roughness is not None and self.vdi_3400_class is not None:
            raise refused("must not stand beside roughness: give one of the two", key="vdi_3400_class")
        return self


class Limits(FileRecord):
    """When to give a hole up."""

    time: (
        Annotated[
            float,
            Quantity(
                "s", above=0, at_most=86400 * 7, example="10 min", help="Longest time that one hole may take."
            ),
        ]
        | None
    ) = None
    electrode_length: (
        Annotated[
            float,
            Quantity("m", above=0, at_most=2, example="10 mm", help="Most electrode that one hole may cost."),
        ]
        | None
    ) = None


class BetweenHoles(FileRecord):
    """What is done between the holes of a row, and how long it takes."""

    touch_off_time: Annotated[
        float,
        Quantity(
            "s",
            at_least=0,
            at_most=3600,
            example="60 s",
            help="Time for touching off before a hole: store discharged, electrode turning, a few touches.",
            status=Status.COMMON_PRACTICE,
        ),
    ] = 60.0
    move_time: Annotated[
        float,
        Quantity(
            "s",
            at_least=0,
            at_most=3600,
            example="30 s",
            help="Time for moving on to the place of the next hole.",
            status=Status.COMMON_PRACTICE,
        ),
    ] = 30.0
    change_time: Annotated[
        float,
        Quantity(
            "s",
            at_least=0,
            at_most=86400,
            example="5 min",
            help="Time for a new electrode, or for drawing a long one further out of its holder.",
            status=Status.COMMON_PRACTICE,
        ),
    ] = 300.0
    dress_after: (
        Annotated[
            int,
            Field(
                ge=1,
                le=1000,
                description="Holes after which the end is cut square, a point with it; never without.",
            ),
        ]
        | None
    ) = None
    dress_length: (
        Annotated[
            float,
            Quantity(
                "m",
                above=0,
                at_most=0.1,
                example="1 mm",
                help="Length that is cut off each time; as much as has worn thinner if left out.",
            ),
        ]
        | None
    ) = None
    dress_time: Annotated[
        float,
        Quantity(
            "s",
            at_least=0,
            at_most=86400,
            example="3 min",
            help="Time for cutting the worn end square.",
            status=Status.COMMON_PRACTICE,
        ),
    ] = 180.0

    @model_validator(mode="after")
    def _length_of_a_dressing(self) -> Self:
        if self.dress_length is not None and self.dress_after is None:
            raise refused(
                "must not be given without dress_after, which says after how many holes; "
                "write dress_after = 3, or leave it out",
                key="dress_length",
            )
        return self


class Job(WholeFile):
    """A job, as read from its file."""

    name: Name = Field(description="What you call this job.")
    workpiece: Workpiece = Field(description="What is drilled.")
    hole: Hole = Field(description="The hole that is wanted.")
    room_below: Annotated[
        float,
        Quantity(
            "m",
            at_least=0,
            at_most=1,
            example="5 mm",
            help="Clear room under the exit for the electrode's tip.",
        ),
    ]
    backing: bool = Field(
        default=False, description="Whether a plate of like material is clamped under the workpiece."
    )
    limits: Limits = Field(default_factory=Limits, description="When to give a hole up.")
    between_holes: BetweenHoles = Field(
        default_factory=BetweenHoles,
        description="What is done between the holes of a row, and how long it takes.",
    )

    @model_validator(mode="after")
    def _depth_inside(self) -> Self:
        if self.hole.depth is not None and self.hole.depth >= self.workpiece.thickness:
            raise refused(
                f"must be below workpiece.thickness ({printed_quantity(self.workpiece.thickness, 'm')}) "
                f"where through is false, got {printed_quantity(self.hole.depth, 'm')}",
                key="hole.depth",
            )
        return self


def wanted_depth(job: Job) -> Metres:
    """Depth below the entry face at which the hole is done: its depth, or the thickness, in m."""
    return job.workpiece.thickness if job.hole.depth is None else job.hole.depth
