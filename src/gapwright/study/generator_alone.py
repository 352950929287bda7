"""The generator of a rig alone: filled with the gap open, then sparking at a set voltage."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.units import Amperes, Coulombs, Hertz, Joules, Number, Seconds, Volts
from gapwright.circuit.control import Control
from gapwright.circuit.engine import Window, run
from gapwright.circuit.generators import GAP, STORE
from gapwright.circuit.ignition import Threshold
from gapwright.circuit.netlist import Netlist
from gapwright.circuit.run import Run
from gapwright.rig.generator import Relaxation, StepUp, short_circuit_current
from gapwright.rig.job import Hole, Job, Workpiece
from gapwright.rig.rig import Rig
from gapwright.study.assemble import Bench, bench
from gapwright.study.ledger import CHARGER
from gapwright.study.network import network, switched_on
from gapwright.study.outcome import Account, Ledger, Role
from gapwright.study.ratings import Rating, ratings

SCHEMA = 1
STRIKES_AT = 0.85
"""Share of the peak open voltage at which the gap is set to strike."""
FULL = 0.95
"""Share of the peak open voltage at which the store counts as full."""
CYCLES = 40
"""Charges that are run with the gap sparking."""
SHOWN = 4
POINTS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """Means over the discharges of the run."""

    rate_hz: Hertz
    energy_j: Joules
    peak_current_a: Amperes
    duration_s: Seconds
    charge_c: Coulombs
    left_voltage_v: Volts


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """What one part carries while the generator sparks."""

    part: str
    rms_current_a: Amperes
    highest_current_a: Amperes
    lowest_current_a: Amperes
    highest_voltage_v: Volts
    lowest_voltage_v: Volts
    power_w: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class Waveforms:
    """Highest value of each slice of the last few sparks."""

    time_s: tuple[Seconds, ...]
    store_v: tuple[Volts, ...]
    gap_v: tuple[Volts, ...]
    gap_a: tuple[Amperes, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GeneratorAlone:
    """Behaviour of a generator without a drilling.

    The ledger begins at the supply's output: its shares are of what the generator draws.
    """

    schema: int
    rig: str
    kind: str
    peak_open_voltage_v: Volts
    fill_time_s: Seconds
    stored_energy_j: Joules
    short_circuit_current_a: Amperes
    strikes_at_v: Volts
    pulse: Pulse | None
    meters: tuple[Meter, ...]
    ratings: tuple[Rating, ...]
    ledger: Ledger
    waveforms: Waveforms


def stand_in_job(rig: Rig) -> Job:
    """A steel plate with a hole that takes the electrode: a generator alone has no job."""
    diameter = min(2.0 * rig.setup.electrode.diameter, 20e-3)
    return Job(
        name="no job",
        workpiece=Workpiece(material="tool-steel", thickness=1e-3),
        hole=Hole(diameter=diameter, tolerance=0.1 * diameter),
        room_below=0.1,
    )


def generator_bench(rig: Rig) -> Bench:
    """Rig with the facts of its electrode, of a steel plate and of its liquid.

    Raises
    ------
    InputRefused
        If no voltage in the rig can strike a spark.
    """
    return bench(rig, stand_in_job(rig))


def generator_alone(rig: Rig) -> GeneratorAlone:
    """Fill the store with the gap open, then let the gap strike at a share of the peak voltage.

    Raises
    ------
    InputRefused
        If no voltage in the rig can strike a spark.
    BalanceFault
        If an account of energy does not close.
    """
    netlist, control = network(generator_bench(rig))
    peak, fill = filling(rig, netlist, control)
    strikes = STRIKES_AT * peak
    duration = CYCLES * fill
    ran = run(
        netlist,
        control,
        duration,
        ignition=Threshold(volts=strikes),
        record=Window(start=duration - SHOWN * fill, stop=duration),
        initial=switched_on(netlist),
    )
    capacitance = rig.generator.capacitor.capacitance
    return GeneratorAlone(
        schema=SCHEMA,
        rig=rig.name,
        kind=rig.generator.kind,
        peak_open_voltage_v=peak,
        fill_time_s=fill,
        stored_energy_j=0.5 * capacitance * peak**2,
        short_circuit_current_a=short_circuit_current(rig.generator, rig.supply),
        strikes_at_v=strikes,
        pulse=mean_pulse(ran),
        meters=meters(ran),
        ratings=ratings(rig, ran, peak_open=peak),
        ledger=ledger(ran),
        waveforms=waveforms(ran, duration - SHOWN * fill, duration),
    )


def filling(rig: Rig, netlist: Netlist, control: Control) -> tuple[Volts, Seconds]:
    """Peak voltage of the store with the gap open, and the time it takes to come near it."""
    span = long_enough(rig)
    ran = run(netlist, control, span, record=Window(start=0.0, stop=span), initial=switched_on(netlist))
    wave = ran.waveform("volts", STORE, start=0.0, stop=span, slices=4000)
    peak = ran.meters[STORE].highest_voltage
    return peak, float(wave.times[int(np.argmax(wave.high >= FULL * peak))])


def long_enough(rig: Rig) -> Seconds:
    """A time in which the store surely fills: eight time constants, or three times the coil's pace."""
    generator = rig.generator
    capacitance = generator.capacitor.capacitance
    match generator:
        case Relaxation():
            return 8.0 * capacitance * (generator.resistor.resistance + rig.supply.output_resistance)
        case StepUp():
            energy = 0.5 * capacitance * rig.open_voltage**2
            current = 0.5 * min(generator.peak_current, rig.supply.current_limit)
            return 3.0 * energy / (current * rig.supply.voltage) + 100e-6


