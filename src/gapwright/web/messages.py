"""What the live socket sends, as records; the OpenAPI document has them too, to make clients from."""

from dataclasses import dataclass
from typing import Any, Literal

from pydantic import TypeAdapter

from gapwright.app.bench import Drawing, Measures, StageFinding
from gapwright.app.differences import Difference
from gapwright.app.drawing import FlowDrawing, WaveDrawing
from gapwright.study.generator.generator_alone import GeneratorAlone
from gapwright.study.grounds.outcome import Caution, Forecast
from gapwright.web.calls import Ask, Stop
from gapwright.web.generator_calls import WORK_MESSAGES, StopWork, Work

Differences = dict[str, tuple[Difference, ...]]
"""What changes against each rig compared with, by its name; `saved` is the same files without the changes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LivePreparing:
    """How far the kernels are."""

    looks: bool
    warm: bool
    says: str
    done: int
    total: int
    failed: str
    message: Literal["preparing"] = "preparing"


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveGlance:
    """The generator sparking steadily, milliseconds after the ask."""

    ask: int
    of: str
    flow: FlowDrawing
    waveforms: WaveDrawing
    findings: tuple[StageFinding, ...]
    cautions: tuple[Caution, ...]
    circuit: GeneratorAlone
    differences: Differences
    message: Literal["glance"] = "glance"


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveForecast:
    """A forecast on the way."""

    ask: int
    of: str
    answer: str
    grade: str
    members: int
    banded: bool
    headline: str
    forecast: Forecast
    flow: FlowDrawing
    measures: Measures
    drawing: Drawing
    spark_by_spark: bool
    differences: Differences
    message: Literal["forecast"] = "forecast"


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveDifferences:
    """What changes, sent again once more is known."""

    ask: int
    of: str
    differences: Differences
    message: Literal["differences"] = "differences"


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveProgress:
    """How far the work on an ask is; it has ended where `done` is `total`."""

    ask: int
    of: str
    says: str
    done: int
    total: int
    message: Literal["progress"] = "progress"


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveRefused:
    """Why an ask cannot be answered, and the value to blame where one is."""

    ask: int
    of: str
    refused: str
    path: str | None
    kind: str | None
    message: Literal["refused"] = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveFault:
    """A fault of ours."""

    ask: int
    refused: str
    message: Literal["fault"] = "fault"


MESSAGES: tuple[type, ...] = (
    LivePreparing,
    LiveGlance,
    LiveForecast,
    LiveDifferences,
    LiveProgress,
    LiveRefused,
    LiveFault,
)


def message_schemas() -> dict[str, Any]:
    """JSON Schemas of all messages, for the components of an OpenAPI document."""
    found: dict[str, Any] = {}
    for record in (*MESSAGES, *WORK_MESSAGES):
        found |= _schemas(record, mode="serialization")
    for call in (Ask, Stop, Work, StopWork):
        found |= _schemas(call, mode="validation")
    return found


def _schemas(record: type, *, mode: Literal["serialization", "validation"]) -> dict[str, Any]:
    schema = TypeAdapter(record).json_schema(mode=mode, ref_template="#/components/schemas/{model}")
    inner: dict[str, Any] = schema.pop("$defs", {})
    return inner | {record.__name__: schema}
