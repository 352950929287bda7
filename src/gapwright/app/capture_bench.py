"""What the page of captures shows of one that was read: its sight, curves, and itself beside a forecast."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.app.capture_answer import CaptureAnswer
from gapwright.app.capture_pictures import delay_curve
from gapwright.app.captures import CaptureInHand
from gapwright.app.drawing import Array, FlowDrawing, array, flow_drawing
from gapwright.app.measured import ledger_of_capture
from gapwright.app.wording import banded_text, counted, quantity_text, share_text
from gapwright.base.errors import InputRefused
from gapwright.capture.classify import CLASS_NAMES
from gapwright.study.measured_ledger import MeasuredLedger, MeterReadings
from gapwright.study.outcome import Banded, Forecast

BINS = 48
"""Columns of a histogram of energies."""
SPREAD = (0.002, 0.998)
"""Part of the energies that a histogram covers; a few far ones would press the rest together."""

Shares = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class DelaySight:
    """Share of sparks that had not struck yet against the time with voltage, and laws fitted to it."""

    time_s: Array
    share: Array
    mean_s: float
    two_weibull: Array | None
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergySight:
    """How energies of discharges are spread: counts between edges that grow by a steady factor."""

    edge_j: Array
    count: Array
    sparks: int
    median_j: float
    beyond: int
    """Discharges outside of the edges."""
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SegmentSight:
    """A stretch without a gap in time: its first sample, and when that was."""

    sample: int
    time_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptureSight:
    """A capture that was read, as a page shows it; `classes` are all there are, in order."""

    headline: str
    says: str
    classes: tuple[str, ...]
    answer: CaptureAnswer
    segments: tuple[SegmentSight, ...]
    delay: DelaySight | None
    energies: EnergySight | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """One number that was measured beside the same of the forecast; `within` where its band holds it."""

    name: str
    measured: str
    forecast: str
    band: str
    within: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerSight:
    """Measured account, drawn as the rig's own is, with the forecast's beside it where there is one."""

    ledger: MeasuredLedger
    flow: FlowDrawing
    forecast: FlowDrawing | None


MOST_SEGMENTS = 200


def capture_sight(found: CaptureInHand) -> CaptureSight:
    """A capture that was read, as a page shows it."""
    answer, parts = found.answer, found.capture.segments
    return CaptureSight(
        headline=answer.course.meaning[0].text,
        says=_says(answer),
        classes=CLASS_NAMES,
        answer=answer,
        segments=tuple(
            SegmentSight(sample=int(sample), time_s=float(time))
            for sample, time in zip(parts.starts[:MOST_SEGMENTS], parts.times[:MOST_SEGMENTS], strict=True)
        ),
        delay=_delay(found),
        energies=energy_sight(found, frozenset()),
    )


def _says(answer: CaptureAnswer) -> str:
    """What was recorded, in one or two sentences."""
    sparks = counted(answer.sparks.count, "spark", "sparks")
    lasted, rate = quantity_text(answer.duration_s, "s"), quantity_text(answer.sparks.rate_hz, "Hz")
    told = f"{sparks} in {lasted}, {rate}"
    if answer.energy_j is not None:
        told += f", half of them below {quantity_text(answer.energy_j.median, 'J')}"
    events = sum(each.count for each in answer.classes.values())
    shares = [
        f"{share_text(each.count / events)} {name}"
        for name, each in sorted(answer.classes.items(), key=lambda item: -item[1].count)
        if each.count
    ]
    return f"{told}. Of all events: {', '.join(shares)}." if shares else f"{told}."


def _delay(found: CaptureInHand) -> DelaySight | None:
    curve = delay_curve(found)
    if curve is None:
        return None
    fits = found.answer.course.delay_fits
    best = min(fits, key=lambda fit: fit.distance, default=None)
    says = f"Mean delay {quantity_text(curve.mean, 's')}, waits without a spark counted as longer."
    if best is not None:
        says += f" Nearest is the law {best.law}: never further off than {share_text(best.distance)}."
    return DelaySight(
        time_s=array(curve.times),
        share=array(curve.shares),
        mean_s=curve.mean,
        two_weibull=None if curve.fitted is None else array(curve.fitted),
        says=says,
    )


def codes_of(classes: frozenset[str]) -> frozenset[int]:
    """Codes of classes by their names; of all of them where none is named.

    Raises
    ------
    InputRefused
        If there is no class of a name.
    """
    unknown = next((name for name in sorted(classes) if name not in CLASS_NAMES), None)
    if unknown is not None:
        raise InputRefused(f"a class must be one of {', '.join(CLASS_NAMES)}, got {unknown[:60]!r}")
    return frozenset(code for code, name in enumerate(CLASS_NAMES) if not classes or name in classes)


def is_among(codes: NDArray[np.int64], wanted: frozenset[int]) -> NDArray[np.bool_]:
    """Which events are of the wanted classes."""
    table = np.zeros(len(CLASS_NAMES), dtype=bool)
    table[list(wanted)] = True
    answer: NDArray[np.bool_] = table[codes]
    return answer


def energy_sight(found: CaptureInHand, classes: frozenset[str]) -> EnergySight | None:
    """How the energies of discharges of some classes are spread; None where no energy is told."""
    sparks, wanted = found.reading.sparks, codes_of(classes)
    if found.answer.energy_j is None:
        return None
    values = sparks.energy_j[sparks.fired & is_among(sparks.class_code, wanted)]
    values = values[np.isfinite(values) & (values > 0.0)]
    if not values.size:
        return None
    low, high = (float(end) for end in np.quantile(values, SPREAD))
    edges = np.geomspace(0.9 * low, 1.1 * high, BINS + 1)
    counts, _ = np.histogram(values, bins=edges)
    median = float(np.median(values))
    return EnergySight(
        edge_j=array(edges),
        count=array(counts.astype(np.float64)),
        sparks=int(values.size),
        median_j=median,
        beyond=int(values.size - counts.sum()),
        says=f"Half of {counted(values.size, 'spark', 'sparks')} below {quantity_text(median, 'J')}.",
    )


def beside_forecast(answer: CaptureAnswer, forecast: Forecast) -> tuple[Beside, ...]:
    """Numbers that were measured beside the forecast's of the same rig."""
    sparks = forecast.sparks
    rows = [_beside("sparks a second", answer.sparks.rate_hz, sparks.rate_hz, "Hz")]
    if answer.energy_j is not None and answer.sparks.count:
        mean = answer.energy_j.total / answer.sparks.count
        rows.append(_beside("mean energy of a spark", mean, sparks.energy_j, "J"))
        power = answer.energy_j.total / answer.duration_s
        rows.append(_plain("power in the gap", quantity_text(power, "W"), ""))
    for name in CLASS_NAMES:
        here, there = answer.classes[name], sparks.classes.get(name)
        if here.count or (there is not None and there.time_share > 0.0):
            share = "" if there is None else share_text(there.time_share)
            rows.append(_plain(f"time {_state(name)}", share_text(here.time_share), share))
    return tuple(rows)


