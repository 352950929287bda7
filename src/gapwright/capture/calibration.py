"""The levels of one capture, found or given, and the edges that follow from them."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.capture import _rows_kernel as k
from gapwright.capture import levels as lv
from gapwright.capture.levels import Level
from gapwright.capture.pulses import form_of, on_time
from gapwright.capture.segment import BACK, Edges, Rows, segmented, stretch_of
from gapwright.capture.settings import GeneratorForm, ReadingSettings
from gapwright.capture.waveform import Capture, Segments

USUAL_BURNING, USUAL_DRY_BURNING = 22.0, 13.0
"""Burning voltages where none shows: in oil, and between metals in air. From memory. [V]"""
ON_NOISES, OFF_NOISES = 4.0, 2.5
"""A current above so many noises begins a discharge (two samples in a row); below so many it is over."""
ON_SHARE, OFF_SHARE = 0.01, 0.005
"""The same for a capture without noise, as shares of the usual peak."""
LEAST_SAMPLES = 5
"""Samples in the median discharge, below which its charge and energy cannot be had."""
LONG_CHARGES, LONG_DRY_CHARGES, NEVER = 2.0, 0.5, 1 << 40
"""A wait without voltage of more charging times is looked at for a short; in samples, one never reached."""
SHORT_SHARE, DRY_SHORT_SHARE = 0.45, 0.25
"""Voltage of a short over the burning voltage, at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """Levels of a capture, each with its uncertainty and where it came from."""

    open_voltage: Level
    burning_voltage: Level
    voltage_noise: Level
    current_noise: Level | None
    current_zero: Level | None
    time_constant: Level | None
    """Of charging; None for a pulse generator."""
    on_time: Level | None
    """None for a capacitor generator."""
    generator: GeneratorForm
    looks_like: GeneratorForm
    """What the rise of the voltage says the generator is; `generator` where too little is seen of it."""
    measured_from: Literal["current", "voltage"]
    edges: Edges
    rate: float

    @property
    def span(self) -> float:
        """Volts from burning to open voltage."""
        return self.open_voltage.value - self.burning_voltage.value

    @property
    def all_classes(self) -> bool:
        """Whether open and burning voltage are far enough apart to tell all classes."""
        return self.open_voltage.value >= lv.APART * self.burning_voltage.value


def short_level(burning: float, noise: float, *, dry: bool) -> float:
    """Voltage in volts below which a gap is shorted."""
    if dry:
        return max(3.0, DRY_SHORT_SHARE * burning, 3.0 * noise)
    return max(SHORT_SHARE * burning, 3.0 * noise)


def edges_between(top: float, burning: float, noise: float, *, dry: bool) -> Edges:
    """Edges of the voltage, for the current to be filled in."""
    span = top - burning
    return Edges(
        ready=burning + 0.5 * span,
        unready=burning + 0.35 * span,
        short=short_level(burning, noise, dry=dry),
        arc_from=0.6 * burning,
        arc_to=1.4 * burning,
        on=0.0,
        off=0.0,
    )


def calibrated(capture: Capture, settings: ReadingSettings) -> Calibration:
    """Levels of a capture that has a current.

    Raises
    ------
    InputRefused
        If a level neither shows nor is given, if open and burning voltage cannot be told
        apart, or if discharges are shorter than the sampling allows.
    """
    windows = lv.windows_of(capture)
    zero, i_spread = lv.current_zero(windows, capture.current_step)
    i_noise = noise_level(settings.current_noise, i_spread)
    v_spread = lv.voltage_noise(windows, zero=zero, noise=i_noise.value, step=capture.voltage_step)
    v_noise = noise_level(settings.voltage_noise, v_spread)
    rough = lv.burning_level(windows, zero=zero, noise=i_noise.value, least=max(3.0, 6.0 * v_noise.value))
    burning = lv.given_or(settings.burning_voltage, rough, "burning_voltage", "V")
    top = _open_level(
        windows, settings, zero=zero, burning=burning.value, noise=(v_noise.value, i_noise.value)
    )
    lv.refuse_if_alike(top, burning, v_noise.value, settings)
    edges = edges_between(top.value, burning.value, v_noise.value, dry=settings.dry)
    edges = with_current(edges, windows, zero, i_noise.value)
    sample = _sample(capture, edges)
    refuse_short_pulses(sample, capture)
    burning = _refined_burning(sample, capture, settings, burning, edges)
    looks_like = form_of(sample, settings.generator)
    form = settings.generator or looks_like
    tau = time_constant(sample, capture, settings, top.value, edges) if form == "capacitor" else None
    return Calibration(
        open_voltage=top,
        burning_voltage=burning,
        voltage_noise=v_noise,
        current_noise=i_noise,
        current_zero=Level(
            value=zero, uncertainty=i_noise.value / np.sqrt(windows.volts.size), from_="capture"
        ),
        time_constant=tau,
        on_time=on_time(sample, capture.rate, settings.on_time) if form == "pulse" else None,
        generator=form,
        looks_like=looks_like,
        measured_from="current",
        edges=replace(
            _fitted(edges, sample, top.value, burning.value, v_noise.value, dry=settings.dry),
            long=_long(tau, capture.rate, dry=settings.dry),
            back=BACK if form == "pulse" else 0,
        ),
        rate=capture.rate,
    )


