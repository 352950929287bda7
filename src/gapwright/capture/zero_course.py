"""What the voltage's zero does in the course of a capture, and what that does to the energy."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gapwright.base.units import Number, Seconds
from gapwright.capture.baseline import Rest, Zero, zero_of
from gapwright.capture.calibration import Calibration
from gapwright.capture.classify import Numbers
from gapwright.capture.drift import MAINS, PERIODS, Drift, Hum, calmed, told_drift, told_hum
from gapwright.capture.energy import Scales
from gapwright.capture.levelling import Part, voltage_marks
from gapwright.capture.levels import Level
from gapwright.capture.sparks import SparkTable
from gapwright.capture.waveform import Capture

TOLD_FROM = 0.002
"""Share of the energy from which a drift or a hum is told."""
UNSURE_FROM = 0.005
"""Share of the energy that an unseen drift may leave unsure before it is told."""
REST_FROM = 0.01
"""The same for a rest: ringing, slow probes and the liquid's own volts keep it from 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ZeroCourse:
    """Drift and hum of the voltage's zero, and where it rests between pulses; None where not looked for."""

    span: Seconds
    drift: Drift | None = None
    hum: Hum | None = None
    hum_is_zero: bool = False
    """Whether the zero itself hums, and not the sparks."""
    rest: Zero | None = None

    @property
    def slope(self) -> Number:
        """Volts a second to be taken out."""
        return self.drift.level.value if self.drift is not None and self.drift.level is not None else 0.0

    @property
    def moves(self) -> bool:
        """Whether there is anything to be taken out."""
        return self.slope != 0.0 or self.hum_is_zero

    def volts(self, times: Numbers) -> Numbers:
        """Volts of the zero at times since the first sample, as far as they were told."""
        drifted = self.slope * times
        return drifted + self.hum.at(times) if self.hum is not None and self.hum_is_zero else drifted


def zero_course(
    parts: Sequence[Part], scales: Scales, calibration: Calibration, capture: Capture
) -> ZeroCourse:
    """Course of the voltage's zero, from the rows of a whole capture.

    A drift that was given is not sought again; without a current nothing tells it.
    """
    places = capture.segments
    span = float(places.times[-1]) + int(places.lengths[-1]) / capture.rate
    if calibration.measured_from != "current":
        return ZeroCourse(span=span)
    marks = voltage_marks(parts, scales, calibration, capture)
    rest = next((mark for mark in marks if mark.is_zero and mark.times.size), None)
    hum, hums = told_hum(marks, span)
    if hum is not None:
        marks = tuple(calmed(mark, span, hum.frequency) for mark in marks)
    return ZeroCourse(
        span=span,
        drift=told_drift(marks, span) if capture.voltage_drift is None else None,
        hum=hum,
        hum_is_zero=hums,
        rest=None if rest is None else zero_of(Rest(times=rest.times, values=rest.volts), "", ""),
    )


def at_the_start(calibration: Calibration, course: ZeroCourse) -> Calibration:
    """Levels as they were before the zero drifted: those found in the capture are of its middle."""
    moved = 0.5 * course.slope * course.span
    if moved == 0.0:
        return calibration
    levels = {
        name: replace(level, value=level.value - moved)
        for name in ("open_voltage", "burning_voltage")
        if (level := getattr(calibration, name)).from_ == "capture"
    }
    return replace(calibration, **levels)


@dataclass(frozen=True, slots=True, kw_only=True)
class ZeroEffect:
    """What the voltage's zero leaves unsure of the energy."""

    share: Number = 0.0
    """Standard uncertainty of the total energy from it, as a share; where a drift cannot be told, its all."""
    notes: tuple[str, ...] = ()


def zero_effect(course: ZeroCourse, fired: SparkTable, calibration: Calibration) -> ZeroEffect:
    """Effect of the zero's course on the energy of discharges, as a share and in words."""
    total = float(np.nansum(fired.energy_j))
    if calibration.measured_from != "current" or not total > 0.0:
        return ZeroEffect()
    by_slope = float(np.nansum(fired.charge_c * fired.start_s)) / total
    share, notes = _of_drift(course, by_slope, calibration.burning_voltage.value)
    notes += _of_hum(course, fired, total, calibration) + _of_rest(course, fired, total)
    return ZeroEffect(share=share, notes=notes)


