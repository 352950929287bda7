"""What a capture says, as one record of numbers and words."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from gapwright.app.capture_course import CourseAnswer, course_answer, known
from gapwright.base.units import Amperes, Coulombs, Hertz, Joules, Number, Seconds, Volts
from gapwright.capture.calibration import Calibration
from gapwright.capture.classify import CLASS_NAMES
from gapwright.capture.levels import Level
from gapwright.capture.reading import CaptureReading
from gapwright.capture.recording import Recording
from gapwright.capture.scaling import Hooked

SCHEMA = 1
CLIPPED_MOST = 1e-4
"""Share of clipped samples from which on no energy is told: the peaks are what is missing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChannelAnswer:
    """One channel as it was understood."""

    name: str
    quantity: str
    """`voltage` or `current`."""
    unit: str
    step: Number
    """Smallest difference that the recorder told apart, in the unit; 0 where there is none to see."""
    samples: str
    """Kind of the samples: int8, int16 or float32."""
    clipped_share: Number
    least: Number
    greatest: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelAnswer:
    """A level with its standard uncertainty, and whether it was found or given."""

    value: Number
    uncertainty: Number
    found: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SparksAnswer:
    """How many discharges there were, and how many a second."""

    count: int
    rate_hz: Hertz


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassAnswer:
    """How many events of a class there were, and their share of the recorded time."""

    count: int
    time_share: Number


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyAnswer:
    """Energy in the gap, over all discharges and in the middle of them."""

    total: Joules
    median: Joules
    skew_share: Number
    """Standard uncertainty of the total as a share of it, from the current's delay alone."""
    zero_share: Number
    """The same from the voltage's zero; where a drift of it cannot be told, all that it may be off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeAnswer:
    """Charge through the gap over all discharges."""

    total: Coulombs


@dataclass(frozen=True, slots=True, kw_only=True)
class DelayAnswer:
    """Ignition delay: the mean of those seen, and that which counts the waits without a spark too."""

    mean: Seconds | None
    censored: Seconds | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptureAnswer:
    """What was understood of a capture."""

    schema: int
    files: tuple[str, ...]
    form: str
    understood: tuple[str, ...]
    channels: tuple[ChannelAnswer, ...]
    rate_hz: Hertz
    duration_s: Seconds
    samples: int
    segments: int
    generator: str
    measured_from: str
    """Whether charge and energy come from the current or from the store's voltage."""
    levels: dict[str, LevelAnswer]
    open_voltage_v: Volts
    burning_voltage_v: Volts
    current_zero_a: Amperes | None
    skew_s: Seconds | None
    """How late the current came, where that was found."""
    skew_uncertainty_s: Seconds | None
    sparks: SparksAnswer
    classes: dict[str, ClassAnswer]
    energy_j: EnergyAnswer | None
    charge_c: ChargeAnswer | None
    delay_s: DelayAnswer
    clipped_share: Number
    course: CourseAnswer
    remarks: tuple[str, ...]


def capture_answer(
    files: tuple[str, ...], source: Recording | None, made: Hooked, reading: CaptureReading
) -> CaptureAnswer:
    """What was understood, as one record; `source` is None where the capture was kept before."""
    capture, calibration, sparks = made.capture, reading.calibration, reading.sparks
    fired = sparks.taken(sparks.fired)
    clipped = max(capture.voltage_clipped, capture.current_clipped)
    accounted = clipped <= CLIPPED_MOST and bool(np.any(np.isfinite(fired.energy_j)))
    return CaptureAnswer(
        schema=SCHEMA,
        files=files,
        form=source.form if source is not None else "kept capture",
        understood=source.understood if source is not None else (),
        channels=_channels(made),
        rate_hz=capture.rate,
        duration_s=capture.duration,
        samples=capture.count,
        segments=int(capture.segments.starts.size),
        generator=calibration.generator,
        measured_from=calibration.measured_from,
        levels=_levels(calibration, zeros_of(made, reading)),
        open_voltage_v=calibration.open_voltage.value,
        burning_voltage_v=calibration.burning_voltage.value,
        current_zero_a=made.zero.at_start if made.zero is not None else None,
        skew_s=made.skew.seconds if made.skew is not None else None,
        skew_uncertainty_s=capture.skew_uncertainty or None,
        sparks=SparksAnswer(count=fired.count, rate_hz=fired.count / capture.duration),
        classes=_classes(reading),
        energy_j=_energy(fired.energy_j, reading) if accounted else None,
        charge_c=ChargeAnswer(total=float(np.nansum(fired.charge_c))) if accounted else None,
        delay_s=_delay(reading),
        clipped_share=clipped,
        course=course_answer(reading, energy_told=accounted),
        remarks=_remarks(made, reading, clipped),
    )