def _long(tau: Level | None, rate: float, *, dry: bool) -> int:
    """Samples of a wait without voltage from which it is looked at for a short."""
    if tau is None:
        return NEVER
    return int((LONG_DRY_CHARGES if dry else LONG_CHARGES) * tau.value * rate)


def noise_level(given: float | None, found: float) -> Level:
    """Noise that was given, else the one that was found, which is good to a tenth."""
    if given is not None:
        return Level(value=given, uncertainty=0.0, from_="given")
    return Level(value=found, uncertainty=0.1 * found, from_="capture")


def _open_level(
    windows: lv.Windows, settings: ReadingSettings, *, zero: float, burning: float, noise: tuple[float, float]
) -> Level:
    """Open voltage: given, or where the quiet gap stays, or where charging would end."""
    if settings.open_voltage is not None or windows.amperes is None:
        return lv.given_or(settings.open_voltage, None, "open_voltage", "V")
    quiet = np.abs(windows.amperes - zero) < 4.0 * noise[1]
    calm = windows.volts[quiet]
    if calm.size < lv.ENOUGH:
        return lv.given_or(None, None, "open_voltage", "V")
    top, share = lv.plateau(calm, noise[0])
    found = (top, noise[0] / np.sqrt(max(share * calm.size, 1.0)))
    if share < lv.PLATEAU_SHARE and top > burning:
        end = lv.charging_end(windows.volts, quiet, low=burning + 0.2 * (top - burning), high=top)
        if end is not None and top < end[0] < 1.7 * top and end[1] < 0.1 * end[0]:
            found = end
    return lv.given_or(None, found, "open_voltage", "V")


def with_current(edges: Edges, windows: lv.Windows, zero: float, noise: float) -> Edges:
    """Fill in where a current begins and ends."""
    if windows.amperes is None:
        return edges
    large = windows.amperes[windows.amperes - zero > 6.0 * noise] - zero
    usual = float(np.quantile(large, 0.9)) if large.size else 0.0
    on, off = max(ON_NOISES * noise, ON_SHARE * usual), max(OFF_NOISES * noise, OFF_SHARE * usual)
    return replace(edges, zero=zero, on=on, off=off)


def _sample(capture: Capture, edges: Edges) -> Rows:
    """Rows of stretches spread over the capture, each complete in itself."""
    found = []
    lengths = capture.segments.lengths
    for number in np.argsort(-lengths)[:8]:
        stretch = stretch_of(_first_part(capture, int(number)), 0, edges)
        found.append(segmented(stretch))
    marks = np.concatenate([rows.marks for rows in found])
    return Rows(marks=marks, sums=np.concatenate([rows.sums for rows in found]))


SAMPLE = 1 << 20
"""Samples of each segment that the rough pass looks at."""


def _first_part(capture: Capture, number: int) -> Capture:
    """Middle part of one segment as a capture of its own."""
    start, length = int(capture.segments.starts[number]), int(capture.segments.lengths[number])
    count = min(length, SAMPLE)
    a = start + (length - count) // 2
    if capture.current is None:
        raise TypeError("this pass needs a current")
    return replace(
        capture,
        voltage=capture.voltage[a : a + count],
        current=capture.current[a : a + count],
        segments=Segments(
            starts=np.zeros(1, dtype=np.int64),
            lengths=np.array([count]),
            times=capture.times(np.array([a])),
        ),
    )


