"""A rig's generator, leads and gap as a circuit, and the charge map that a drilling walks."""

from functools import lru_cache

from gapwright.base.units import Siemens
from gapwright.circuit.charge_map import ChargeMap, charge_map
from gapwright.circuit.control import Control
from gapwright.circuit.elements import VoltageSource
from gapwright.circuit.engine import Start
from gapwright.circuit.generators import (
    SUPPLY,
    SUPPLY_STORE,
    CurrentLimited,
    Relaxation,
    SparkLoop,
    StepUp,
    SupplyLimit,
    relaxation_network,
    step_up_network,
)
from gapwright.circuit.netlist import Netlist
from gapwright.rig.components import series_resistance
from gapwright.rig.generator import Relaxation as RelaxationRecord
from gapwright.rig.leads import wire_resistance
from gapwright.study.assemble import Bench

ARC_OHMS = 0.05
"""Resistance of a burning channel beside its constant drop, from memory [Ω]."""

SUPPLY_FARADS = 47e-6
"""Capacitor behind the terminals of a bench supply, from memory [F]."""


def spark_loop(made: Bench, *, leak: Siemens = 0.0) -> SparkLoop:
    """Store, leads and gap of a rig, as the circuit takes them."""
    rig = made.rig
    return SparkLoop(
        farads=rig.generator.capacitor.capacitance,
        series_ohms=max(series_resistance(rig.generator.capacitor), 1e-3),
        lead_henries=rig.leads.inductance,
        lead_ohms=max(wire_resistance(rig.leads), 1e-3),
        contact_ohms=rig.leads.contact_resistance,
        bleeder_ohms=rig.generator.bleeder,
        arc_volts=made.burning,
        arc_ohms=ARC_OHMS,
        hold_amperes=made.hold_current,
        leak_siemens=leak,
    )


def _limit_that_matters(made: Bench, generator: RelaxationRecord) -> SupplyLimit | None:
    """Current limit of a supply that a charging resistor can reach; None where it cannot."""
    supply = made.rig.supply
    most = supply.voltage / (generator.resistor.resistance + supply.output_resistance)
    if supply.current_limit >= most:
        return None
    return SupplyLimit(amperes=supply.current_limit, farads=SUPPLY_FARADS)


def network(made: Bench, *, leak: Siemens = 0.0) -> tuple[Netlist, Control]:
    """Circuit and control of a rig with an open gap that leaks `leak`.

    Parameters
    ----------
    made
        Rig and job with their facts.
    leak
        Conductance of the gap. [S]
    """
    loop, supply, generator = spark_loop(made, leak=leak), made.rig.supply, made.rig.generator
    if isinstance(generator, RelaxationRecord):
        return relaxation_network(
            Relaxation(
                supply_volts=supply.voltage,
                source_ohms=supply.output_resistance,
                charging_ohms=generator.resistor.resistance,
                loop=loop,
                supply_limit=_limit_that_matters(made, generator),
            )
        )
    return step_up_network(
        StepUp(
            supply_volts=supply.voltage,
            source_ohms=supply.output_resistance,
            coil_henries=generator.coil.inductance,
            coil_ohms=max(generator.coil.resistance, 1e-3),
            switch_ohms=max(generator.switch.on_resistance, 1e-3),
            diode_volts=generator.diode.drop,
            diode_ohms=max(generator.diode.resistance, 1e-3),
            drive=CurrentLimited(
                limit=generator.peak_current,
                minimum_off_time=generator.minimum_off_time,
                voltage_limit=generator.voltage_limit,
                hysteresis=generator.hysteresis,
            ),
            loop=loop,
            supply_limit=SupplyLimit(amperes=supply.current_limit, farads=SUPPLY_FARADS),
        )
    )


def switched_on(netlist: Netlist) -> Start:
    """State of a circuit whose supply is on and whose store is still empty."""
    source = next(part for part in netlist.of(VoltageSource) if part.name == SUPPLY)
    supplied = {part.name for part in netlist.states} & {SUPPLY_STORE}
    return Start(values=dict.fromkeys(supplied, source.volts))


@lru_cache(maxsize=4)
def _map_of(netlist: Netlist, control: Control) -> ChargeMap:
    """Charge map of a circuit, kept for the next asking."""
    return charge_map(netlist, control)


def charge_map_of(made: Bench) -> ChargeMap:
    """Charge map of a rig's generator."""
    return _map_of(*network(made))
