"""Ratings of a generator's parts beside what the parts carry."""

from dataclasses import dataclass

import numpy as np

from gapwright.base.units import Number, Volts
from gapwright.circuit.generators import COIL, DIODE, STORE, SUPPLY, SWITCH
from gapwright.circuit.run import Run
from gapwright.rig.generator import Relaxation, StepUp, short_circuit_current
from gapwright.rig.rig import Rig


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """One limit of a part: what it carries, what it may carry, both in `unit`."""

    part: str
    quantity: str
    found: Number
    allowed: Number
    unit: str
    within: bool


def rating(part: str, quantity: str, found: float, allowed: float, unit: str) -> Rating:
    """A limit, and whether it is kept."""
    return Rating(
        part=part, quantity=quantity, found=found, allowed=allowed, unit=unit, within=bool(found <= allowed)
    )


def ratings(rig: Rig, ran: Run, *, peak_open: Volts) -> tuple[Rating, ...]:
    """Every rating of the generator that a run can be held against.

    Parameters
    ----------
    rig
        Rig whose generator was run.
    ran
        Run with the gap sparking.
    peak_open
        Highest voltage of the store with the gap open. [V]
    """
    generator = rig.generator
    found = [*store_ratings(rig, ran, peak_open), supply_rating(rig, ran)]
    match generator:
        case Relaxation():
            return (*found, *resistor_ratings(rig, generator, ran))
        case StepUp():
            return (*found, *step_up_ratings(generator, ran, peak_open))


def store_ratings(rig: Rig, ran: Run, peak_open: Volts) -> list[Rating]:
    """Voltage, reversal and ripple current of the store."""
    capacitor, meter = rig.generator.capacitor, ran.meters[STORE]
    ripple = float(np.sqrt(meter.action / ran.duration))
    reverse = max(0.0, -meter.lowest_voltage)
    return [
        rating(STORE, "voltage", max(peak_open, meter.highest_voltage), capacitor.voltage_rating, "V"),
        rating(STORE, "reverse voltage", reverse, capacitor.reverse_rating, "V"),
        rating(STORE, "ripple current, r.m.s.", ripple, capacitor.ripple_rating, "A"),
    ]


def supply_rating(rig: Rig, ran: Run) -> Rating:
    """Mean current drawn from the supply."""
    mean = abs(ran.meters[SUPPLY].charge) / ran.duration
    return rating(SUPPLY, "mean current", mean, rig.supply.current_limit, "A")


def resistor_ratings(rig: Rig, generator: Relaxation, ran: Run) -> list[Rating]:
    """Power in the charging resistor: while sparking, and with the gap shorted for good."""
    resistor = generator.resistor
    lasting = short_circuit_current(generator, rig.supply) ** 2 * resistor.resistance
    sparking = ran.meters["charging resistor"].energy / ran.duration
    return [
        rating("charging resistor", "power while sparking", sparking, resistor.power_rating, "W"),
        rating("charging resistor", "power into a lasting short", lasting, resistor.power_rating, "W"),
    ]


def step_up_ratings(generator: StepUp, ran: Run, peak_open: Volts) -> list[Rating]:
    """Coil, switch and diode of a step-up generator."""
    coil, switch, diode = ran.meters[COIL], ran.meters[SWITCH], ran.meters[DIODE]
    return [
        rating(COIL, "peak current", coil.highest_current, generator.coil.saturation_current, "A"),
        rating(SWITCH, "voltage", switch.highest_voltage, generator.switch.voltage_rating, "V"),
        rating(SWITCH, "peak current", switch.highest_current, generator.switch.current_rating, "A"),
        rating(
            DIODE,
            "reverse voltage",
            max(peak_open, -diode.lowest_voltage),
            generator.diode.voltage_rating,
            "V",
        ),
        rating(DIODE, "peak current", diode.highest_current, generator.diode.current_rating, "A"),
    ]
