"""The controller that keeps the gap."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from gapwright.base.field import Quantity, refused
from gapwright.base.quantity import printed_quantity
from gapwright.base.source import Status
from gapwright.rig.record import FileRecord


class Controller(FileRecord):
    """Feeds while what it senses is above the set point, retreats while it is below."""

    senses: Literal["mean-gap-voltage", "store-voltage", "ignition-delay-ratio"] = Field(
        description="What is measured: 'mean-gap-voltage' through a slow filter, 'store-voltage' as it "
        "stands at each decision, or 'ignition-delay-ratio', the share of time in which the gap could have "
        "ignited and has not."
    )
    law: Literal["proportional", "hysteresis"] = Field(
        description="How the error becomes speed: 'proportional' to it, or 'hysteresis', two speeds and a "
        "band between them."
    )
    set_point: Annotated[
        float,
        Quantity(
            "",
            above=0,
            below=1,
            example="0.6",
            help="Wanted share: mean gap or store voltage over the open voltage, or the delay ratio.",
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
    half_band: Annotated[
        float,
        Quantity(
            "",
            at_least=0,
            below=0.5,
            example="0.05",
            help="Law with hysteresis: half the width of the band about the set point.",
            status=Status.FROM_MEMORY,
        ),
    ] = 0.05
    feed_speed: Annotated[
        float,
        Quantity(
            "m/s",
            above=0,
            at_most=1,
            example="20 um/s",
            help="Law with hysteresis: speed above the band.",
            status=Status.FROM_MEMORY,
        ),
    ] = 20e-6
    back_speed: Annotated[
        float,
        Quantity(
            "m/s",
            above=0,
            at_most=1,
            example="0.1 mm/s",
            help="Law with hysteresis: speed of retreat below the band.",
            status=Status.FROM_MEMORY,
        ),
    ] = 100e-6
    resume_threshold: (
        Annotated[
            float,
            Quantity(
                "V",
                above=0,
                at_most=500,
                example="20 V",
                help="Mean gap voltage above which a retreat from a short ends; left out, the "
                "short threshold.",
            ),
        ]
        | None
    ) = None
    short_lift: Annotated[
        float,
        Quantity(
            "m",
            at_least=0,
            at_most=20e-3,
            example="0.1 mm",
            help="Least way that the electrode goes back because of a short; 0 mm ends with the short.",
            status=Status.FROM_MEMORY,
        ),
    ] = 0.0
    lift_interval: (
        Annotated[
            float,
            Quantity(
                "s",
                above=0,
                at_most=3600,
                example="2 s",
                help="Time between two lifts that let fresh liquid in; left out, it never lifts.",
            ),
        ]
        | None
    ) = None
    lift_height: Annotated[
        float,
        Quantity(
            "m",
            above=0,
            at_most=0.2,
            example="1 mm",
            help="How high a lift goes.",
            status=Status.FROM_MEMORY,
        ),
    ] = 1e-3
    lift_speed: (
        Annotated[
            float,
            Quantity(
                "m/s",
                above=0,
                at_most=1,
                example="5 mm/s",
                help="Speed of a lift; left out, the axis's fastest.",
            ),
        ]
        | None
    ) = None

    @model_validator(mode="after")
    def _band_and_thresholds(self) -> Self:
        if not self.half_band < min(self.set_point, 1.0 - self.set_point):
            raise refused(
                f"must be below {min(self.set_point, 1.0 - self.set_point):g} at a set point of "
                f"{self.set_point:g}, so that the band stays on the scale, got {self.half_band:g}",
                key="half_band",
            )
        if self.resume_threshold is not None and self.resume_threshold < self.short_threshold:
            raise refused(
                f"must be at least short_threshold ({printed_quantity(self.short_threshold, 'V')}), "
                f"got {printed_quantity(self.resume_threshold, 'V')}",
                key="resume_threshold",
            )
        return self
