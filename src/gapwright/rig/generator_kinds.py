"""Flyback, iso-pulse and current-source generators, and the protections that a kind may have."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from gapwright.base.field import Quantity, refused
from gapwright.base.quantity import printed_quantity
from gapwright.base.source import Status
from gapwright.rig.components import Capacitor, Coil, Diode, Resistor, Switch
from gapwright.rig.record import FileRecord


def duration(help: str, example: str, *, status: Status | None = None) -> Quantity:  # noqa: A002 - as in the field
    """Quantity of a time that a control keeps."""
    return Quantity("s", at_least=10e-9, at_most=1, example=example, help=help, status=status)


Bleeder = Annotated[
    float,
    Quantity(
        "Ω",
        at_least=1,
        at_most=100e6,
        example="100 kohm",
        help="Resistor across the store that empties it when the supply is off.",
    ),
]
ControlPower = Annotated[
    float,
    Quantity(
        "W",
        at_least=0,
        at_most=50,
        example="0.3 W",
        help="Drawn from the supply's output by gate driver and comparator.",
        status=Status.FROM_MEMORY,
    ),
]
CurrentLimit = Annotated[
    float,
    Quantity("A", above=0, at_most=100, example="1.5 A", help="Coil current at which the switch opens."),
]
MinimumOff = Annotated[
    float,
    Quantity(
        "s", at_least=100e-9, at_most=10e-3, example="4 us", help="Shortest time that the switch stays open."
    ),
]
VoltageLimit = Annotated[
    float,
    Quantity(
        "V", above=0, at_most=400, example="70 V", help="Voltage of the store at which charging pauses."
    ),
]
Hysteresis = Annotated[
    float,
    Quantity(
        "V",
        above=0,
        at_most=100,
        example="2 V",
        help="How far the store falls below the limit before charging resumes.",
        status=Status.FROM_MEMORY,
    ),
]


Blanking = Annotated[float, duration("No charging for so long after a spark.", "50 us")]


class ShortDetector(FileRecord):
    """Sees a gap whose voltage stays low and takes the current away for a while.

    Before a capacitor, the delay must be longer than the time in which an
    emptied store comes above the threshold again: that looks like a short.
    """

    threshold: Annotated[
        float,
        Quantity(
            "V", above=0, at_most=100, example="12 V", help="Gap voltage below which it may be shorted."
        ),
    ]
    delay: Annotated[float, duration("How long the voltage must stay below.", "20 us")]
    hold_off: Annotated[float, duration("How long the current stays away before the next try.", "2 ms")]


class SeriesSwitch(FileRecord):
    """A transistor between store and gap that opens on a short, or after a set charge."""

    switch: Switch = Field(description="The transistor.")
    detector: ShortDetector | None = Field(default=None, description="Opens it on a short.")
    largest_charge: (
        Annotated[
            float,
            Quantity(
                "C",
                above=0,
                at_most=1,
                example="200 uC",
                help="Charge of one discharge after which the switch opens until the gap is free.",
            ),
        ]
        | None
    ) = None
    rest: Annotated[
        float,
        duration("How long it stays open after a set charge.", "50 us", status=Status.FROM_MEMORY),
    ] = 50e-6

    @model_validator(mode="after")
    def _has_a_reason(self) -> Self:
        if self.detector is None and self.largest_charge is None:
            raise refused("must open on something; add a detector or a largest_charge")
        return self


class PulseTrain(FileRecord):
    """Pulses for a time, then none for a time, so that the gap is flushed."""

    run: Annotated[float, duration("How long pulses are given.", "5 ms")]
    rest: Annotated[float, duration("How long none is given.", "2 ms")]


class Clamp(FileRecord):
    """Resistor and capacitor that take what an inductance leaves over when its current is cut off."""

    capacitance: Annotated[
        float, Quantity("F", above=0, at_most=1e-3, example="22 nF", help="Its capacitor.")
    ]
    resistance: Annotated[
        float, Quantity("Ω", at_least=1e-3, at_most=10e6, example="4.7 kohm", help="Its resistor.")
    ]


class Flyback(FileRecord):
    """A capacitor charged through two coils on one core, the supply kept apart from the gap."""

    kind: Literal["flyback"] = Field(description="Two coils on one core charge the capacitor.")
    coil: Coil = Field(description="The primary coil, at the supply.")
    turns_ratio: Annotated[
        float, Quantity("", above=0, at_most=100, example="5", help="Secondary turns over primary turns.")
    ]
    coupling: Annotated[
        float,
        Quantity(
            "", above=0, below=1, example="0.985", help="Share of the flux that goes through both coils."
        ),
    ]
    secondary_resistance: Annotated[
        float,
        Quantity("Ω", at_least=1e-3, at_most=1e3, example="1 ohm", help="Resistance of the second winding."),
    ]
    switch: Switch = Field(description="The transistor that draws the primary coil to the negative pole.")
    diode: Diode = Field(description="The diode from secondary coil to store.")
    clamp: Clamp | None = Field(default=None, description="Clamp across the primary coil.")
    capacitor: Capacitor = Field(description="The store that each spark empties.")
    peak_current: CurrentLimit
    minimum_off_time: MinimumOff
    turn_on: Literal["after minimum off-time", "at zero current"] = Field(
        default="at zero current", description="When the switch closes again."
    )
    voltage_limit: VoltageLimit
    hysteresis: Hysteresis = 2.0
    blanking: Blanking | None = None
    series_switch: SeriesSwitch | None = None
    bleeder: Bleeder | None = None
    control_power: ControlPower = 0.3

    @model_validator(mode="after")
    def _hysteresis_below_limit(self) -> Self:
        require_hysteresis(self.hysteresis, self.voltage_limit)
        return self


def require_hysteresis(hysteresis: float, voltage_limit: float) -> None:
    """Refuse a hysteresis that reaches down to an empty store.

    Raises
    ------
    PydanticCustomError
        If it is not below the limit.
    """
    if hysteresis >= voltage_limit:
        raise refused(
            f"must be below voltage_limit ({printed_quantity(voltage_limit, 'V')}), "
            f"got {printed_quantity(hysteresis, 'V')}",
            key="hysteresis",
        )


class IsoPulse(FileRecord):
    """Pulses from the supply through a transistor and a ballast resistor, each burning equally long."""

    kind: Literal["iso-pulse"] = Field(description="A transistor gives pulses through a ballast resistor.")
    switch: Switch = Field(description="The transistor between supply and ballast.")
    resistor: Resistor = Field(description="The ballast, which alone limits the current.")
    diode: Diode = Field(description="The diode that takes the current of the leads when the switch opens.")
    capacitor: Capacitor = Field(description="The capacitor across the supply, which gives the pulses.")
    ignition_current: Annotated[
        float,
        Quantity("A", above=0, at_most=1e3, example="1 A", help="Current from which on the gap has struck."),
    ]
    burning_time: Annotated[float, duration("How long a discharge burns from its ignition on.", "50 us")]
    longest_wait: Annotated[float, duration("How long an ignition is waited for.", "500 us")]
    pause: Annotated[float, duration("How long the switch stays open between pulses.", "50 us")]
    train: PulseTrain | None = None
    detector: ShortDetector | None = None
    bleeder: Bleeder | None = None
    control_power: ControlPower = 0.3


class CurrentSource(FileRecord):
    """A coil's current, kept between two values and turned into the gap once another source has struck it."""

    kind: Literal["current-source"] = Field(description="A coil keeps the current of each discharge.")
    switch: Switch = Field(description="The transistor between supply and coil.")
    diode: Diode = Field(description="The diode through which the coil runs free, and that before the gap.")
    coil: Coil = Field(description="The coil whose current is kept.")
    steering: Switch = Field(description="The transistor that takes the coil's current while no spark burns.")
    snubber: Clamp = Field(
        default=Clamp(capacitance=10e-9, resistance=10.0),
        description="Resistor and capacitor in series across the steering transistor.",
    )
    capacitor: Capacitor = Field(description="The capacitor across the supply, which gives the current.")
    current: Annotated[
        float, Quantity("A", above=0, at_most=100, example="6 A", help="Mean current of a discharge.")
    ]
    band: Annotated[
        float,
        Quantity("A", above=0, at_most=100, example="1 A", help="Whole swing of the coil's current."),
    ]
    ignition_voltage: Annotated[
        float,
        Quantity("V", above=0, at_most=400, example="160 V", help="Voltage of the ignition source."),
    ]
    ignition_resistor: Resistor = Field(description="Resistor of the ignition source.")
    ignition_current: Annotated[
        float,
        Quantity(
            "A", above=0, at_most=100, example="0.2 A", help="Current from which on the gap has struck."
        ),
    ]
    burning_time: Annotated[float, duration("How long a discharge burns from its ignition on.", "50 us")]
    longest_wait: Annotated[float, duration("How long an ignition is waited for.", "500 us")]
    pause: Annotated[float, duration("How long no voltage is given between pulses.", "50 us")]
    train: PulseTrain | None = None
    detector: ShortDetector | None = None
    bleeder: Bleeder | None = None
    control_power: ControlPower = 0.3

    @model_validator(mode="after")
    def _band_fits(self) -> Self:
        if self.band >= 2.0 * self.current:
            raise refused(
                f"must be below twice the current ({printed_quantity(2.0 * self.current, 'A')}), "
                f"got {printed_quantity(self.band, 'A')}",
                key="band",
            )
        return self