def refuse_short_pulses(rows: Rows, capture: Capture) -> None:
    """Refuse a capture whose discharges are shorter than the sampling allows.

    Raises
    ------
    InputRefused
        If the median discharge has fewer than five samples.
    """
    fired = rows.marks[rows.marks[:, k.M_KIND] == k.DISCHARGE]
    if not len(fired):
        return
    width = float(np.median(fired[:, k.M_END] - fired[:, k.M_START]))
    if width < LEAST_SAMPLES:
        raise InputRefused(
            f"a discharge must last at least {LEAST_SAMPLES} samples, got a median of {width:g} at "
            f"{capture.rate:g} Hz; record at {capture.rate * 2 * LEAST_SAMPLES / width:.2g} Hz or more"
        )


def _refined_burning(
    rows: Rows, capture: Capture, settings: ReadingSettings, rough: Level, edges: Edges
) -> Level:
    """Median over good sparks of the voltage in the middle of the burn."""
    if settings.burning_voltage is not None:
        return rough
    volts = rows.sums[:, k.S_BURNING] * abs(capture.voltage_scale) + _offset(capture)
    good = (rows.marks[:, k.M_KIND] == k.DISCHARGE) & (rows.marks[:, k.M_READY] >= 0) & (volts > edges.short)
    if np.count_nonzero(good) < lv.ENOUGH:
        return rough
    middle = float(np.median(volts[good]))
    spread = lv.SIGMA * float(np.median(np.abs(volts[good] - middle)))
    return Level(value=middle, uncertainty=spread / np.sqrt(np.count_nonzero(good)), from_="capture")


def _offset(capture: Capture) -> float:
    """Volts at code 0 of the upright codes."""
    if capture.voltage_scale > 0 or capture.voltage.dtype.kind == "f":
        return capture.voltage_offset
    return capture.voltage_offset + capture.voltage_scale


def time_constant(
    rows: Rows, capture: Capture, settings: ReadingSettings, top: float, edges: Edges
) -> Level | None:
    """Time constant of charging, from how long the voltage took to halfway."""
    if settings.time_constant is not None:
        return Level(value=settings.time_constant, uncertainty=0.0, from_="given")
    marks, place = rows.marks, chargings(rows)
    if place.size < 3:
        return None
    left = rows.sums[place - 1, k.S_REMAINING] * abs(capture.voltage_scale) + _offset(capture)
    usual = left < edges.ready
    took = (marks[place, k.M_READY] - marks[place - 1, k.M_STOP])[usual] / capture.rate
    each = took / np.log((top - left[usual]) / (top - edges.ready))
    if not each.size:
        return None
    middle = float(np.median(each))
    spread = lv.SIGMA * float(np.median(np.abs(each - middle)))
    return Level(value=middle, uncertainty=spread / np.sqrt(each.size), from_="capture")


def chargings(rows: Rows) -> NDArray[np.intp]:
    """Rows in which a store was charged up after a discharge, and did not stand shorted meanwhile."""
    marks = rows.marks
    after = np.zeros(len(marks), dtype=bool)
    after[1:] = (
        (marks[:-1, k.M_KIND] == k.DISCHARGE)
        & (marks[1:, k.M_READY] >= 0)
        & (marks[1:, k.M_LOWS] < marks[1:, k.M_READY] - marks[1:, k.M_BEGIN])
    )
    return np.flatnonzero(after)


def _fitted(edges: Edges, rows: Rows, top: float, burning: float, noise: float, *, dry: bool) -> Edges:
    """Edges for the whole pass: refined levels, and a grace that fits how long discharges last."""
    fired = rows.marks[rows.marks[:, k.M_KIND] == k.DISCHARGE]
    width = float(np.median(fired[:, k.M_END] - fired[:, k.M_START])) if len(fired) else 100.0
    fine = edges_between(top, burning, noise, dry=dry)
    grace = int(np.clip(0.4 * width, 8, 64))
    return replace(
        fine, zero=edges.zero, on=edges.on, off=edges.off, grace=grace, usual=int(min(width, 1 << 20))
    )
