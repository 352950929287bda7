"""The generator: what turns the supply's voltage into sparks."""

from typing import Annotated, Literal, Self, TypeGuard, assert_never

from pydantic import Field, model_validator

from gapwright.base.units import Amperes, Farads, Seconds, Volts
from gapwright.rig.components import Capacitor, Coil, Diode, Resistor, Switch
from gapwright.rig.generator_kinds import (
    Blanking,
    Bleeder,
    ControlPower,
    CurrentLimit,
    CurrentSource,
    Flyback,
    Hysteresis,
    IsoPulse,
    MinimumOff,
    SeriesSwitch,
    VoltageLimit,
    require_hysteresis,
)
from gapwright.rig.netlist_file import NetlistGenerator
from gapwright.rig.record import FileRecord
from gapwright.rig.supply import Supply


class Relaxation(FileRecord):
    """A capacitor charged through a resistor, emptied by each spark."""

    kind: Literal["relaxation"] = Field(description="Capacitor charged through a resistor.")
    resistor: Resistor = Field(
        description="Charging resistor; it alone limits the current into a shorted gap."
    )
    capacitor: Capacitor = Field(description="The store that each spark empties.")
    series_switch: SeriesSwitch | None = None
    reverse_diode: Diode | None = Field(
        default=None, description="Diode across the store, against a voltage of the wrong sign."
    )
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
    peak_current: CurrentLimit
    minimum_off_time: MinimumOff
    turn_on: Literal["after minimum off-time", "at zero current"] = Field(
        default="after minimum off-time", description="When the switch closes again."
    )
    voltage_limit: VoltageLimit
    hysteresis: Hysteresis = 2.0
    blanking: Blanking | None = None
    series_switch: SeriesSwitch | None = None
    reverse_diode: Diode | None = Field(
        default=None, description="Diode across the store, against a voltage of the wrong sign."
    )
    bleeder: Bleeder | None = None
    control_power: ControlPower = 0.3

    @model_validator(mode="after")
    def _hysteresis_below_limit(self) -> Self:
        require_hysteresis(self.hysteresis, self.voltage_limit)
        return self


AnyGenerator = Relaxation | StepUp | Flyback | IsoPulse | CurrentSource | NetlistGenerator
Generator = Annotated[AnyGenerator, Field(discriminator="kind", description="What makes the sparks.")]


def open_voltage(generator: AnyGenerator, supply: Supply) -> Volts:
    """Voltage across an open, non-conducting gap once the store is full, in V.

    For `relaxation` and `iso-pulse` the supply's voltage, divided by a
    bleeder if there is one; for `step-up` and `flyback` the voltage at which
    charging pauses; else the voltage of the ignition source, or that stated.
    """
    match generator:
        case Relaxation():
            if generator.bleeder is None:
                return supply.voltage
            through = supply.output_resistance + generator.resistor.resistance + generator.bleeder
            return supply.voltage * generator.bleeder / through
        case StepUp() | Flyback():
            return generator.voltage_limit
        case IsoPulse():
            return supply.voltage
        case CurrentSource():
            return generator.ignition_voltage
        case NetlistGenerator():
            return generator.open_voltage
        case _:
            assert_never(generator)


def short_circuit_current(generator: AnyGenerator, supply: Supply) -> Amperes:
    """Direct current that a gap shorted for good goes on drawing, leads neglected, in A.

    A step-up stage cannot hold it back: it flows from the supply through coil
    and diode, so only the supply's limit and their resistances bound it. A
    flyback stage gives at most half its secondary peak; a circuit of your own
    at most what the supply can.
    """
    match generator:
        case Relaxation() | IsoPulse():
            ohms = supply.output_resistance + generator.resistor.resistance
            return min(supply.current_limit, supply.voltage / ohms)
        case StepUp():
            ohms = supply.output_resistance + generator.coil.resistance + generator.diode.resistance
            return min(supply.current_limit, max(supply.voltage - generator.diode.drop, 0.0) / ohms)
        case Flyback():
            return 0.5 * generator.peak_current / generator.turns_ratio
        case CurrentSource():
            return generator.current
        case NetlistGenerator():
            return supply.current_limit
        case _:
            assert_never(generator)


PROMPT_SECONDS, PROMPT_SHARE = 0.5e-6, 0.02
"""Delay, and share of the burning time, below which a pulse counts as ignited at once; both from memory."""


def gives_pulses(generator: AnyGenerator) -> TypeGuard[IsoPulse | CurrentSource]:
    """Whether voltage is offered in pulses, and no store empties into the gap."""
    return isinstance(generator, IsoPulse | CurrentSource)


def farads_at_gap(generator: AnyGenerator) -> Farads:
    """Capacitance that empties into the gap, in F: none where pulses come from a store across the supply."""
    return 0.0 if gives_pulses(generator) else generator.capacitor.capacitance


def prompt_ignition(generator: AnyGenerator) -> Seconds:
    """Delay below which a pulse is an arc rather than a spark, in s; 0 where no pulses are given."""
    return max(PROMPT_SECONDS, PROMPT_SHARE * generator.burning_time) if gives_pulses(generator) else 0.0
