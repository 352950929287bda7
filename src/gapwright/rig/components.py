"""Parts of a generator: resistor, capacitor, coil, switch, diode; each with its ratings."""

import math
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from gapwright.base.field import Quantity, refused
from gapwright.base.source import Status
from gapwright.base.units import Ohms
from gapwright.rig.part_losses import Core, GateCharge, OutputCapacitance, RecoveryCharge
from gapwright.rig.record import FileRecord

ThermalResistance = Annotated[
    float,
    Quantity(
        "K/W",
        above=0,
        at_most=1000,
        example="40 K/W",
        help="How much each watt warms the part above the room, with its cooling.",
    ),
]


class Resistor(FileRecord):
    """A resistor and what it may dissipate."""

    resistance: Annotated[
        float,
        Quantity("Ω", at_least=1e-3, at_most=10e6, example="180 ohm", help="Resistance."),
    ]
    power_rating: Annotated[
        float,
        Quantity(
            "W", above=0, at_most=5000, example="25 W", help="Power that the maker allows, with its cooling."
        ),
    ]
    thermal_resistance: ThermalResistance | None = None


class LossAngle(FileRecord):
    """Loss factor tan δ of a capacitor type and the frequency at which it is meant."""

    tan_delta: float
    frequency: float


TYPICAL_LOSS = {
    "film": LossAngle(tan_delta=0.0015, frequency=100e3),
    "ceramic": LossAngle(tan_delta=0.02, frequency=1e3),
    "electrolytic": LossAngle(tan_delta=0.10, frequency=120.0),
}
"""Loss of each type where the file says nothing: from memory; a data sheet is better."""


class Capacitor(FileRecord):
    """The store: capacitance, losses and ratings.

    Losses are given as `esr`, or as `tan_delta` with its frequency; with
    neither, a typical value of the type is taken, from memory.
    """

    capacitance: Annotated[
        float,
        Quantity(
            "F", at_least=10e-12, at_most=0.1, example="0.68 uF", help="Capacitance of the whole store."
        ),
    ]
    type: Literal["film", "electrolytic", "ceramic"] = Field(
        description="Kind of capacitor: 'film' suits a spark store, 'electrolytic' loses much and heats up."
    )
    voltage_rating: Annotated[
        float,
        Quantity("V", above=0, at_most=5000, example="250 V", help="Direct voltage that the maker allows."),
    ]
    reverse_rating: Annotated[
        float,
        Quantity(
            "V",
            at_least=0,
            at_most=5000,
            example="250 V",
            help="Voltage of the wrong sign that the maker allows; 0 V for an electrolytic.",
        ),
    ]
    ripple_rating: Annotated[
        float,
        Quantity(
            "A",
            above=0,
            at_most=1000,
            example="2 A",
            help="Alternating current, r.m.s., that the maker allows.",
        ),
    ]
    esr: (
        Annotated[
            float,
            Quantity(
                "Ω",
                above=0,
                at_most=1000,
                example="5 mohm",
                help="Equivalent series resistance at pulse frequencies.",
            ),
        ]
        | None
    ) = None
    tan_delta: (
        Annotated[
            float,
            Quantity("", above=0, at_most=2, example="0.10", help="Loss factor at `tan_delta_frequency`."),
        ]
        | None
    ) = None
    tan_delta_frequency: (
        Annotated[
            float,
            Quantity(
                "Hz",
                above=0,
                at_most=10e6,
                example="120 Hz",
                help="Frequency at which `tan_delta` is stated.",
            ),
        ]
        | None
    ) = None
    thermal_resistance: ThermalResistance | None = None

    @model_validator(mode="after")
    def _one_statement_of_loss(self) -> Self:
        if self.esr is not None and self.tan_delta is not None:
            raise refused("must not stand beside esr: give one of the two", key="tan_delta")
        if (self.tan_delta is None) != (self.tan_delta_frequency is None):
            raise refused(
                "must be given together with tan_delta_frequency; write for example tan_delta = 0.10 and "
                'tan_delta_frequency = "120 Hz"',
                key="tan_delta",
            )
        return self


