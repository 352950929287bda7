"""Rig records of flyback, iso-pulse and current-source generators, as the engine takes them."""

from gapwright.circuit.control.charging_control import Pulsing, ShortWatch
from gapwright.circuit.control.governor import Governed
from gapwright.circuit.control.spark_loop import LoopDiode, SparkLoop, SupplyLimit
from gapwright.circuit.network.magnetics import Piece
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.stages.flyback_stage import Flyback as FlybackStage
from gapwright.circuit.stages.flyback_stage import flyback_network
from gapwright.circuit.stages.pulse_stages import CurrentSource as CurrentStage
from gapwright.circuit.stages.pulse_stages import IsoPulse as PulseStage
from gapwright.circuit.stages.pulse_stages import current_source_network, iso_pulse_network
from gapwright.circuit.stages.stage_parts import Bus, Protection
from gapwright.rig.components import Coil, Diode, series_resistance
from gapwright.rig.generator_kinds import (
    CurrentSource,
    Flyback,
    IsoPulse,
    PulseTrain,
    SeriesSwitch,
    ShortDetector,
)
from gapwright.rig.supply import Supply

LEAST = 1e-3
"""Least resistance that the engine takes. [Ω]"""
SUPPLY_FARADS = 47e-6
"""Capacitor behind the terminals of a bench supply, from memory [F]."""


def supply_limit(supply: Supply) -> SupplyLimit:
    """Current at which a supply gives way."""
    return SupplyLimit(amperes=supply.current_limit, farads=SUPPLY_FARADS)


def short_watch(detector: ShortDetector | None) -> ShortWatch | None:
    """Detector of shorts, as a control takes it."""
    if detector is None:
        return None
    return ShortWatch(threshold=detector.threshold, delay=detector.delay, hold_off=detector.hold_off)


def protection(switch: SeriesSwitch | None) -> Protection | None:
    """What a series switch opens on."""
    if switch is None:
        return None
    return Protection(
        watch=short_watch(switch.detector), largest_charge=switch.largest_charge, rest=switch.rest
    )


def loop_diode(diode: Diode | None) -> LoopDiode | None:
    """Diode across the store."""
    return None if diode is None else LoopDiode(volts=diode.drop, ohms=max(diode.resistance, LEAST))


def saturation(coil: Coil) -> tuple[Piece, ...]:
    """Bend of a coil whose inductance behind saturation is stated."""
    if coil.saturated_inductance is None:
        return ()
    return (Piece(amperes=coil.saturation_current, henries=coil.saturated_inductance),)


def flyback(generator: Flyback, supply: Supply, loop: SparkLoop) -> tuple[Netlist, Governed]:
    """Circuit and control of a flyback generator."""
    clamp = generator.clamp
    return flyback_network(
        FlybackStage(
            supply_volts=supply.voltage,
            source_ohms=supply.output_resistance,
            primary_henries=generator.coil.inductance,
            primary_ohms=max(generator.coil.resistance, LEAST),
            turns_ratio=generator.turns_ratio,
            coupling=generator.coupling,
            secondary_ohms=generator.secondary_resistance,
            switch_ohms=max(generator.switch.on_resistance, LEAST),
            diode_volts=generator.diode.drop,
            diode_ohms=max(generator.diode.resistance, LEAST),
            loop=loop,
            limit=generator.peak_current,
            minimum_off_time=generator.minimum_off_time,
            voltage_limit=generator.voltage_limit,
            hysteresis=generator.hysteresis,
            at_zero_current=generator.turn_on == "at zero current",
            blanking=generator.blanking,
            clamp_farads=clamp.capacitance if clamp else None,
            clamp_ohms=clamp.resistance if clamp else 1e4,
            protection=protection(generator.series_switch),
            supply_limit=supply_limit(supply),
        )
    )


def bus(generator: IsoPulse | CurrentSource, supply: Supply) -> Bus:
    """Supply with the capacitor across it."""
    return Bus(
        volts=supply.voltage,
        source_ohms=supply.output_resistance,
        farads=generator.capacitor.capacitance,
        series_ohms=max(series_resistance(generator.capacitor), LEAST),
        bleeder_ohms=generator.bleeder,
        supply_limit=supply_limit(supply),
    )


def pulsing(generator: IsoPulse | CurrentSource) -> Pulsing:
    """When pulses begin and end."""
    return Pulsing(
        ignition_current=generator.ignition_current,
        burning_time=generator.burning_time,
        longest_wait=generator.longest_wait,
        pause=generator.pause,
        short=short_watch(generator.detector),
        trained=generator.train is not None,
    )


def _times(train: PulseTrain | None) -> tuple[float, float] | None:
    return None if train is None else (train.run, train.rest)


def iso_pulse(generator: IsoPulse, supply: Supply, loop: SparkLoop) -> tuple[Netlist, Governed]:
    """Circuit and control of an iso-pulse generator."""
    return iso_pulse_network(
        PulseStage(
            bus=bus(generator, supply),
            switch_ohms=max(generator.switch.on_resistance, LEAST),
            ballast_ohms=generator.resistor.resistance,
            diode_volts=generator.diode.drop,
            diode_ohms=max(generator.diode.resistance, LEAST),
            loop=loop.gap_loop,
            pulsing=pulsing(generator),
            train=_times(generator.train),
        )
    )


def current_source(generator: CurrentSource, supply: Supply, loop: SparkLoop) -> tuple[Netlist, Governed]:
    """Circuit and control of a current-source generator."""
    return current_source_network(
        CurrentStage(
            bus=bus(generator, supply),
            switch_ohms=max(generator.switch.on_resistance, LEAST),
            diode_volts=generator.diode.drop,
            diode_ohms=max(generator.diode.resistance, LEAST),
            coil_henries=generator.coil.inductance,
            coil_ohms=max(generator.coil.resistance, LEAST),
            steering_ohms=max(generator.steering.on_resistance, LEAST),
            amperes=generator.current,
            band=generator.band,
            ignition_volts=generator.ignition_voltage,
            ignition_ohms=generator.ignition_resistor.resistance,
            loop=loop.gap_loop,
            pulsing=pulsing(generator),
            train=_times(generator.train),
            pieces=saturation(generator.coil),
            snubber_farads=generator.snubber.capacitance,
            snubber_ohms=generator.snubber.resistance,
        )
    )
