"""The generator: what turns the supply's voltage into sparks."""

from typing import Annotated, Literal, Self, assert_never

from pydantic import Field, model_validator

from gapwright.base.field import Quantity, refused
from gapwright.base.quantity import printed_quantity
from gapwright.base.source import Status
from gapwright.base.units import Amperes, Volts
from gapwright.rig.components import Capacitor, Coil, Diode, Resistor, Switch
from gapwright.rig.record import FileRecord
from gapwright.rig.supply import Supply

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


class Relaxation(FileRecord):
    """A capacitor charged through a resistor, emptied by each spark."""

    kind: Literal["relaxation"] = Field(description="Capacitor charged through a resistor.")
    resistor: Resistor = Field(
        description="Charging resistor; it alone limits the current into a shorted gap."
    )
    capacitor: Capacitor = Field(description="The store that each spark empties.")
    bleeder: Bleeder | None = None


class StepUp(FileRecord):
    """A capacitor charged from a lower voltage by a coil and a switch under peak-current control."""

    kind: Literal["step-up"] = Field(
        description="Coil and switch charge the capacitor above the supply's voltage."
    )
    coil: Coil = Field(description="The coil between supply and switch.")
    switch: Switch = Field(description="The transistor that draws the coil to the negative pole.")
    diode: Diode = Field(description="The diode from coil to store.")
    capacitor: Capacitor = Field(description="The store that each spark empties.")
    peak_current: Annotated[
        float,
        Quantity("A", above=0, at_most=100, example="1.5 A", help="Coil current at which the switch opens."),
    ]
    minimum_off_time: Annotated[
        float,
        Quantity(
            "s",
            at_least=100e-9,
            at_most=10e-3,
            example="4 us",
            help="Shortest time that the switch stays open.",
        ),
    ]
    voltage_limit: Annotated[
        float,
        Quantity(
            "V", above=0, at_most=400, example="70 V", help="Voltage of the store at which charging pauses."
        ),
    ]
    hysteresis: Annotated[
        float,
        Quantity(
            "V",
            above=0,
            at_most=100,
            example="2 V",
            help="How far the store falls below the limit before charging resumes.",
            status=Status.FROM_MEMORY,
        ),
    ] = 2.0
    bleeder: Bleeder | None = None
    control_power: Annotated[
        float,
        Quantity(
            "W",
            at_least=0,
            at_most=50,
            example="0.3 W",
            help="Drawn from the supply's output by gate driver and comparator.",
            status=Status.FROM_MEMORY,
        ),
    ] = 0.3

    @model_validator(mode="after")
    def _hysteresis_below_limit(self) -> Self:
        if self.hysteresis >= self.voltage_limit:
            raise refused(
                f"must be below voltage_limit ({printed_quantity(self.voltage_limit, 'V')}), "
                f"got {printed_quantity(self.hysteresis, 'V')}",
                key="hysteresis",
            )
        return self


Generator = Annotated[Relaxation | StepUp, Field(discriminator="kind", description="What makes the sparks.")]


def open_voltage(generator: Relaxation | StepUp, supply: Supply) -> Volts:
    """Voltage across an open, non-conducting gap once the store is full, in V.

    For `relaxation` the supply's voltage, divided by a bleeder if there is
    one; for `step-up` the voltage at which charging pauses.
    """
    match generator:
        case Relaxation():
            if generator.bleeder is None:
                return supply.voltage
            through = supply.output_resistance + generator.resistor.resistance + generator.bleeder
            return supply.voltage * generator.bleeder / through
        case StepUp():
            return generator.voltage_limit
        case _:
            assert_never(generator)


def short_circuit_current(generator: Relaxation | StepUp, supply: Supply) -> Amperes:
    """Direct current that a gap shorted for good goes on drawing, leads neglected, in A.

    A step-up stage cannot hold it back: it flows from the supply through coil
    and diode, so only the supply's limit and their resistances bound it.
    """
    match generator:
        case Relaxation():
            ohms = supply.output_resistance + generator.resistor.resistance
            return min(supply.current_limit, supply.voltage / ohms)
        case StepUp():
            ohms = supply.output_resistance + generator.coil.resistance + generator.diode.resistance
            return min(supply.current_limit, max(supply.voltage - generator.diode.drop, 0.0) / ohms)
        case _:
            assert_never(generator)
