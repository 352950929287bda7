"""The generator of a rig alone: filled with the gap open, sparking, shorted, feeding an arc."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.progress import Progress, silent
from gapwright.base.units import ActionIntegral, Amperes, Coulombs, Hertz, Joules, Number, Seconds, Volts
from gapwright.circuit.engine.run import Run
from gapwright.circuit.stages.generators import GAP, STORE
from gapwright.rig.job import Hole, Job, Workpiece
from gapwright.rig.rig import Rig
from gapwright.study.generator.findings import findings
from gapwright.study.generator.findings_loop import HalvedLoop, halved_loop, is_store_fed
from gapwright.study.generator.network import network, pulse_period
from gapwright.study.generator.ratings import Rating, ratings
from gapwright.study.generator.scenes import (
    STRIKES_AT,
    WORDS,
    Scene,
    SceneName,
    Scenes,
    felt_sparks,
    mean_current,
    rms_current,
    scenes,
)
from gapwright.study.grounds.assemble import Bench, bench
from gapwright.study.grounds.finding import Finding
from gapwright.study.grounds.ledger import CHARGER
from gapwright.study.grounds.outcome import Account, Ledger, Role

__all__ = ["STRIKES_AT", "GeneratorAlone", "generator_alone", "generator_bench"]

SCHEMA = 1
POINTS = 400
ROUNDING = 1e-11
"""Share of a part's highest voltage below which its lowest is rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pulse:
    """Means over the discharges of the run."""

    rate_hz: Hertz
    energy_j: Joules
    peak_current_a: Amperes
    duration_s: Seconds
    charge_c: Coulombs
    action_a2s: ActionIntegral
    left_voltage_v: Volts


@dataclass(frozen=True, slots=True, kw_only=True)
class Meter:
    """What one part carries during a run."""

    part: str
    rms_current_a: Amperes
    mean_current_a: Amperes
    highest_current_a: Amperes
    lowest_current_a: Amperes
    highest_voltage_v: Volts
    lowest_voltage_v: Volts
    power_w: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class SceneMeters:
    """One scene: its first moments with their surges, and what goes on after them."""

    name: str
    happens: str
    begins_for_s: Seconds
    begins: tuple[Meter, ...]
    lasts_for_s: Seconds
    lasts: tuple[Meter, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Waveforms:
    """Largest value of each slice of a scene's first moments."""

    scene: str
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
    findings: tuple[Finding, ...]
    halved_loop: HalvedLoop | None
    scenes: tuple[SceneMeters, ...]
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


def generator_alone(rig: Rig, *, scene: SceneName = SceneName.SPARK) -> GeneratorAlone:
    """Everything that the scenes of a rig's generator tell.

    Parameters
    ----------
    rig
        Rig whose generator is run.
    scene
        Scene whose waveforms are wanted.

    Raises
    ------
    InputRefused
        If no voltage in the rig can strike a spark.
    BalanceFault
        If an account of energy does not close.
    """
    made = generator_bench(rig)
    return told(made, seen_on(made), scene=scene)


def seen_on(made: Bench, *, progress: Progress = silent) -> Scenes:
    """Scenes of a rig's generator."""
    return scenes(*network(made), cycle=pulse_period(made), progress=progress)


def told(made: Bench, seen: Scenes, *, scene: SceneName) -> GeneratorAlone:
    """Scenes of a rig's generator in figures and findings."""
    rig, ran = made.rig, seen.spark.ran
    found = findings(made, seen)
    strikes = seen.strikes_at
    return GeneratorAlone(
        schema=SCHEMA,
        rig=rig.name,
        kind=rig.generator.kind,
        peak_open_voltage_v=seen.peak_open,
        fill_time_s=seen.fill_time,
        stored_energy_j=0.5 * rig.generator.capacitor.capacitance * seen.peak_open**2,
        short_circuit_current_a=max(0.0, mean_current(seen.by_name[SceneName.SHORT].lasting, GAP)),
        strikes_at_v=strikes,
        pulse=mean_pulse(ran),
        meters=meters(ran),
        ratings=ratings(found),
        findings=found,
        halved_loop=halved_loop(made, voltage=strikes)
        if is_store_fed(made) and strikes > made.burning
        else None,
        scenes=tuple(scene_meters(each) for each in seen.by_name.values()),
        ledger=ledger(ran),
        waveforms=waveforms(seen.by_name[scene]),
    )


def scene_meters(scene: Scene) -> SceneMeters:
    """Meters of one scene: at first, and once it has settled."""
    return SceneMeters(
        name=scene.name,
        happens=WORDS[scene.name],
        begins_for_s=scene.ran.duration,
        begins=meters(scene.ran),
        lasts_for_s=scene.lasting.duration,
        lasts=meters(scene.lasting),
    )


def mean_pulse(ran: Run) -> Pulse | None:
    """Means over the discharges that are felt and ended; None if there was none."""
    felt = felt_sparks(ran)
    done = felt[felt["ended"]]
    if len(done) == 0:
        return None
    mean = {
        name: float(np.mean(done[name]))
        for name in ("energy_j", "peak_a", "duration_s", "charge_c", "action_a2s", "store_v")
    }
    return Pulse(
        rate_hz=spark_rate(ran),
        energy_j=mean["energy_j"],
        peak_current_a=mean["peak_a"],
        duration_s=mean["duration_s"],
        charge_c=mean["charge_c"],
        action_a2s=mean["action_a2s"],
        left_voltage_v=mean["store_v"],
    )


def spark_rate(ran: Run) -> Hertz:
    """Sparks by time: from the first to the last where there are several."""
    times = felt_sparks(ran)["time_s"]
    if len(times) < 2:
        return len(times) / ran.duration
    return float((len(times) - 1) / (times[-1] - times[0]))


def meters(ran: Run) -> tuple[Meter, ...]:
    """Currents, voltages and power of every part but those that only stand for the supply's limit."""
    return tuple(
        Meter(
            part=name,
            rms_current_a=rms_current(ran, name),
            mean_current_a=meter.charge / ran.duration,
            highest_current_a=meter.highest_current,
            lowest_current_a=meter.lowest_current,
            highest_voltage_v=meter.highest_voltage,
            lowest_voltage_v=sized(meter.lowest_voltage, beside=meter.highest_voltage),
            power_w=meter.energy / ran.duration,
        )
        for name, meter in ran.meters.items()
        if not name.startswith("supply")
    )


def sized(value: float, *, beside: float) -> float:
    """A value, or 0 where it is only the rounding of one very much larger."""
    return value if abs(value) > ROUNDING * abs(beside) else 0.0


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


def waveforms(scene: Scene) -> Waveforms:
    """Store and gap over the first moments of a scene."""
    start, stop = scene.window.start, scene.window.stop

    def values(quantity: str, part: str) -> tuple[float, ...]:
        wave = scene.ran.waveform(quantity, part, start=start, stop=stop, slices=POINTS)
        return as_floats(np.where(np.abs(wave.high) >= np.abs(wave.low), wave.high, wave.low))

    times = scene.ran.waveform("volts", STORE, start=start, stop=stop, slices=POINTS).times
    return Waveforms(
        scene=scene.name,
        time_s=as_floats(times - start),
        store_v=values("volts", STORE),
        gap_v=values("volts", GAP),
        gap_a=values("amperes", GAP),
    )


def as_floats(values: NDArray[np.float64]) -> tuple[float, ...]:
    """Array as plain numbers."""
    return tuple(float(value) for value in values)
