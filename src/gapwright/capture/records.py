"""From rows of the pass to spark records: measures, verdicts, and waits that are events of their own."""

from dataclasses import fields, replace

import numpy as np

from gapwright.capture import _rows_kernel as k
from gapwright.capture import classify as cl
from gapwright.capture._fall_kernel import MEAN
from gapwright.capture.calibration import ON_NOISES, Calibration
from gapwright.capture.energy import (
    Scales,
    charges,
    energies,
    store_charges,
    store_energies,
    volts_of,
    zero_lines,
)
from gapwright.capture.levelling import Place
from gapwright.capture.pulses import pulse_begin
from gapwright.capture.segment import Rows
from gapwright.capture.settings import ReadingSettings
from gapwright.capture.sparks import SparkTable

BEFORE_LAG, AFTER_LAG = 1.0 + 0.5 * k.SMOOTH, 0.5 * (MEAN - 1.0)
"""Samples from the middle of the mean before a fall to the fall, and from its end to the mean after it."""
TINY = 1e-12
"""Least peak of a current that flowed; so a discharge is never taken for a wait. [A]"""
GLITCH_SAMPLES, GLITCH_WIDTH, GLITCH_CHARGE = 3, 0.25, 8.0
"""A discharge this narrow, in samples or in usual widths, is noise unless its charge is so many times that
of noise."""


def discharge_table(
    rows: Rows, scales: Scales, calibration: Calibration, settings: ReadingSettings, place: Place
) -> SparkTable:
    """Spark records of one segment."""
    if calibration.measured_from == "current":
        rows = without_glitches(rows, scales, calibration)
    fired = rows.marks[:, k.M_KIND] == k.DISCHARGE
    table = _fired(rows, fired, scales, calibration, settings)
    parts = [table]
    if calibration.generator == "capacitor":
        table, standing = _standing(rows, fired, table, scales, calibration)
        parts = [table, standing, _waits(rows, scales, calibration)]
    else:
        parts.append(_open_pulses(rows, scales))
    return _in_order(parts, place)


def without_glitches(rows: Rows, scales: Scales, calibration: Calibration) -> Rows:
    """Rows with discharges that are noise taken out, each wait joined to the next."""
    marks = rows.marks
    fired = marks[:, k.M_KIND] == k.DISCHARGE
    width = marks[:, k.M_END] - marks[:, k.M_START]
    usual = float(np.median(width[fired])) if fired.any() else 0.0
    samples = marks[:, k.M_STOP] - marks[:, k.M_FIRST]
    total = rows.sums[:, k.S_I] * scales.current + scales.current_offset * samples
    ground = calibration.edges.on / ON_NOISES * np.sqrt(samples)
    narrow = width <= max(GLITCH_SAMPLES, GLITCH_WIDTH * usual)
    noise = fired & narrow & (total < GLITCH_CHARGE * ground)
    noise[-1:] = False
    if not noise.any():
        return rows
    marks = marks.copy(order="K")
    for row in np.flatnonzero(noise):
        here, after = marks[row], marks[row + 1]
        if here[k.M_READY] >= 0:
            after[[k.M_READY, k.M_RISE]] = here[[k.M_READY, k.M_RISE]]
        after[[k.M_LOWS, k.M_ARCS]] += here[[k.M_LOWS, k.M_ARCS]]
        after[k.M_BEGIN] = here[k.M_BEGIN]
    return Rows(marks=marks.T[:, ~noise].T, sums=rows.sums.T[:, ~noise].T)


