"""The whole rig: everything between socket and workpiece that stays when the job changes."""

from typing import Annotated, Self

from pydantic import Field, StringConstraints, model_validator

from gapwright.base.field import refused
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Ohms, Volts
from gapwright.rig.axis import Axis
from gapwright.rig.components import series_resistance
from gapwright.rig.controller import Controller
from gapwright.rig.generator import Generator, StepUp, open_voltage
from gapwright.rig.leads import Leads, wire_resistance
from gapwright.rig.priors import OwnPrior, check_own_priors
from gapwright.rig.record import WholeFile
from gapwright.rig.setup import Setup
from gapwright.rig.supply import Auxiliaries, Supply

Name = Annotated[str, StringConstraints(min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f]+$")]


class Rig(WholeFile):
    """A rig, as read from its file."""

    name: Name = Field(description="What you call this rig.")
    supply: Supply = Field(description="The supply between socket and generator.")
    generator: Generator
    leads: Leads = Field(description="Wires from generator to gap and back.")
    setup: Setup = Field(description="Electrode, spindle, liquid, flushing and surroundings.")
    axis: Axis = Field(description="The axis that feeds the electrode.")
    controller: Controller = Field(description="What keeps the gap.")
    auxiliaries: Auxiliaries = Field(description="What else draws power while the rig drills.")
    priors: dict[str, OwnPrior] = Field(
        default_factory=dict, description="Your own values of uncertain constants, by name, in place of ours."
    )

    @model_validator(mode="after")
    def _parts_fit(self) -> Self:
        if isinstance(self.generator, StepUp) and self.generator.voltage_limit <= self.supply.voltage:
            raise refused(
                f"must be above supply.voltage ({printed_quantity(self.supply.voltage, 'V')}), "
                f"got {printed_quantity(self.generator.voltage_limit, 'V')}: a step-up stage can only raise",
                key="generator.voltage_limit",
            )
        wanted = self.controller.set_point * open_voltage(self.generator, self.supply)
        if self.controller.short_threshold >= wanted:
            raise refused(
                f"must be below set_point times open voltage ({printed_quantity(wanted, 'V')}), "
                f"got {printed_quantity(self.controller.short_threshold, 'V')}",
                key="controller.short_threshold",
            )
        check_own_priors(self.priors)
        return self

    @property
    def open_voltage(self) -> Volts:
        """Voltage across an open, non-conducting gap once the store is full, in V."""
        return open_voltage(self.generator, self.supply)


def loop_resistance(rig: Rig) -> Ohms:
    """Resistance of the discharge loop, spark left out: store, wires, sliding contact, in Ω."""
    return (
        series_resistance(rig.generator.capacitor) + wire_resistance(rig.leads) + rig.leads.contact_resistance
    )
