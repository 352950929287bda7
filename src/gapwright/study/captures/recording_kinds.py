"""Before the first capture: what depends on whether a store fires into the gap, or pulses are given to it."""

import math
from dataclasses import dataclass

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Farads, Hertz, Joules, Number, Ohms, Volts
from gapwright.capture.classify import UNREST_RATE
from gapwright.rig.generator import AnyGenerator, gives_pulses
from gapwright.rig.generator_kinds import CurrentSource, IsoPulse
from gapwright.rig.rig import Rig, loop_resistance
from gapwright.study.generator.generator_alone import GeneratorAlone, Pulse

SHUNT_SHARE = 0.05
"""Part that a shunt may add to the loop's impedance; common practice."""
SHUNT_VOLTS = 0.5
"""Voltage at the peak of a pulse that is enough for a recorder; common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What the kind of generator asks of a recorder, beside the length of its discharges."""

    rise_samples: Number
    """From the start of a discharge to its peak; common practice."""
    rate: Hertz
    least_rate: Hertz
    bandwidth: Hertz | None
    """None where it follows from the rise."""

    @classmethod
    def of(cls, generator: AnyGenerator) -> "Wanted":
        """A store wants its peak seen; pulses the unrest of the burning voltage, by which arcs are told."""
        if gives_pulses(generator):
            return cls(
                rise_samples=0.0, rate=2.0 * UNREST_RATE, least_rate=UNREST_RATE, bandwidth=UNREST_RATE
            )
        return cls(rise_samples=20.0, rate=0.0, least_rate=0.0, bandwidth=None)


def usual_pulse(rig: Rig, alone: GeneratorAlone, *, burning: Volts) -> Pulse:
    """Usual discharge of a rig: as it is given, or as the generator's run showed it."""
    generator = rig.generator
    if isinstance(generator, IsoPulse):
        ohms = rig.supply.output_resistance + generator.resistor.resistance + loop_resistance(rig)
        return _given(generator, max(rig.open_voltage - burning, 0.0) / ohms, burning)
    if isinstance(generator, CurrentSource):
        return _given(generator, generator.current + 0.5 * generator.band, burning)
    return alone.pulse or _half_period(rig)


def _given(generator: IsoPulse | CurrentSource, current: float, burning: float) -> Pulse:
    """Pulse of a set length; so many a second at most, where each ignites at once."""
    burn = generator.burning_time
    return Pulse(
        rate_hz=1.0 / (burn + generator.pause),
        energy_j=burning * current * burn,
        peak_current_a=current,
        duration_s=burn,
        charge_c=current * burn,
        action_a2s=current**2 * burn,
        left_voltage_v=0.0,
    )


def _half_period(rig: Rig) -> Pulse:
    """Stand-in where no discharge ended within the run: half a period of the loop."""
    store = rig.generator.capacitor.capacitance
    half = math.pi * math.sqrt(rig.leads.inductance * store)
    peak = rig.open_voltage * math.sqrt(store / rig.leads.inductance)
    return Pulse(
        rate_hz=1.0 / half,
        energy_j=0.5 * store * rig.open_voltage**2,
        peak_current_a=peak,
        duration_s=half,
        charge_c=store * rig.open_voltage,
        action_a2s=0.5 * peak**2 * half,
        left_voltage_v=0.0,
    )


def largest_shunt(rig: Rig, pulse: Pulse) -> Ohms:
    """Largest shunt that hardly changes the loop, and no larger than a recorder needs."""
    store = rig.generator.capacitor.capacitance
    impedance = math.sqrt(rig.leads.inductance / store) + loop_resistance(rig)
    if gives_pulses(rig.generator):
        return SHUNT_VOLTS / max(pulse.peak_current_a, 1e-3)
    return SHUNT_SHARE * impedance


@dataclass(frozen=True, slots=True, kw_only=True)
class OneChannel:
    """What a recorder with one channel can still tell."""

    capacitance_f: Farads | None
    """Of the store; None where none empties into the gap."""
    full_charge_energy_j: Joules | None
    advice: str


def one_channel(rig: Rig, open_volts: Volts) -> OneChannel:
    """What one channel can tell of this rig."""
    if gives_pulses(rig.generator):
        return OneChannel(
            capacitance_f=None,
            full_charge_energy_j=None,
            advice=(
                "One channel is not enough here: no store empties into the gap, so a voltage tells neither "
                "charge nor energy of a pulse, and it is refused without its current. Take a recorder with "
                "two channels."
            ),
        )
    store = rig.generator.capacitor.capacitance
    return OneChannel(
        capacitance_f=store,
        full_charge_energy_j=0.5 * store * open_volts**2,
        advice=(
            f"With one channel, record the voltage of the store: each spark's charge is "
            f"{printed_quantity(store, 'F')} times the fall of the voltage, and its energy follows, the part "
            "lost in leads and capacitor included. Give --rig when the capture is read, so that the "
            "capacitance is known; peaks and durations of the current stay unknown."
        ),
    )