def _fired(
    rows: Rows, fired: cl.Claims, scales: Scales, calibration: Calibration, settings: ReadingSettings
) -> SparkTable:
    marks, sums = rows.marks.T[:, fired].T, rows.sums.T[:, fired].T
    own = Rows(marks=marks, sums=sums)
    start, end = marks[:, k.M_START], marks[:, k.M_END]
    burning, remaining = volts_of(sums[:, k.S_BURNING], scales), volts_of(sums[:, k.S_REMAINING], scales)
    breakdown = volts_of(sums[:, k.S_BREAKDOWN], scales)
    unrest = sums[:, k.S_RIPPLE] * scales.voltage
    noise, middle = calibration.voltage_noise.value, np.maximum(0.6 * (end - start), 1.0)
    delay = (start - pulse_begin(marks)) / scales.rate
    features = cl.Features(
        share=(breakdown - calibration.burning_voltage.value) / calibration.span,
        share_spread=_share_spread(calibration),
        burn=burning / calibration.burning_voltage.value,
        burn_spread=noise / np.sqrt(middle) / calibration.burning_voltage.value,
        short_burn=calibration.edges.short / calibration.burning_voltage.value,
        delay=delay,
        width=(end - start) / scales.rate,
        unrest=np.sqrt(np.maximum(unrest**2 - noise**2, 0.0)),
        unrest_spread=np.hypot(unrest, noise) / np.sqrt(middle),
        rate=scales.rate,
    )
    charging = (start - marks[:, k.M_BEGIN]) / scales.rate
    if calibration.generator == "pulse":
        verdicts = cl.pulse_verdicts(features, on_time=_on_time(calibration, features))
    else:
        verdicts = cl.capacitor_verdicts(
            features, dry=settings.dry, blown=_blown(rows, fired, calibration, scales, dry=settings.dry)
        )
        delay = np.where(marks[:, k.M_READY] >= 0, (start - marks[:, k.M_READY]) / scales.rate, 0.0)
    zero = zero_lines(own, scales)
    peak = np.maximum(sums[:, k.S_PEAK] * scales.current + scales.current_offset - zero, TINY)
    charge, energy = charges(own, scales, zero), energies(own, scales, zero)
    if calibration.measured_from == "voltage":
        store = settings.capacitance if settings.capacitance is not None else np.nan
        breakdown, remaining = _at_the_fall(breakdown, remaining, calibration)
        peak = np.full(charge.size, np.nan)
        charge = store_charges(breakdown, remaining, store)
        energy = store_energies(breakdown, remaining, store)
    flags = verdicts.flags | _flags(verdicts.code, charging, charge, calibration) | _cut(marks, rows)
    return SparkTable(
        first=start,
        end=end,
        start_s=start / scales.rate,
        delay_s=delay,
        charging_s=charging,
        breakdown_voltage_v=breakdown,
        burning_voltage_v=burning,
        peak_current_a=peak,
        duration_s=(end - start) / scales.rate,
        charge_c=charge,
        energy_j=energy,
        remaining_voltage_v=remaining,
        ripple_v=features.unrest,
        class_code=verdicts.code,
        confidence=verdicts.confidence,
        reason_code=verdicts.reason,
        flag_bits=flags,
    )


def _at_the_fall(
    before: cl.Numbers, after: cl.Numbers, calibration: Calibration
) -> tuple[cl.Numbers, cl.Numbers]:
    """Voltages at the fall and at its end; those measured are means, of a store that charges meanwhile."""
    if calibration.time_constant is None:
        return before, after
    a_sample = 1.0 / (calibration.rate * calibration.time_constant.value)
    top = calibration.open_voltage.value
    return before + BEFORE_LAG * a_sample * (top - before), after - AFTER_LAG * a_sample * (top - after)


def _share_spread(calibration: Calibration) -> float:
    """Uncertainty of a breakdown voltage on the scale from burning to open."""
    noise = calibration.voltage_noise.value / np.sqrt(k.SMOOTH)
    levels = np.hypot(calibration.open_voltage.uncertainty, calibration.burning_voltage.uncertainty)
    return float(np.hypot(noise, levels) / calibration.span)


def _on_time(calibration: Calibration, features: cl.Features) -> float:
    if calibration.on_time is not None:
        return calibration.on_time.value
    return float(np.max(features.width)) if features.width.size else 0.0


def _charge_time(calibration: Calibration) -> float:
    """Time constant of charging, infinite where it is not known: then no wait is long."""
    return calibration.time_constant.value if calibration.time_constant is not None else np.inf


def _following_lows(rows: Rows, fired: cl.Claims) -> cl.Numbers:
    """Samples below the edge of a short in the wait after each discharge."""
    lows = np.append(rows.marks[1:, k.M_LOWS], 0).astype(np.float64)
    answer: cl.Numbers = lows[fired]
    return answer


def _blown(rows: Rows, fired: cl.Claims, calibration: Calibration, scales: Scales, *, dry: bool) -> cl.Claims:
    """Discharges after which the gap did not stay shorted for longer than charging takes."""
    limit = (cl.BLOWN_CHARGES if dry else cl.STANDING_CHARGES) * _charge_time(calibration)
    answer: cl.Claims = _following_lows(rows, fired) / scales.rate <= limit
    return answer


def _flags(code: cl.Codes, charging: cl.Numbers, charge: cl.Numbers, calibration: Calibration) -> cl.Codes:
    if calibration.generator == "pulse":
        return np.zeros(code.size, dtype=np.int64)
    tau = _charge_time(calibration)
    delayed = (code == cl.NORMAL) & (charging > cl.DELAYED_CHARGES * tau)
    soon = np.isfinite(tau) & (charging < cl.COMPLEX_CHARGES * tau)
    parts = soon & (charge > cl.COMPLEX_SHARE * np.append(np.inf, charge[:-1]))
    return cl.flagged(delayed, cl.Flag.DELAYED) | cl.flagged(parts, cl.Flag.COMPLEX)