def _channels(made: Hooked) -> tuple[ChannelAnswer, ...]:
    capture = made.capture
    found = [
        ChannelAnswer(
            name=made.voltage_channel,
            quantity="voltage",
            unit="V",
            step=capture.voltage_step,
            samples=capture.voltage.dtype.name,
            clipped_share=capture.voltage_clipped,
            **_ends(capture.voltage, capture.voltage_scale, capture.voltage_offset),
        )
    ]
    if capture.current is not None:
        found.append(
            ChannelAnswer(
                name=made.current_channel,
                quantity="current",
                unit="A",
                step=capture.current_step,
                samples=capture.current.dtype.name,
                clipped_share=capture.current_clipped,
                **_ends(capture.current, capture.current_scale, capture.current_offset),
            )
        )
    return tuple(found)


def _ends(codes: Any, scale: float, offset: float) -> dict[str, float]:
    ends = sorted(scale * float(end) + offset for end in (codes.min(), codes.max()))
    return {"least": ends[0], "greatest": ends[1]}


def zeros_of(made: Hooked, reading: CaptureReading) -> dict[str, Level | None]:
    """Zero of the voltage where it was found, and drifts of both zeros, by key; None where not known."""
    capture, found = made.capture, made.voltage_zero
    shown, drift = None, reading.voltage_drift
    if found is not None:
        shown = Level(value=found.at_start, uncertainty=found.uncertainty, from_="capture")
        if found.drift == capture.voltage_drift:
            drift = Level(value=found.drift, uncertainty=found.drift_uncertainty, from_="capture")
    current: Level | None = None
    if made.zero is not None and made.zero.drift == capture.current_drift:
        current = Level(value=made.zero.drift, uncertainty=made.zero.drift_uncertainty, from_="capture")
    elif capture.current is not None:
        current = Level(value=capture.current_drift, uncertainty=0.0, from_="given")
    return {"voltage_zero_v": shown, "voltage_drift_v_per_s": drift, "current_drift_a_per_s": current}


def _levels(calibration: Calibration, zeros: dict[str, Level | None]) -> dict[str, LevelAnswer]:
    """Levels by key, those that are known."""
    found: dict[str, Level | None] = {
        "open_voltage_v": calibration.open_voltage,
        "burning_voltage_v": calibration.burning_voltage,
        "voltage_noise_v": calibration.voltage_noise,
        "current_noise_a": calibration.current_noise,
        "current_zero_a": calibration.current_zero,
        "time_constant_s": calibration.time_constant,
        "on_time_s": calibration.on_time,
        **zeros,
    }
    return {
        key: LevelAnswer(value=level.value, uncertainty=level.uncertainty, found=level.from_)
        for key, level in found.items()
        if level is not None
    }


def _classes(reading: CaptureReading) -> dict[str, ClassAnswer]:
    found = reading.statistics
    return {
        name: ClassAnswer(count=found.counts[name], time_share=found.time_shares[name])
        for name in CLASS_NAMES
    }


def _energy(energies: Any, reading: CaptureReading) -> EnergyAnswer:
    return EnergyAnswer(
        total=float(np.nansum(energies)),
        median=float(np.nanmedian(energies)),
        skew_share=reading.skew_share,
        zero_share=reading.zero_share,
    )


def _delay(reading: CaptureReading) -> DelayAnswer:
    """Mean delay of the sparks that waited, and the mean that counts waits without a spark as longer."""
    sparks = reading.sparks
    waited = sparks.delay_s[sparks.fired & (sparks.delay_s > 0.0)]
    return DelayAnswer(
        mean=float(waited.mean()) if waited.size else None,
        censored=known(reading.statistics.delay.mean_s),
    )


def _remarks(made: Hooked, reading: CaptureReading, clipped: float) -> tuple[str, ...]:
    """What a person should know beside the numbers."""
    found = []
    if clipped > CLIPPED_MOST:
        found.append(
            f"{clipped:.2%} of the samples stand at an end of the recorder's range, so charge and energy are "
            "not told; record again with a wider range"
        )
    if made.zero is not None and made.zero.drift != 0.0:
        found.append(
            f"the current's zero drifts by {made.zero.drift:.3g} ± {made.zero.drift_uncertainty:.1g} A/s"
            + (": taken out" if made.capture.current_drift == made.zero.drift else ": not taken out, as said")
        )
    return (*found, *reading.notes)
