"""A first look at a rig and a job in milliseconds: the generator sparking steadily, without a drilling."""

from dataclasses import dataclass

import numpy as np

from gapwright.base.units import Joules, Seconds
from gapwright.circuit.map.charge_map import Meter
from gapwright.circuit.stages.generators import COIL, GAP, STORE
from gapwright.rig.generator import Relaxation, short_circuit_current
from gapwright.rig.job import Job
from gapwright.rig.rig import Rig
from gapwright.study.cautions.cautions import cautions
from gapwright.study.forecast.circumstances import feed_into_arc
from gapwright.study.generator.generator_alone import GeneratorAlone, generator_alone
from gapwright.study.generator.generator_alone import Meter as PartMeter
from gapwright.study.grounds.assemble import Bench, absorbed_share, bench, removal_law, store_ceiling
from gapwright.study.grounds.ledger import Metered, ledger
from gapwright.study.grounds.outcome import Caution, Ledger, Role
from gapwright.study.grounds.stress import Stress
from gapwright.study.grounds.uncertain import median_member, uncertain_constants

NOMINAL_DRILLING = 600.0
"""Time of a drilling where the job limits none, for cautions that ask how long it lasts [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """A generator while it sparks steadily, with the whole way from the socket to the metal.

    Its ledger spans the run of the generator; shorts, waiting and the hole are left to the forecast.
    """

    circuit: GeneratorAlone
    ledger: Ledger
    cautions: tuple[Caution, ...]


def glance(rig: Rig, job: Job) -> Glance:
    """First look at a rig and a job.

    Raises
    ------
    InputRefused
        If rig and job cannot work together, or no voltage in the rig can strike a spark.
    """
    made = bench(rig, job)
    alone = generator_alone(rig)
    return Glance(
        circuit=alone,
        ledger=ledger(made, _metered(made, alone)),
        cautions=cautions(made, _stress(made, alone)),
    )


def _metered(made: Bench, alone: GeneratorAlone) -> Metered:
    """The account of the generator's run as a drilling's meters would give it, nothing removed."""
    lines = [line for line in alone.ledger.accounts if line.role in (Role.IN, Role.OUT)]
    stored = sum(line.energy_j for line in alone.ledger.accounts if line.role is Role.STORED)
    energy = np.array([line.energy_j for line in lines])
    member = median_member(uncertain_constants(made.rig, made.job))
    share = absorbed_share(made, member, removal_law(made), _spark_energy(alone))
    return Metered(
        duration=alone.ledger.duration_s,
        meters=[Meter(stage=line.stage, account=line.account, role=line.role.value) for line in lines],
        sparking=energy,
        shorted=np.zeros(len(lines)),
        stored=stored,
        removed=0.0,
        absorbed=share,
        electrode_share=share * member.value["electrode-absorption-ratio"],
    )


def _spark_energy(alone: GeneratorAlone) -> Joules:
    """Gap energy of a mean spark, or of the whole store where none ended by itself."""
    return alone.pulse.energy_j if alone.pulse is not None else alone.stored_energy_j


def _meter(alone: GeneratorAlone, part: str) -> PartMeter | None:
    """What a part carries, None without such a part."""
    return next((meter for meter in alone.meters if meter.part == part), None)


def _duration(job: Job) -> Seconds:
    """Time that a drilling is taken to last."""
    return job.limits.time or NOMINAL_DRILLING


def _stress(made: Bench, alone: GeneratorAlone) -> Stress:
    """What the parts endure while the generator sparks; a gap that does not leak."""
    rig, pulse = made.rig, alone.pulse
    store, gap, coil = (_meter(alone, part) for part in (STORE, GAP, COIL))
    resistor = _meter(alone, "charging resistor")
    rate = pulse.rate_hz if pulse is not None else 0.0
    highest = store.highest_voltage_v if store else 0.0
    return Stress(
        store_volts=max(store_ceiling(made), highest),
        stored_energy_j=0.5 * rig.generator.capacitor.capacitance * store_ceiling(made) ** 2,
        reverse_volts=min(0.0, store.lowest_voltage_v) if store and pulse else 0.0,
        spark_energy_j=pulse.energy_j if pulse is not None else 0.0,
        spark_rate_hz=rate,
        peak_current_a=gap.highest_current_a if gap else 0.0,
        action_a2s=gap.rms_current_a**2 / rate if gap and rate > 0.0 else 0.0,
        short_circuit_current_a=short_circuit_current(rig.generator, rig.supply),
        feed_into_arc_a=feed_into_arc(made),
        coil_peak_a=coil.highest_current_a if coil else None,
        charging_resistor_w=resistor.power_w if resistor and isinstance(rig.generator, Relaxation) else 0.0,
        lead_inductance_h=rig.leads.inductance,
        duration_s=_duration(made.job),
        leak_current_a=0.0,
    )
