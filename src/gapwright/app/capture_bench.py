"""What the page of captures shows of one that was read: its sight, curves, and itself beside a forecast."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gapwright.app.capture_answer import CaptureAnswer
from gapwright.app.capture_pictures import delay_curve
from gapwright.app.capture_views import OpenCapture
from gapwright.app.captures import CaptureInHand
from gapwright.app.drawing import Array, FlowDrawing, array, flow_drawing
from gapwright.app.measured import ledger_of_capture
from gapwright.app.wording import banded_text, counted, quantity_text, share_text
from gapwright.base.errors import InputRefused
from gapwright.capture.classify import CLASS_NAMES
from gapwright.study.captures.measured_ledger import MeasuredLedger
from gapwright.study.captures.meter_readings import MeterReadings
from gapwright.study.grounds.outcome import Banded, Forecast

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
class CaptureSight:
    """A capture that was read, as a page shows it; `classes` are all there are, in order."""

    headline: str
    says: str
    classes: tuple[str, ...]
    answer: CaptureAnswer
    end_s: float
    """Time of the last sample's end, gaps between stretches included."""
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
    """Measured account, drawn as the rig's own is, with the forecast's beside it where there is one.

    No flow is drawn where the instruments contradict each other; the account's doubts say so.
    """

    ledger: MeasuredLedger
    flow: FlowDrawing | None
    forecast: FlowDrawing | None


DISCHARGES = ("normal", "partial", "transient arc", "stationary arc", "contact")
"""Classes of discharges that a gap let through."""
MOST_MORE = 1.25
"""Of what came in, the most that a later stage may seem to get, for the flow to be drawn."""


def capture_sight(opened: OpenCapture) -> CaptureSight:
    """A capture that was read, as a page shows it."""
    found, answer = opened.found, opened.found.answer
    return CaptureSight(
        headline=answer.course.meaning[0].text,
        says=_says(answer),
        classes=CLASS_NAMES,
        answer=answer,
        end_s=opened.end_s,
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
    return (*rows, *_shares(answer, forecast))


def _shares(answer: CaptureAnswer, forecast: Forecast) -> list[Beside]:
    """Shares that are counted alike: discharges by class, and the time shorted.

    A forecast counts charging to the spark that it feeds, a capture does not, so
    that other shares of time do not compare.
    """
    here = {name: answer.classes[name].count for name in DISCHARGES}
    there = {name: each.count for name, each in forecast.sparks.classes.items() if name in DISCHARGES}
    seen, drilled = sum(here.values()), sum(there.values())
    rows = []
    for name in DISCHARGES:
        if here[name] or there.get(name):
            measured = share_text(here[name] / seen) if seen else "none"
            expected = share_text(there.get(name, 0) / drilled) if drilled else ""
            rows.append(_plain(f"{name} among discharges", measured, expected))
    shorted = forecast.sparks.classes.get("short")
    expected = "" if shorted is None else share_text(shorted.time_share)
    return [*rows, _plain("time shorted", share_text(answer.classes["short"].time_share), expected)]


def _beside(name: str, measured: float, forecast: Banded, unit: str) -> Beside:
    text = banded_text(forecast, unit)
    low, high = forecast.low, forecast.high
    banded = low is not None and high is not None and low < high
    within = low <= measured <= high if banded and low is not None and high is not None else None
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
    flow = flow_drawing(account.as_ledger(), basis=f"as measured, over the {lasted} of the capture")
    return LedgerSight(
        ledger=account,
        flow=replace(flow, says=_flow_says(flow)) if _can_be_drawn(flow) else None,
        forecast=None
        if beside is None
        else flow_drawing(beside, basis="the forecast, over the whole drilling"),
    )


def _can_be_drawn(flow: FlowDrawing) -> bool:
    """Whether no stage gets far more than came in at the first."""
    return all(0.0 <= stage.came_in_w <= MOST_MORE * flow.entered_w for stage in flow.stages)


def _flow_says(flow: FlowDrawing) -> str:
    """The measured flow in words."""
    arrives = [f"{stage.title.lower()} {quantity_text(stage.came_in_w, 'W')}" for stage in flow.stages]
    return f"As measured, what arrives: {', '.join(arrives)}."
