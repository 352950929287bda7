"""What a client sends, as records: names of files, changes as texts, and what is asked."""

from typing import Annotated

from fastapi import Path
from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from gapwright.app.forecast import MOST_MEMBERS

LARGEST_SEED = 2**53 - 1
"""Largest whole number that every reader of JSON keeps exactly."""
NAME = r"^[A-Za-z0-9_-]{1,60}$"

Name = Annotated[str, StringConstraints(pattern=NAME)]
"""Short name of a file: `first-build` of `first-build.rig.toml`."""

FileName = Annotated[str, Path(pattern=NAME, description="Short name of a file of the folder.")]
AnswerName = Annotated[str, Path(pattern=r"^[a-f0-9]{24}(-[0-9]{1,5})?$", description="Name of an answer.")]

Changes = Annotated[
    dict[
        Annotated[str, StringConstraints(min_length=1, max_length=160)],
        Annotated[str, StringConstraints(max_length=200)],
    ],
    Field(max_length=400, description="New texts by key path; an empty text takes the key out."),
]


class Call(BaseModel):
    """A body; unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Chosen(Call):
    """A file with changes."""

    name: Name
    changes: Changes = Field(default_factory=dict)


class Save(Call):
    """Changes to save onto the file with this mark."""

    changes: Changes
    etag: Annotated[str, StringConstraints(max_length=64)]


class Create(Call):
    """A new file as a copy of another, with changes."""

    source: Name = Field(alias="from")
    changes: Changes = Field(default_factory=dict)


class CircuitCall(Call):
    """A rig whose generator is run alone."""

    rig: Chosen


class ForecastCall(Call):
    """A rig and a job to forecast."""

    rig: Chosen
    job: Chosen
    members: Annotated[int, Field(ge=1, le=MOST_MEMBERS)] = 32
    seed: Annotated[int, Field(ge=0, le=LARGEST_SEED)] = 0


class Ask(Call):
    """What the page shows now: only the latest counts."""

    ask: Annotated[int, Field(ge=0, le=2**53)]
    rig: Chosen
    job: Chosen
    compare: Annotated[list[Name], Field(max_length=4)] = Field(default_factory=list)
    members: Annotated[int, Field(ge=0, le=256)] = 32
    seed: Annotated[int, Field(ge=0, le=LARGEST_SEED)] = 0


class Stop(Call):
    """Keep what is there of this ask and stop refining it."""

    stop: int