def series_resistance(capacitor: Capacitor) -> Ohms:
    r"""Equivalent series resistance of a capacitor from what the file states, in Ω.

    .. math:: R = \frac{\tan\delta}{2\pi f C}

    Where the file states no loss, that of the type is taken (`TYPICAL_LOSS`).
    """
    if capacitor.esr is not None:
        return capacitor.esr
    loss = TYPICAL_LOSS[capacitor.type]
    if capacitor.tan_delta is not None and capacitor.tan_delta_frequency is not None:
        loss = LossAngle(tan_delta=capacitor.tan_delta, frequency=capacitor.tan_delta_frequency)
    return loss.tan_delta / (2 * math.pi * loss.frequency * capacitor.capacitance)


class Coil(FileRecord):
    """The coil of a step-up stage."""

    inductance: Annotated[
        float,
        Quantity("H", at_least=100e-9, at_most=1, example="100 uH", help="Inductance at small current."),
    ]
    resistance: Annotated[
        float,
        Quantity("Ω", at_least=1e-3, at_most=100, example="80 mohm", help="Resistance of the winding, warm."),
    ]
    saturation_current: Annotated[
        float,
        Quantity(
            "A", above=0, at_most=1000, example="3 A", help="Current at which the core begins to saturate."
        ),
    ]
    saturated_inductance: (
        Annotated[
            float,
            Quantity(
                "H",
                above=0,
                at_most=1,
                example="20 uH",
                help="Inductance above the saturation current, where it is known.",
            ),
        ]
        | None
    ) = None
    core: Core | None = Field(default=None, description="Its core, where its loss is wanted.")
    thermal_resistance: ThermalResistance | None = None


class Switch(FileRecord):
    """The transistor of a step-up stage."""

    on_resistance: Annotated[
        float,
        Quantity(
            "Ω", at_least=1e-3, at_most=100, example="40 mohm", help="Resistance while it conducts, warm."
        ),
    ]
    voltage_rating: Annotated[
        float,
        Quantity(
            "V", above=0, at_most=5000, example="150 V", help="Voltage that the maker allows when it is off."
        ),
    ]
    current_rating: Annotated[
        float,
        Quantity("A", above=0, at_most=1000, example="20 A", help="Current that the maker allows, warm."),
    ]
    rise_time: Annotated[
        float,
        Quantity(
            "s",
            at_least=0,
            at_most=10e-6,
            example="50 ns",
            help="Time it takes to switch on; it loses energy meanwhile.",
            status=Status.FROM_MEMORY,
        ),
    ] = 50e-9
    fall_time: Annotated[
        float,
        Quantity(
            "s",
            at_least=0,
            at_most=10e-6,
            example="50 ns",
            help="Time it takes to switch off; it loses energy meanwhile.",
            status=Status.FROM_MEMORY,
        ),
    ] = 50e-9
    output_capacitance: OutputCapacitance = 0.0
    gate_charge: GateCharge = 0.0
    gate_voltage: Annotated[
        float,
        Quantity(
            "V",
            above=0,
            at_most=30,
            example="10 V",
            help="Voltage that the gate is driven to.",
            status=Status.FROM_MEMORY,
        ),
    ] = 10.0
    thermal_resistance: ThermalResistance | None = None


class Diode(FileRecord):
    """The diode of a step-up stage."""

    drop: Annotated[
        float,
        Quantity("V", at_least=0, at_most=5, example="0.7 V", help="Forward voltage at small current."),
    ]
    resistance: Annotated[
        float,
        Quantity(
            "Ω", at_least=1e-3, at_most=100, example="30 mohm", help="Rise of the forward voltage per ampere."
        ),
    ]
    voltage_rating: Annotated[
        float,
        Quantity("V", above=0, at_most=5000, example="150 V", help="Reverse voltage that the maker allows."),
    ]
    current_rating: Annotated[
        float,
        Quantity(
            "A", above=0, at_most=1000, example="5 A", help="Mean forward current that the maker allows."
        ),
    ]
    recovery_charge: RecoveryCharge = 0.0
    thermal_resistance: ThermalResistance | None = None
