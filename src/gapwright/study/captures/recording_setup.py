"""Before the first capture: what the pulses of this rig ask of a recorder, its probes and its shunt."""

import math
from dataclasses import dataclass

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import (
    Amperes,
    AmperesPerSecond,
    Henries,
    Hertz,
    Number,
    Ohms,
    Seconds,
    Volts,
    Watts,
)
from gapwright.circuit.formulas.discharge import SeriesLoop, peak_time
from gapwright.rig.generator import gives_pulses
from gapwright.rig.rig import Rig, loop_resistance
from gapwright.study.captures.earth_clip import EarthClip, Side, earth_clip
from gapwright.study.captures.recording_kinds import (
    OneChannel,
    Wanted,
    largest_shunt,
    one_channel,
    usual_pulse,
)
from gapwright.study.generator.generator_alone import Pulse, generator_alone, generator_bench
from gapwright.study.grounds.assemble import Bench

SCHEMA = 1
GOOD_SAMPLES, LEAST_SAMPLES = 50, 10
"""Samples of a pulse for its energy and shape, and for its charge alone; common practice."""
BANDWIDTH_PERIODS = 10.0
"""Bandwidth over the frequency whose half period the pulse is; common practice."""
BURNING_SHARE = 0.02
"""Part of the burning voltage that one step of the recorder may be; common practice."""
HEADROOM = 1.25
"""Range over the greatest value to be seen; ringing goes past it otherwise."""
SPARKS_WANTED = 1000
SHUNT_HENRIES = 10e-9
"""Inductance of a small shunt of sheet or parallel resistors with its joints; from memory. [H]"""
SHUNTS = tuple(digit * 10.0**power for power in range(-4, 1) for digit in (1.0, 2.0, 5.0))
PROBES = (1.0, 10.0, 100.0)
INPUT_RANGE = 20.0
"""Volts from middle to end that most inputs take without a probe; from memory."""
SHARED_LEAD = 10e-9
"""Inductance of a centimetre of wire that a controller shares with the spark's loop. [H]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampling:
    """What the recorder must do."""

    pulse_s: Seconds
    """Usual duration of a discharge."""
    rise_s: Seconds
    """Time from its start to its peak."""
    good_rate_hz: Hertz
    least_rate_hz: Hertz
    bandwidth_hz: Hertz
    bits: int
    voltage_range_v: Volts
    current_range_a: Amperes
    record_s: Seconds
    """Time in which about a thousand sparks strike."""
    record_samples: int
    """Samples of each channel in that time at the good rate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShuntAdvice:
    """A shunt for this rig, and what its inductance adds to its reading."""

    resistance_ohm: Ohms
    inductance_h: Henries
    peak_current_a: Amperes
    rise_a_per_s: AmperesPerSecond
    resistive_v: Volts
    """At the peak."""
    inductive_v: Volts
    """At the steepest rise."""
    power_w: Watts
    filter_s: Seconds
    """Time constant of a filter behind the shunt that takes the inductive part out again."""
    advice: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingSetup:
    """How to hook a recorder up to this rig."""

    schema: int
    rig: str
    open_voltage_v: Volts
    burning_voltage_v: Volts
    sparks_hz: Hertz
    earth: EarthClip
    sampling: Sampling
    probe_ratio: Number
    probe_advice: str
    shunt: ShuntAdvice
    shared_lead_v: Volts
    """Across each centimetre of wire that something else shares with the spark's loop."""
    shared_lead_advice: str
    reading_options: str
    """Options of `capture read` for a recorder hooked up this way."""
    one_channel: OneChannel


def recording_setup(rig: Rig) -> RecordingSetup:
    """What this rig asks of a recorder, from its generator alone.

    Raises
    ------
    InputRefused
        If no voltage in the rig can strike a spark.
    """
    made, alone = generator_bench(rig), generator_alone(rig)
    pulse = usual_pulse(rig, alone, burning=made.burning)
    open_volts = max(alone.peak_open_voltage_v, rig.open_voltage if gives_pulses(rig.generator) else 0.0)
    rise = max(open_volts - made.burning, 0.0) / rig.leads.inductance
    shared = SHARED_LEAD * rise
    ratio = _probe_ratio(open_volts)
    earth, shunt = earth_clip(rig, open_voltage=open_volts), _shunt(rig, pulse, rise)
    return RecordingSetup(
        schema=SCHEMA,
        rig=rig.name,
        open_voltage_v=open_volts,
        burning_voltage_v=made.burning,
        sparks_hz=pulse.rate_hz,
        earth=earth,
        sampling=_sampling(made, pulse, open_volts),
        reading_options=_reading_options(earth, shunt),
        probe_ratio=ratio,
        probe_advice=_probe_advice(ratio, open_volts),
        shunt=shunt,
        shared_lead_v=shared,
        shared_lead_advice=(
            f"Each centimetre of wire shared with the spark's loop carries {printed_quantity(shared, 'V')} "
            "while the current rises. Give controller, probes and supply their own wires to one star point."
        ),
        one_channel=one_channel(rig, open_volts),
    )


