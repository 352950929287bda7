"""What a client sends about generators, and what the socket of long work sends back."""

from dataclasses import dataclass
from typing import Annotated, Literal

from fastapi import Path
from pydantic import BaseModel, Field, StringConstraints

from gapwright.app.generator_view import GeneratorView
from gapwright.app.size_form import WishFault, WishField
from gapwright.app.sweep_form import AxisForm, SweepDrawing
from gapwright.study.forecast.sweep import Axis
from gapwright.study.generator.scene_traces import LONGEST_LOOK, Look, trace_asked
from gapwright.study.generator.scenes import SceneName
from gapwright.study.sizing.sizing import Sizing
from gapwright.web.calls import LARGEST_SEED, Call, Chosen, Name

MarkName = Annotated[str, Path(pattern=r"^[a-f0-9]{24}$", description="Name of an answer of this kind.")]
Mark = Annotated[str, StringConstraints(pattern=r"^[a-f0-9]{24}$")]
Text = Annotated[str, StringConstraints(max_length=200)]


class TracesQuery(BaseModel):
    """A stretch of a scene in seconds from its beginning, and the traces wanted."""

    start: Annotated[float, Field(ge=0.0, le=LONGEST_LOOK)]
    stop: Annotated[float, Field(gt=0.0, le=LONGEST_LOOK)]
    trace: Annotated[
        list[Annotated[str, StringConstraints(pattern=r"^(volts|amperes|node):.{1,150}$")]],
        Field(min_length=1, max_length=8, description="volts:PART, amperes:PART or node:NODE"),
    ]
    slices: Annotated[int, Field(ge=2, le=20_000, description="Equal slices of the stretch.")] = 1200

    def look(self, scene: SceneName) -> Look:
        """The look that is meant."""
        return Look(
            scene=scene,
            start=self.start,
            stop=self.stop,
            asked=tuple(trace_asked(each) for each in dict.fromkeys(self.trace)),
            slices=self.slices,
        )


class LookCall(TracesQuery):
    """A stretch of a scene of a generator that is kept."""

    generator: Mark
    scene: SceneName


class SizeCall(Call):
    """A wish for a generator: texts of the fields of `/api/form/size`, for a rig like this one."""

    rig: Chosen
    texts: Annotated[dict[Text, Text], Field(max_length=40)]
    kinds: Annotated[list[Text], Field(max_length=8, default_factory=list)]


class AxisCall(Call):
    """One axis of a sweep, as it is typed."""

    key: Annotated[str, StringConstraints(min_length=1, max_length=160)]
    first: Text
    last: Text
    scale: Literal["log", "lin"] = "log"
    points: Annotated[int, Field(ge=0, le=10**9)] = 25

    def form(self) -> AxisForm:
        """The axis that is meant."""
        return AxisForm(key=self.key, first=self.first, last=self.last, scale=self.scale, points=self.points)


class SweepCall(Call):
    """A sweep of one value of a rig, or of its job where one is given; without a job the generator alone."""

    rig: Chosen
    job: Chosen | None = None
    axis: AxisCall
    members: Annotated[int, Field(ge=1, le=256)] = 16
    seed: Annotated[int, Field(ge=0, le=LARGEST_SEED)] = 0


class RowCall(Call):
    """Holes of a job drilled one after another with one electrode."""

    rig: Chosen
    job: Chosen
    holes: Annotated[int, Field(ge=0, le=10**9, description="How many are followed: 2 to 20.")]
    members: Annotated[int, Field(ge=1, le=256)] = 8
    seed: Annotated[int, Field(ge=0, le=LARGEST_SEED)] = 0


class TakeCall(Call):
    """Name under which a candidate's rig file is written."""

    name: Name


class GeneratorCall(Call):
    """A rig whose generator is looked at."""

    rig: Chosen


class Work(Call):
    """One piece of long work, sent over `/api/work`: exactly one of the five is given."""

    work: Annotated[int, Field(ge=0, le=2**53)]
    generator: GeneratorCall | None = None
    look: LookCall | None = None
    size: SizeCall | None = None
    sweep: SweepCall | None = None
    row: RowCall | None = None


class StopWork(Call):
    """Give up the piece of work of this number."""

    stop: int


class Generator(BaseModel):
    """A generator that was looked at, and the name under which it is kept."""

    generator: str
    view: GeneratorView


class SizeForm(BaseModel):
    """The form of a wish: its fields, and the kinds that can be sized."""

    fields: tuple[WishField, ...]
    kinds: tuple[str, ...]


class Faults(BaseModel):
    """Everything that is wrong with a form, by field; empty where nothing is."""

    faults: tuple[WishFault, ...]


class Sized(BaseModel):
    """A sizing and the name under which it is kept."""

    size: str
    sizing: Sizing


class Swept(BaseModel):
    """A sweep and the name under which it is kept."""

    sweep: str
    axes: tuple[Axis, ...]
    drawing: SweepDrawing


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkProgress:
    """How far a piece of work is."""

    work: int
    says: str
    done: int
    total: int
    message: Literal["progress"] = "progress"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDone:
    """A piece of work is done; `answer` is the name under which the calls below give it."""

    work: int
    answer: str
    message: Literal["done"] = "done"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRefused:
    """Why a piece of work is not done; `field` of its form and `path` of its file are named where known."""

    work: int
    refused: str
    field: str
    path: str | None
    stopped: bool
    message: Literal["refused"] = "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkFault:
    """A fault of ours."""

    work: int
    refused: str
    message: Literal["fault"] = "fault"


WORK_MESSAGES: tuple[type, ...] = (WorkProgress, WorkDone, WorkRefused, WorkFault)
