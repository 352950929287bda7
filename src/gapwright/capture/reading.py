"""What a capture says: calibration, spark records, statistics and their meaning in words."""

from dataclasses import dataclass, replace

import numpy as np

from gapwright.base.progress import Progress, silent
from gapwright.base.units import Number
from gapwright.capture.calibration import Calibration, calibrated
from gapwright.capture.classify import UNREST_RATE, Flag, flagged
from gapwright.capture.energy import scales_of, skew_effect
from gapwright.capture.levelling import Part, Place, levelled
from gapwright.capture.levels import APART, Level
from gapwright.capture.meaning import Remark, meaning
from gapwright.capture.records import discharge_table, joined
from gapwright.capture.segment import Runner, segmented, stretch_of
from gapwright.capture.settings import AS_FOUND, ReadingSettings
from gapwright.capture.sparks import SparkTable
from gapwright.capture.statistics import CaptureStatistics, capture_statistics
from gapwright.capture.voltage_only import calibrated_by_voltage, voltage_rows
from gapwright.capture.waveform import Capture
from gapwright.capture.zero_course import ZeroCourse, at_the_start, drift_level, zero_course, zero_effect

HIDDEN_SHARE = 0.1
"""A threshold above this share of the median peak is told."""
RISE_OF_BANDWIDTH, RISES = 0.35, 5.0
"""Rise time times bandwidth of a sensor with one pole; and rises that a discharge must last to be seen."""
CLIPPED = 1e-5
"""Share of clipped samples that is told."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CaptureReading:
    """All that was understood of a capture."""

    calibration: Calibration
    sparks: SparkTable
    statistics: CaptureStatistics
    meaning: tuple[Remark, ...]
    notes: tuple[str, ...]
    """How the answer was come by, and what it cannot say."""
    skew_share: Number = 0.0
    """Share by which all energies may be off together, from the skew that is left."""
    voltage_drift: Level | None = None
    """Of the voltage's zero, in volts a second; None where it cannot be told."""
    zero_share: Number = 0.0
    """Share by which all energies may be off together, from that drift."""


def spark_records(
    capture: Capture,
    calibration: Calibration,
    settings: ReadingSettings = AS_FOUND,
    *,
    run: Runner = map,
    progress: Progress = silent,
) -> SparkTable:
    """Spark records of a capture whose levels are known."""
    return _records(capture, calibration, settings, run=run, progress=progress)[0]


def _records(
    capture: Capture, calibration: Calibration, settings: ReadingSettings, *, run: Runner, progress: Progress
) -> tuple[SparkTable, Calibration, ZeroCourse]:
    """Spark records, levels as at the start of the capture, and the course of the voltage's zero."""
    zero = calibration.current_zero.value if calibration.current_zero is not None else 0.0
    scales, places = scales_of(capture, zero), capture.segments
    parts: list[Part] = []
    known = capture.voltage_drift or 0.0
    for number in range(places.starts.size):
        if calibration.measured_from == "current":
            stretch = stretch_of(capture, number, calibration.edges)
            rows = segmented(stretch, pieces=settings.threads, run=run, progress=progress)
        else:
            rows = voltage_rows(capture, number, calibration.edges, calibration.voltage_noise.value, progress)
        count = int(places.lengths[number])
        place = Place(first=int(places.starts[number]), time=float(places.times[number]), count=count)
        if known or capture.current_drift:
            rows = levelled((rows, place), scales, volts=lambda t: known * t, amperes=capture.current_drift)
        parts.append((rows, place))
    course = zero_course(parts, scales, calibration, capture)
    calibration = at_the_start(calibration, course)
    if course.moves:
        parts = [(levelled(part, scales, volts=course.volts), part[1]) for part in parts]
    tables = [discharge_table(rows, scales, calibration, settings, place) for rows, place in parts]
    return with_clipped(joined(tables), capture, calibration, zero), calibration, course


def with_clipped(sparks: SparkTable, capture: Capture, calibration: Calibration, zero: float) -> SparkTable:
    """Spark records in which those that reached the end of the recorder's range are flagged."""
    if capture.current is None or capture.current_clipped == 0.0 or calibration.current_noise is None:
        return sparks
    ends = np.array([capture.current.min(), capture.current.max()], dtype=np.float64)
    top = float(np.max(ends * capture.current_scale + capture.current_offset)) - zero
    near = max(capture.current_step, 2.0 * calibration.current_noise.value)
    reached = flagged(sparks.peak_current_a >= top - near, Flag.CLIPPED)
    return replace(sparks, flag_bits=sparks.flag_bits | reached)


