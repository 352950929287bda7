"""What the bench asks: a first look at a rig and a job, and a forecast that unfolds, for a page."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.app import measures
from gapwright.app.drawing import (
    Array,
    DepthDrawing,
    FlowDrawing,
    SectionDrawing,
    WaveDrawing,
    array,
    depth_drawing,
    flow_drawing,
    section_drawing,
    spark_drawing,
)
from gapwright.app.forecast import Answer, Effort
from gapwright.app.generator_view import no_spark_says
from gapwright.app.measures import Measure
from gapwright.app.stages import PARTS
from gapwright.app.wording import quantity_text
from gapwright.base.errors import InputRefused
from gapwright.rig.job import Job
from gapwright.rig.reading import Kind, faults_of, job_from_text, rig_from_text
from gapwright.rig.rig import Rig
from gapwright.study.forecast.glance import Glance
from gapwright.study.forecast.unfolding import Unfolded
from gapwright.study.generator.generator_alone import STRIKES_AT, GeneratorAlone
from gapwright.study.generator.ratings import Rating
from gapwright.study.grounds.outcome import Caution, Forecast

DOTS = 400
"""Spark energies that a page draws, evenly out of the sample."""


class WrongFile(InputRefused):
    """A file of an ask breaks a rule: which of the two, and at which key path where one is to blame."""

    def __init__(self, message: str, *, kind: Kind, path: str) -> None:
        super().__init__(message)
        self.kind, self.path = kind, path


@dataclass(frozen=True, slots=True, kw_only=True)
class Texts:
    """Texts of a rig file and a job file."""

    rig: str
    job: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StageFinding:
    """One limit of a part beside what the part carries."""

    stage: str
    part: str
    says: str
    within: bool
    found: float
    allowed: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstLook:
    """A generator sparking steadily, with the whole way from socket to metal."""

    flow: FlowDrawing
    waveforms: WaveDrawing
    findings: tuple[StageFinding, ...]
    cautions: tuple[Caution, ...]
    circuit: GeneratorAlone


@dataclass(frozen=True, slots=True, kw_only=True)
class Measures:
    """Numbers of a forecast as texts ready to show."""

    first: tuple[Measure, ...]
    further: tuple[Measure, ...]
    endings: str
    limited_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterReading:
    """What a plain meter should show, as texts."""

    key: str
    name: str
    middle: str
    band: str
    unit: str
    if_low: str
    if_high: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """All that a page draws of a forecast."""

    depth: DepthDrawing
    section: SectionDrawing
    energies_j: Array
    sparks: WaveDrawing
    readings: tuple[MeterReading, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """A forecast on the way, as a page shows it; `grade` is coarse, refining or done."""

    grade: str
    members: int
    banded: bool
    headline: str
    forecast: Forecast
    flow: FlowDrawing
    measures: Measures
    drawing: Drawing
    spark_by_spark: bool
    """Whether the drilling shown has been followed spark by spark, so that it can be asked for."""


def records(texts: Texts) -> tuple[Rig, Job]:
    """Rig and job of two texts.

    Raises
    ------
    WrongFile
        If one of them breaks a rule; says which, and where.
    """
    return (
        rig_from_text(_sound("rig", texts.rig), "rig"),
        job_from_text(_sound("job", texts.job), "job"),
    )


def _sound(kind: Kind, text: str) -> str:
    faults = faults_of(kind, text)
    if faults:
        first = min(faults, key=lambda fault: not fault.is_unknown_key)
        raise WrongFile(first.says, kind=kind, path=first.path)
    return text


def first_look(texts: Texts) -> FirstLook:
    """First look at a rig and a job: milliseconds, no drilling.

    Raises
    ------
    InputRefused
        If a file breaks a rule, or the two cannot work together.
    """
    rig, job = records(texts)
    from gapwright.study.forecast.glance import glance

    return look_drawing(glance(rig, job))


def look_drawing(seen: Glance) -> FirstLook:
    """A first look as a page shows it."""
    alone, waves = seen.circuit, seen.circuit.waveforms
    strikes = quantity_text(alone.strikes_at_v, "V")
    return FirstLook(
        flow=flow_drawing(
            seen.ledger,
            basis=f"the generator sparking steadily at {strikes}, {STRIKES_AT:.0%} of its open voltage; "
            "no shorts, no waiting, no drilling",
        ),
        waveforms=WaveDrawing(
            time_s=array(np.asarray(waves.time_s)),
            store_v=array(np.asarray(waves.store_v)),
            gap_v=array(np.asarray(waves.gap_v)),
            gap_a=array(np.asarray(waves.gap_a)),
            says=_waves_say(alone),
        ),
        findings=tuple(_finding(each) for each in alone.ratings),
        cautions=seen.cautions,
        circuit=alone,
    )


def _waves_say(alone: GeneratorAlone) -> str:
    if alone.pulse is None:
        return f"No spark: {no_spark_says(alone)}."
    peak, energy = quantity_text(alone.pulse.peak_current_a, "A"), quantity_text(alone.pulse.energy_j, "J")
    lasts = quantity_text(alone.pulse.duration_s, "s")
    rate = quantity_text(alone.pulse.rate_hz, "Hz", digits=2)
    return f"Each spark peaks at {peak}, lasts {lasts} and leaves {energy} in the gap, at {rate}."


def _finding(each: Rating) -> StageFinding:
    found, allowed = quantity_text(each.found, each.unit), quantity_text(each.allowed, each.unit)
    verdict = "within" if each.within else "above"
    return StageFinding(
        stage=PARTS.get(each.part, "charger"),
        part=each.part,
        says=f"{each.part}, {each.quantity}: {found}, {verdict} the {allowed} that it is rated for",
        within=each.within,
        found=each.found,
        allowed=each.allowed,
        unit=each.unit,
    )


def unfolded(texts: Texts, *, effort: Effort) -> Iterator[Unfolded]:
    """Forecasts of a rig and a job, each better than the one before.

    Raises
    ------
    InputRefused
        If a file breaks a rule, or the two cannot work together.
    """
    rig, job = records(texts)
    from gapwright.study.forecast.unfolding import unfolding

    yield from unfolding(
        rig,
        job,
        seed=effort.seed,
        members=effort.members,
        progress=effort.progress,
        spread=effort.spread,
    )


def sight(found: Unfolded) -> Sight:
    """A forecast as a page shows it."""
    forecast, pictures = found.forecast, found.pictures
    answer = Answer(forecast=forecast, pictures=pictures)
    banded = found.members > 0
    return Sight(
        grade="done" if found.complete else "refining" if banded else "coarse",
        members=found.members,
        banded=banded,
        headline=forecast.verdict if banded else _first_headline(forecast),
        forecast=forecast,
        flow=flow_drawing(forecast.ledger, basis="the whole drilling, with every constant at its median"),
        measures=Measures(
            first=tuple(measures.first_measures(answer)),
            further=tuple(measures.further_measures(forecast)),
            endings=measures.endings_text(forecast),
            limited_by=forecast.limited_by,
        ),
        drawing=Drawing(
            depth=depth_drawing(pictures),
            section=section_drawing(pictures, found.frames),
            energies_j=array(_sample(np.sort(pictures.spark_energy_j))),
            sparks=spark_drawing(pictures),
            readings=_readings(forecast),
        ),
        spark_by_spark=found.recorded is not None,
    )


def _first_headline(forecast: Forecast) -> str:
    """Verdict of one coarse member, without the band that it does not have."""
    if forecast.time_s.median is None:
        return f"First look: does not get there. What limits it is {forecast.limited_by}."
    about = quantity_text(forecast.time_s.median, "s", digits=2)
    return f"First look: about {about} a hole; what limits it is {forecast.limited_by}. Its band follows."


def _sample(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """At most `DOTS` of sorted values, evenly."""
    if len(values) <= DOTS:
        return values
    chosen: NDArray[np.float64] = values[np.linspace(0, len(values) - 1, DOTS).astype(int)]
    return chosen


def _readings(forecast: Forecast) -> tuple[MeterReading, ...]:
    found = []
    for key, reading in forecast.expected_readings.items():
        text = measures.reading_text(reading)
        found.append(
            MeterReading(
                key=key,
                name=reading.name,
                middle=text.middle,
                band=text.band,
                unit=reading.unit,
                if_low=reading.if_low,
                if_high=reading.if_high,
            )
        )
    return tuple(found)