def _of_drift(course: ZeroCourse, by_slope: float, burning: float) -> tuple[float, tuple[str, ...]]:
    found = course.drift
    if found is None:
        return 0.0, ()
    if found.level is None:
        return _of_doubt(course, found.doubt, by_slope, burning)
    drift, unsure = found.level.value, found.level.uncertainty
    share = unsure * abs(by_slope)
    notes: tuple[str, ...] = ()
    if drift != 0.0:
        notes = (
            f"the voltage's zero drifts by {drift:.3g} ± {unsure:.1g} V/s, told by {', '.join(found.marks)}: "
            f"taken out from the start on, which changes the energy by {-drift * by_slope:+.2%}",
        )
    elif share >= UNSURE_FROM:
        notes = (
            "a drift of the voltage's zero that is too small to be seen in a capture like this leaves the "
            f"energy unsure by {share:.1%}; record longer",
        )
    return share, notes


def _of_doubt(
    course: ZeroCourse, doubt: float, by_slope: float, burning: float
) -> tuple[float, tuple[str, ...]]:
    """What a drift does that may be the zero's or the sparks' own."""
    short = course.span < PERIODS / min(MAINS)
    share = abs(doubt) * abs(by_slope)
    if short:
        off = abs(course.rest.at_start) if course.rest is not None else 0.0
        share = (abs(doubt) * course.span + off) / burning
    if share < TOLD_FROM:
        return share, ()
    why = (
        f"a capture shorter than {PERIODS / min(MAINS):g} s does not tell hum of the mains from a drift"
        if short
        else "no other level shows well enough whether the voltage's zero or the sparks did"
    )
    return share, (
        f"the voltage's levels move by {doubt * course.span:.2g} V over the capture, and {why}: if it is the "
        f"zero, the energy is off by up to {share:.1%}; give --voltage-drift if you know it",
    )


def _of_hum(course: ZeroCourse, fired: SparkTable, total: float, calibration: Calibration) -> tuple[str, ...]:
    if course.hum is None:
        return ()
    single = course.hum.amplitude / calibration.burning_voltage.value
    if single < TOLD_FROM:
        return ()
    whole = abs(float(np.nansum(fired.charge_c * course.hum.at(fired.start_s)))) / total
    swing = f"± {course.hum.amplitude:.2g} V at {course.hum.frequency:.3g} Hz"
    if course.hum_is_zero:
        return (
            f"the voltage's zero hums by {swing}: taken out, which changes energies of single sparks by up "
            f"to {single:.1%}, their total by {whole:.2%}",
        )
    return (
        f"the burning voltage swings by {swing}, as hum of the mains on the probe would make it: energies of "
        f"single sparks are off by up to {single:.1%}, their total by {whole:.2%}",
    )


def _of_rest(course: ZeroCourse, fired: SparkTable, total: float) -> tuple[str, ...]:
    """Where a pulse generator's voltage does not rest at 0 between pulses."""
    rest = course.rest
    if rest is None:
        return ()
    effect = rest.at_start * float(np.nansum(fired.charge_c)) / total
    if abs(effect) < REST_FROM or abs(rest.at_start) < 4.0 * rest.uncertainty:
        return ()
    return (
        f"between pulses the voltage rests at {rest.at_start:.2g} V instead of 0 V: if that is the channel's "
        f"zero, the energy is {effect:+.1%} off; give --voltage-zero find to take it out",
    )


def drift_level(course: ZeroCourse, capture: Capture) -> Level | None:
    """Drift of the voltage's zero in volts a second, as given or as found; None where it cannot be told."""
    if capture.voltage_drift is not None:
        return Level(value=capture.voltage_drift, uncertainty=0.0, from_="given")
    return course.drift.level if course.drift is not None else None