def understand(
    capture: Capture,
    settings: ReadingSettings = AS_FOUND,
    *,
    run: Runner = map,
    progress: Progress = silent,
) -> CaptureReading:
    """Read a capture: find its levels, cut it into sparks, classify and account each.

    Parameters
    ----------
    capture
        Samples with their meaning.
    settings
        What is known beforehand.
    run
        How pieces are run: `map`, or the like of a pool of threads.
    progress
        Hears how far the pass is.
    """
    known = calibrated if capture.current is not None else calibrated_by_voltage
    calibration = known(capture, settings)
    sparks, calibration, course = _records(capture, calibration, settings, run=run, progress=progress)
    pulses = calibration.generator == "pulse"
    found = capture_statistics(sparks, duration=capture.duration, pulses=pulses, window=settings.window)
    fired = sparks.taken(sparks.fired)
    zero = calibration.current_zero.value if calibration.current_zero is not None else 0.0
    effect = zero_effect(course, fired, calibration)
    return CaptureReading(
        voltage_drift=drift_level(course, capture),
        zero_share=effect.share,
        skew_share=skew_effect(capture, zero, starts=fired.first, ends=fired.end),
        calibration=calibration,
        sparks=sparks,
        statistics=found,
        meaning=meaning(found, calibration, settings.turning),
        notes=notes_on(capture, calibration, settings)
        + effect.notes
        + hidden_by_noise(sparks, calibration)
        + slowed_by_probe(fired, capture.current_bandwidth),
    )


def slowed_by_probe(fired: SparkTable, bandwidth: float | None) -> tuple[str, ...]:
    """What the bandwidth of shunt or clamp hides of discharges as short as these."""
    if bandwidth is None or not fired.count:
        return ()
    usual, rise = float(np.median(fired.duration_s)), RISE_OF_BANDWIDTH / bandwidth
    if usual >= RISES * rise:
        return ()
    return (
        f"a current sensed with {bandwidth:.3g} Hz takes {rise:.2g} s to rise, but half of the discharges "
        f"last less than {usual:.2g} s: peaks come out too low and durations too long; charge holds, energy "
        "is unsure",
    )


def hidden_by_noise(sparks: SparkTable, calibration: Calibration) -> tuple[str, ...]:
    """Which discharges the noise hides, where it hides some that matter."""
    peaks = sparks.peak_current_a[sparks.peak_current_a > 0.0]
    if not peaks.size or calibration.edges.on < HIDDEN_SHARE * float(np.median(peaks)):
        return ()
    on = calibration.edges.on
    return (f"noise hides currents below {on:.3g} A: weaker discharges are not counted, nor their energy",)


def notes_on(capture: Capture, calibration: Calibration, settings: ReadingSettings) -> tuple[str, ...]:
    """What limits a reading, in words."""
    notes = []
    if calibration.measured_from == "voltage":
        notes.append("no current was recorded: discharges are falls of the voltage")
        notes.append(
            "charge and energy are what the store gave, the leads' share in them"
            if settings.capacitance is not None
            else "charge and energy are not known; give the store's capacitance"
        )
    if calibration.looks_like != calibration.generator:
        notes.append(
            f"read as said, as of a {calibration.generator} generator, but the voltage rises as that of a "
            f"{calibration.looks_like} one does: check the rig or --generator"
        )
    if not calibration.all_classes:
        notes.append(
            f"open voltage is below {APART:g} times burning voltage: normal, partial and arcs "
            "are hardly told apart, shorts and contacts are"
        )
    if capture.current is not None and capture.current_clipped > CLIPPED:
        notes.append(
            f"{100 * capture.current_clipped:.2g} % of the current is clipped: charge and energy are too low"
        )
    if calibration.generator == "pulse" and calibration.rate < UNREST_RATE:
        notes.append("sampled too slowly to see the unrest of the burning voltage: kinds of arcs are unsure")
    if calibration.generator == "capacitor" and calibration.time_constant is None:
        notes.append("no time constant of charging could be found: standing shorts and waits are not told")
    return tuple(notes)