def inductive_reading(
    resistance: Ohms, *, inductance: Henries, current: Amperes, rise: AmperesPerSecond
) -> tuple[Volts, Volts]:
    """Resistive and inductive part of a shunt's reading.

    Parameters
    ----------
    resistance
        Of the shunt. [Ω]
    inductance
        Of the shunt between its sense taps. [H]
    current
        Through the shunt. [A]
    rise
        How fast it changes. [A/s]

    Returns
    -------
    resistive
        What the current makes. [V]
    inductive
        What its change makes beside it. [V]
    """
    return resistance * current, inductance * rise


def _sampling(made: Bench, pulse: Pulse, open_volts: Volts) -> Sampling:
    span = 2.0 * HEADROOM * open_volts
    record = SPARKS_WANTED / pulse.rate_hz
    rig = made.rig
    rise, wanted = _rise(made, pulse, open_volts), Wanted.of(rig.generator)
    good = two_digits_up(max(GOOD_SAMPLES / pulse.duration_s, wanted.rise_samples / rise, wanted.rate))
    return Sampling(
        pulse_s=pulse.duration_s,
        rise_s=rise,
        good_rate_hz=good,
        least_rate_hz=two_digits_up(max(LEAST_SAMPLES / pulse.duration_s, wanted.least_rate)),
        bandwidth_hz=two_digits_up(
            wanted.bandwidth or BANDWIDTH_PERIODS / (4.0 * min(rise, 0.5 * pulse.duration_s))
        ),
        bits=max(8, math.ceil(math.log2(span / (BURNING_SHARE * made.burning)))),
        voltage_range_v=HEADROOM * open_volts,
        current_range_a=HEADROOM * pulse.peak_current_a,
        record_s=record,
        record_samples=math.ceil(good * record),
    )


def _rise(made: Bench, pulse: Pulse, open_volts: Volts) -> Seconds:
    """Time from the start of a discharge to its peak."""
    rig = made.rig
    if gives_pulses(rig.generator):
        return pulse.peak_current_a * rig.leads.inductance / max(open_volts - made.burning, 1.0)
    return peak_time(
        SeriesLoop(
            resistance=loop_resistance(rig),
            inductance=rig.leads.inductance,
            capacitance=rig.generator.capacitor.capacitance,
        )
    )


def _reading_options(earth: EarthClip, shunt: ShuntAdvice) -> str:
    """Options that say how the recorder is hooked up, tips on the electrode and behind the shunt."""
    signs = " --voltage-inverted" if earth.clip_side is Side.PLUS else ""
    signs += " --current-inverted" if earth.clip_side is Side.MINUS else ""
    return f'--voltage-channel 1 --current-channel 2 --shunt "{shunt.resistance_ohm * 1e3:g} mohm"{signs}'


def two_digits_up(value: float) -> float:
    """Next greater number of two digits."""
    step = 10.0 ** (math.floor(math.log10(value)) - 1)
    return math.ceil(value / step - 1e-9) * step


def _probe_ratio(open_volts: Volts) -> float:
    """Smallest usual ratio at which the open voltage with headroom fits the input."""
    return next((ratio for ratio in PROBES if HEADROOM * open_volts / ratio <= INPUT_RANGE), PROBES[-1])


def _probe_advice(ratio: float, open_volts: Volts) -> str:
    return (
        f"A probe of {ratio:g}:1 brings {printed_quantity(open_volts, 'V')} down to "
        f"{printed_quantity(open_volts / ratio, 'V')} at the input. Trim it on a square wave first, keep its "
        "earth lead short, and touch tip and clip to one point before you trust a spike: what is left then "
        "is picked up, not measured."
    )


def _shunt(rig: Rig, pulse: Pulse, rise: AmperesPerSecond) -> ShuntAdvice:
    """Largest usual shunt that hardly changes the loop."""
    most = largest_shunt(rig, pulse)
    chosen = max([ohms for ohms in SHUNTS if ohms <= most], default=SHUNTS[0])
    resistive, inductive = inductive_reading(
        chosen, inductance=SHUNT_HENRIES, current=pulse.peak_current_a, rise=rise
    )
    time = SHUNT_HENRIES / chosen
    share = inductive / resistive if resistive > 0.0 else math.inf
    verdict = (
        f"An R-C filter of {printed_quantity(time, 's')} before the recorder takes that out again."
        if share > 0.05
        else "That is small enough to leave."
    )
    return ShuntAdvice(
        resistance_ohm=chosen,
        inductance_h=SHUNT_HENRIES,
        peak_current_a=pulse.peak_current_a,
        rise_a_per_s=rise,
        resistive_v=resistive,
        inductive_v=inductive,
        power_w=chosen * pulse.rate_hz * pulse.action_a2s,
        filter_s=time,
        advice=(
            f"A shunt of {printed_quantity(chosen, 'Ω')} in the lead at the clip's own point reads "
            f"{printed_quantity(resistive, 'V')} at the peak; the {printed_quantity(SHUNT_HENRIES, 'H')} "
            f"that a small one has add {printed_quantity(inductive, 'V')} while the current rises. {verdict} "
            "Use several resistors side by side, sense them at their own feet, and twist the sense wires."
        ),
    )
