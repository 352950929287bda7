"""A capture without a current: levels and rows of a capacitor generator from its voltage alone.

Charge and energy are what the store gave between two voltages, so they need
its capacitance and hold the leads' share. A pulse generator has no store:
its captures need a current.
"""

from dataclasses import replace

import numpy as np

from gapwright.base.errors import InputRefused
from gapwright.base.progress import Progress, silent
from gapwright.capture import _rows_kernel as k
from gapwright.capture import levels as lv
from gapwright.capture._fall_kernel import cut_off, find_falls
from gapwright.capture.calibration import (
    USUAL_BURNING,
    USUAL_DRY_BURNING,
    Calibration,
    edges_between,
    noise_level,
    refuse_short_pulses,
    time_constant,
)
from gapwright.capture.levels import Level
from gapwright.capture.segment import ROOM, STEP, Edges, Rows
from gapwright.capture.settings import ReadingSettings
from gapwright.capture.waveform import Capture, upright

ARM_SHARE, ARM_NOISES = 0.04, 4.0
"""The gap is armed this far above burning, in shares of open less burning or in noises."""
FALL_SHARE, FALL_NOISES = 0.3, 5.0
"""A discharge is a fall by this share of what stood above burning, or by so many noises."""


def armed_from(edges: Edges, noise: float) -> float:
    """Voltage above which a fall is looked for."""
    burning = 0.5 * (edges.arc_from + edges.arc_to)
    return burning + max(ARM_SHARE * 2.0 * (edges.ready - burning), ARM_NOISES * noise)


def voltage_rows(
    capture: Capture, number: int, edges: Edges, noise: float, progress: Progress = silent
) -> Rows:
    """Rows of one segment from its voltage."""
    start = int(capture.segments.starts[number])
    stop = start + int(capture.segments.lengths[number])
    v, scale, offset = upright(capture.voltage[start:stop], capture.voltage_scale, capture.voltage_offset)
    burning = 0.5 * (edges.arc_from + edges.arc_to)
    volts = [armed_from(edges, noise), burning]
    bands = [edges.short, edges.arc_from, edges.arc_to]
    codes = [(each - offset) / scale for each in (*volts, *bands)]
    levels = np.array([*codes[:2], FALL_NOISES * noise / scale, FALL_SHARE, *codes[2:]])
    state = np.zeros(k.STATE, dtype=np.int64)
    kept, why = [], k.REACHED
    while why == k.FULL or int(state[k.POSITION]) < v.size:
        marks, sums = np.zeros((ROOM, k.MARKS), np.int64), np.zeros((ROOM, k.SUMS))
        why = find_falls(v, levels, state, marks, sums, min(int(state[k.POSITION]) + STEP, v.size))
        rows = int(state[k.ROWS])
        kept.append((marks[:rows].copy(), sums[:rows].copy()))
        state[k.ROWS] = 0
        if not progress(int(state[k.POSITION]), v.size, "sparks"):
            raise KeyboardInterrupt
    last = np.zeros((1, k.MARKS), np.int64)
    if cut_off(v, levels, state, last[0]):
        kept.append((last, np.zeros((1, k.SUMS))))
    return Rows(marks=np.concatenate([m for m, _ in kept]), sums=np.concatenate([s for _, s in kept]))


def calibrated_by_voltage(capture: Capture, settings: ReadingSettings) -> Calibration:
    """Levels of a capture that has no current.

    Raises
    ------
    InputRefused
        If the generator gives pulses, or if open and burning voltage cannot be told apart.
    """
    if settings.generator == "pulse":
        raise InputRefused(
            "a capture of a pulse generator must hold a current, got voltage alone; record the current too"
        )
    windows = lv.windows_of(capture)
    noise = noise_level(settings.voltage_noise, lv.fast_noise(windows.volts, capture.voltage_step))
    top = _top(windows, settings, noise.value)
    guess = settings.burning_voltage or (USUAL_DRY_BURNING if settings.dry else USUAL_BURNING)
    burning = Level(
        value=guess, uncertainty=0.1 * guess, from_="given" if settings.burning_voltage else "usual"
    )
    lv.refuse_if_alike(top, burning, noise.value, settings)
    edges = edges_between(top.value, burning.value, noise.value, dry=settings.dry)
    sample = voltage_rows(capture, int(np.argmax(capture.segments.lengths)), edges, noise.value)
    refuse_short_pulses(sample, capture)
    armed = replace(edges, ready=armed_from(edges, noise.value))
    if settings.burning_voltage is None:
        burning = _seen_burning(sample, capture, burning, edges.short)
        lv.refuse_if_alike(top, burning, noise.value, settings)
    return Calibration(
        open_voltage=top,
        burning_voltage=burning,
        voltage_noise=noise,
        current_noise=None,
        current_zero=None,
        time_constant=time_constant(sample, capture, settings, top.value, armed),
        on_time=None,
        generator="capacitor",
        looks_like="capacitor",
        measured_from="voltage",
        edges=edges_between(top.value, burning.value, noise.value, dry=settings.dry),
        rate=capture.rate,
    )


def _top(windows: lv.Windows, settings: ReadingSettings, noise: float) -> Level:
    """Open voltage from where the gap stays at most, or from where charging would end."""
    if settings.open_voltage is not None:
        return lv.given_or(settings.open_voltage, None, "open_voltage", "V")
    volts = windows.volts
    top, share = lv.plateau(volts.ravel(), noise)
    found = (top, noise / float(np.sqrt(max(share * volts.size, 1.0))))
    if share < lv.PLATEAU_SHARE:
        every = np.ones(volts.shape, dtype=bool)
        end = lv.charging_end(volts, every, low=0.5 * top, high=top)
        if end is not None and top < end[0] < 1.7 * top and end[1] < 0.1 * end[0]:
            found = end
    return lv.given_or(None, found, "open_voltage", "V")


def _seen_burning(rows: Rows, capture: Capture, usual: Level, short: float) -> Level:
    """Median over the falls of the voltage in the middle of the burn; the usual one where few show it."""
    _, scale, offset = upright(capture.voltage[:1], capture.voltage_scale, capture.voltage_offset)
    volts = rows.sums[rows.marks[:, k.M_KIND] == k.DISCHARGE, k.S_BURNING] * scale + offset
    volts = volts[volts > short]
    if volts.size < lv.ENOUGH:
        return usual
    middle = float(np.median(volts))
    spread = lv.SIGMA * float(np.median(np.abs(volts - middle)))
    return Level(value=middle, uncertainty=spread / float(np.sqrt(volts.size)), from_="capture")
