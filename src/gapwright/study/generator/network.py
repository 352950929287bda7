"""A rig's generator, leads and gap as a circuit, and the charge map that a drilling walks."""

from dataclasses import replace
from functools import lru_cache

from gapwright.base.errors import InputRefused
from gapwright.base.progress import Progress, silent
from gapwright.base.units import Seconds, Siemens
from gapwright.circuit.control.control import Control
from gapwright.circuit.engine.engine import Start
from gapwright.circuit.map.charge_map import ChargeMap, charge_map
from gapwright.circuit.network.elements import Capacitor, Inductor, VoltageSource
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.stages.generators import (
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
from gapwright.rig.components import series_resistance
from gapwright.rig.generator import Relaxation as RelaxationRecord
from gapwright.rig.generator import StepUp as StepUpRecord
from gapwright.rig.generator_kinds import CurrentSource as CurrentSourceRecord
from gapwright.rig.generator_kinds import Flyback as FlybackRecord
from gapwright.rig.generator_kinds import IsoPulse as IsoPulseRecord
from gapwright.rig.leads import wire_resistance
from gapwright.rig.netlist_file import NetlistGenerator
from gapwright.study.generator.mappable import no_map, require_readable
from gapwright.study.generator.network_kinds import (
    current_source,
    flyback,
    iso_pulse,
    loop_diode,
    protection,
    saturation,
    supply_limit,
)
from gapwright.study.generator.network_own import own_network
from gapwright.study.grounds.assemble import Bench

ARC_OHMS = 0.05
"""Resistance of a burning channel beside its constant drop, from memory [Ω]."""


def spark_loop(made: Bench, *, leak: Siemens = 0.0) -> SparkLoop:
    """Store, leads and gap of a rig, as the circuit takes them."""
    rig, generator = made.rig, made.rig.generator
    series = getattr(generator, "series_switch", None)
    return SparkLoop(
        farads=generator.capacitor.capacitance,
        series_ohms=max(series_resistance(generator.capacitor), 1e-3),
        lead_henries=rig.leads.inductance,
        lead_ohms=max(wire_resistance(rig.leads), 1e-3),
        contact_ohms=rig.leads.contact_resistance,
        bleeder_ohms=generator.bleeder,
        arc_volts=made.burning,
        arc_ohms=ARC_OHMS,
        hold_amperes=made.hold_current,
        leak_siemens=leak,
        reverse_diode=loop_diode(getattr(generator, "reverse_diode", None)),
        series_switch_ohms=series.switch.on_resistance if series else None,
    )


def _limit_that_matters(made: Bench, generator: RelaxationRecord) -> SupplyLimit | None:
    """Current limit of a supply that a charging resistor can reach; None where it cannot."""
    supply = made.rig.supply
    most = supply.voltage / (generator.resistor.resistance + supply.output_resistance)
    return None if supply.current_limit >= most else supply_limit(supply)


def _relaxation(made: Bench, generator: RelaxationRecord, loop: SparkLoop) -> tuple[Netlist, Control]:
    supply = made.rig.supply
    return relaxation_network(
        Relaxation(
            supply_volts=supply.voltage,
            source_ohms=supply.output_resistance,
            charging_ohms=generator.resistor.resistance,
            loop=loop,
            supply_limit=_limit_that_matters(made, generator),
            protection=protection(generator.series_switch),
        )
    )


def _step_up(made: Bench, generator: StepUpRecord, loop: SparkLoop) -> tuple[Netlist, Control]:
    supply = made.rig.supply
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
                at_zero_current=generator.turn_on == "at zero current",
                blanking=generator.blanking,
            ),
            loop=loop,
            supply_limit=supply_limit(supply),
            pieces=saturation(generator.coil),
            protection=protection(generator.series_switch),
        )
    )


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
    match generator:
        case RelaxationRecord():
            return _relaxation(made, generator, loop)
        case StepUpRecord():
            return _step_up(made, generator, loop)
        case FlybackRecord():
            return flyback(generator, supply, loop)
        case IsoPulseRecord():
            return iso_pulse(generator, supply, loop)
        case CurrentSourceRecord():
            return current_source(generator, supply, loop)
        case NetlistGenerator():
            return own_network(generator, loop.gap_loop)


def switched_on(netlist: Netlist) -> Start:
    """State of a circuit whose supply is on, and whose store is still empty unless it lies across it."""
    volts = {part.name: part.volts for part in netlist.of(VoltageSource)}
    supplied = {SUPPLY_STORE} & set(netlist.state_names)
    store = netlist.element(netlist.store)
    if isinstance(store, Capacitor) and store.stage == "supply":
        supplied.add(store.name)  # across the supply: it is full when the supply is on
    return Start(values=dict.fromkeys(supplied, volts.get(SUPPLY, 0.0)))


def pulse_period(made: Bench) -> Seconds:
    """Shortest period of a generator that gives pulses by the clock, in s; 0 of any other."""
    generator = made.rig.generator
    if isinstance(generator, IsoPulseRecord | CurrentSourceRecord):
        return generator.burning_time + generator.pause
    return 0.0


class _Listener:
    """Somebody who hears how far a map is; one is as good as another, so none is part of what is kept."""

    def __init__(self, progress: Progress) -> None:
        self.progress = progress

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Listener)

    def __hash__(self) -> int:
        return 0


@lru_cache(maxsize=4)
def _map_of(netlist: Netlist, control: Control, listener: _Listener) -> ChargeMap:
    """Charge map of a circuit, kept for the next asking."""
    return charge_map(netlist, control, progress=listener.progress)


def charge_map_of(made: Bench, *, progress: Progress = silent) -> ChargeMap:
    """Charge map of a rig's generator; False from the listener stops with `Stopped`.

    Raises
    ------
    InputRefused
        If its circuit has none, or the controller reads what tells nothing.
    """
    require_readable(made.rig)
    netlist, control = network(made)
    straight = tuple(
        replace(part, pieces=()) if isinstance(part, Inductor) else part for part in netlist.elements
    )
    try:
        return _map_of(replace(netlist, elements=straight), control, _Listener(progress))
    except InputRefused as fault:
        raise no_map(made.rig.generator, fault) from None