def _state(name: str) -> str:
    """A class as what the gap spends time in."""
    return {"open": "open", "short": "shorted"}.get(
        name, f"in {name} sparks" if "arc" not in name else f"in {name}s"
    )


def _beside(name: str, measured: float, forecast: Banded, unit: str) -> Beside:
    text = banded_text(forecast, unit)
    low, high = forecast.low, forecast.high
    within = None if low is None or high is None else low <= measured <= high
    return Beside(
        name=name,
        measured=quantity_text(measured, unit),
        forecast=text.middle,
        band=text.band,
        within=within,
    )


def _plain(name: str, measured: str, forecast: str) -> Beside:
    return Beside(name=name, measured=measured, forecast=forecast, band="", within=None)


def ledger_sight(found: CaptureInHand, readings: MeterReadings, *, forecast: Forecast | None) -> LedgerSight:
    """Measured account as a flow, the forecast's beside it.

    Raises
    ------
    InputRefused
        If the capture was read without its rig, or its energy cannot be told.
    """
    beside = None if forecast is None else forecast.ledger
    account = ledger_of_capture(found, readings, forecast=beside)
    lasted = quantity_text(account.duration_s, "s")
    return LedgerSight(
        ledger=account,
        flow=flow_drawing(account.as_ledger(), basis=f"as measured, over the {lasted} of the capture"),
        forecast=None
        if beside is None
        else flow_drawing(beside, basis="the forecast, over the whole drilling"),
    )