def _cut(marks: cl.Codes, rows: Rows) -> cl.Codes:
    """Flag what the ends of the segment cut."""
    flags = np.zeros(len(marks), dtype=np.int64)
    if len(marks):
        total = int(rows.marks[-1, k.M_END])
        flags[(marks[:, k.M_START] == 0) | (marks[:, k.M_END] == total)] = int(cl.Flag.CUT)
    return flags


def _standing(
    rows: Rows, fired: cl.Claims, table: SparkTable, scales: Scales, calibration: Calibration
) -> tuple[SparkTable, SparkTable]:
    """Lengthen shorts by the wait that follows them; waits near zero or burning without one are events."""
    long = cl.STANDING_CHARGES * _charge_time(calibration) * scales.rate
    lows, arcs = rows.marks[:, k.M_LOWS], rows.marks[:, k.M_ARCS]
    shorted, standing = lows > long, arcs > long
    number = np.cumsum(fired) - 1
    before = np.append(-1, number[:-1])
    owner_short = (
        (before >= 0) & (table.class_code[np.maximum(before, 0)] == cl.SHORT) if table.count else before >= 0
    )
    grows = shorted & owner_short & np.append(False, fired[:-1])
    end, duration = table.end.copy(), table.duration_s.copy()
    end[before[grows]] = rows.marks[grows, k.M_BEGIN] + lows[grows]
    duration[before[grows]] = (end[before[grows]] - table.first[before[grows]]) / scales.rate
    alone = (shorted & ~grows) | (standing & ~shorted)
    length = np.where(shorted, lows, arcs)[alone]
    begin = rows.marks[alone, k.M_BEGIN]
    code = np.where(shorted[alone], cl.SHORT, cl.STATIONARY)
    reason = np.where(shorted[alone], cl.R_SHORTED, cl.R_STANDING)
    return replace(table, end=end, duration_s=duration), _without_current(
        begin, begin + length, code, reason, scales
    )


def _waits(rows: Rows, scales: Scales, calibration: Calibration) -> SparkTable:
    """Waits of a capacitor with voltage that were long."""
    marks = rows.marks
    till = np.where(marks[:, k.M_START] > 0, marks[:, k.M_START], marks[:, k.M_END])
    long = cl.OPEN_CHARGES * _charge_time(calibration) * scales.rate
    which = (marks[:, k.M_READY] >= 0) & (till - marks[:, k.M_READY] > long)
    count = np.count_nonzero(which)
    code, reason = np.full(count, cl.OPEN), np.full(count, cl.R_WAITED)
    return _without_current(marks[which, k.M_READY], till[which], code, reason, scales)


def _open_pulses(rows: Rows, scales: Scales) -> SparkTable:
    which = rows.marks[:, k.M_KIND] == k.FALL
    marks = rows.marks[which]
    code, reason = np.full(len(marks), cl.OPEN), np.full(len(marks), cl.R_PULSE_OPEN)
    return _without_current(pulse_begin(marks), marks[:, k.M_END], code, reason, scales)


def _without_current(
    first: cl.Codes, end: cl.Codes, code: cl.Codes, reason: cl.Codes, scales: Scales
) -> SparkTable:
    none, nothing = np.full(first.size, np.nan), np.zeros(first.size)
    return SparkTable(
        first=first,
        end=end,
        start_s=first / scales.rate,
        delay_s=none,
        charging_s=none,
        breakdown_voltage_v=none,
        burning_voltage_v=none,
        peak_current_a=nothing,
        duration_s=(end - first) / scales.rate,
        charge_c=nothing,
        energy_j=nothing,
        remaining_voltage_v=none,
        ripple_v=none,
        class_code=code,
        confidence=np.ones(first.size),
        reason_code=reason,
        flag_bits=np.zeros(first.size, dtype=np.int64),
    )


def joined(parts: list[SparkTable]) -> SparkTable:
    """One table of several."""
    names = [each.name for each in fields(SparkTable)]
    return SparkTable(**{name: np.concatenate([getattr(part, name) for part in parts]) for name in names})


def _in_order(parts: list[SparkTable], place: Place) -> SparkTable:
    """Events of a segment in the order of time, counted from the start of the capture."""
    whole = joined(parts)
    whole = whole.taken(np.argsort(whole.first, kind="stable"))
    return replace(
        whole,
        first=whole.first + place.first,
        end=whole.end + place.first,
        start_s=whole.start_s + place.time,
    )