def mean_pulse(ran: Run) -> Pulse | None:
    """Means over the discharges that ended; None if there was none."""
    done = ran.sparks[ran.sparks["ended"]]
    if len(done) == 0:
        return None
    mean = {
        name: float(np.mean(done[name]))
        for name in ("energy_j", "peak_a", "duration_s", "charge_c", "store_v")
    }
    return Pulse(
        rate_hz=len(done) / ran.duration,
        energy_j=mean["energy_j"],
        peak_current_a=mean["peak_a"],
        duration_s=mean["duration_s"],
        charge_c=mean["charge_c"],
        left_voltage_v=mean["store_v"],
    )


def meters(ran: Run) -> tuple[Meter, ...]:
    """Currents, voltages and power of every part but those that only stand for the supply's limit."""
    return tuple(
        Meter(
            part=name,
            rms_current_a=float(np.sqrt(meter.action / ran.duration)),
            highest_current_a=meter.highest_current,
            lowest_current_a=meter.lowest_current,
            highest_voltage_v=meter.highest_voltage,
            lowest_voltage_v=meter.lowest_voltage,
            power_w=meter.energy / ran.duration,
        )
        for name, meter in ran.meters.items()
        if not name.startswith("supply")
    )


def ledger(ran: Run) -> Ledger:
    """Energy account of a run of the generator, from the supply's output on."""
    drawn = ran.joules("in")
    stored = ran.stored_after - ran.stored_before
    lines = [
        Account(
            stage="charger" if account.account in CHARGER else account.stage,
            account=account.account,
            role=Role(account.role),
            energy_j=account.joules,
            share=account.joules / drawn if drawn > 0.0 else 0.0,
        )
        for account in ran.accounts
        if account.joules != 0.0
    ]
    kept = Account(
        stage="store", account="still stored", role=Role.STORED, energy_j=stored, share=stored / drawn
    )
    order = ("supply", "charger", "store", "leads", "spark")
    lines = sorted([*lines, kept], key=lambda line: order.index(line.stage))
    return Ledger(duration_s=ran.duration, balance_error=ran.balance_error, accounts=tuple(lines))


def waveforms(ran: Run, start: Seconds, stop: Seconds) -> Waveforms:
    """Store and gap over the last few sparks."""

    def values(quantity: str, part: str) -> tuple[float, ...]:
        wave = ran.waveform(quantity, part, start=start, stop=stop, slices=POINTS)
        return as_floats(np.where(np.abs(wave.high) >= np.abs(wave.low), wave.high, wave.low))

    times = ran.waveform("volts", STORE, start=start, stop=stop, slices=POINTS).times
    return Waveforms(
        time_s=as_floats(times - start),
        store_v=values("volts", STORE),
        gap_v=values("volts", GAP),
        gap_a=values("amperes", GAP),
    )


def as_floats(values: NDArray[np.float64]) -> tuple[float, ...]:
    """Array as plain numbers."""
    return tuple(float(value) for value in values)
