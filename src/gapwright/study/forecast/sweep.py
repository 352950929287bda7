"""Sweeps: one or several values of a rig or job file walked through, each point a pure task of its own.

A task holds the texts, the changes, the seed and nothing else, so that the same
task gives the same answer anywhere, and its hash names it for good.
"""

import hashlib
import json
import math
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cache
from itertools import product

from gapwright.base.compiled import laws_hash
from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import Progress, silent
from gapwright.base.quantity import Reading, Unread, any_quantity, read_quantity, shown
from gapwright.rig.job import Job
from gapwright.rig.reading import job_from_text, rig_from_text, to_text
from gapwright.rig.rig import Rig
from gapwright.study.forecast.sweep_figures import Figures, circuit_figures, forecast_figures

MOST_POINTS = 100_000
JOB = "job."
"""What a key of the job file begins with; all others are keys of the rig file."""
FORM = re.compile(r"([\w.-]+)=(.+?)\.\.(.+):(log|lin):([0-9]+)")
EXAMPLE = "leads.inductance=50nH..2uH:log:25"


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One key that is walked through, and its values in SI units."""

    key: str
    unit: str
    scale: str
    values: tuple[float, ...]

    def text(self, value: float) -> str | int | float:
        """A value as a file holds it."""
        if self.unit:
            return f"{value:.12g} {self.unit}"
        return int(value) if value == int(value) else value


def axis_from(text: str) -> Axis:
    """Axis that a text such as ``leads.inductance=50nH..2uH:log:25`` describes.

    Raises
    ------
    InputRefused
        If it is not of that form, its ends differ in dimension, or it does not rise.

    Examples
    --------
    >>> axis_from("generator.capacitor.capacitance=1uF..4uF:log:3").values
    (1e-06, 2e-06, 4e-06)
    """
    found = FORM.fullmatch(text)
    if found is None:
        raise InputRefused(f"--sweep must be KEY=FROM..TO:log|lin:N, got {shown(text)}; write {EXAMPLE}")
    key, first, last, scale, count = found.groups()
    try:
        low, high = _ends(first, last)
    except Unread as fault:
        raise InputRefused(f"--sweep {key} {fault}") from None
    if low.dimension != high.dimension:
        raise InputRefused(
            f"--sweep {key} must go from and to values of one kind, got {shown(first)} and {shown(last)}"
        )
    _require_rising(key, (low.value, high.value), scale, int(count))
    return Axis(
        key=key,
        unit=low.unit,
        scale=scale,
        values=_between(low.value, high.value, logarithmic=scale == "log", count=int(count)),
    )


def _ends(first: str, last: str) -> tuple[Reading, Reading]:
    """Both ends of an axis; one that cannot be read is told the unit of the other."""
    read: list[Reading | None] = []
    for text in (first, last):
        try:
            read.append(any_quantity(text))
        except Unread:
            read.append(None)
    low, high = read
    if low is not None and high is None:
        read_quantity(last, low.unit)
    if high is not None and low is None:
        read_quantity(first, high.unit)
    return low or any_quantity(first), high or any_quantity(last)


def _require_rising(key: str, ends: tuple[float, float], scale: str, count: int) -> None:
    low, high = ends
    if low == high:
        raise InputRefused(f"--sweep {key} must go from one value to another, got {low:g} twice; change one")
    if not low < high:
        raise InputRefused(f"--sweep {key} must rise, got {low:g} to {high:g} in SI units; swap the ends")
    if scale == "log" and low <= 0.0:
        raise InputRefused(f"--sweep {key} must begin above 0 to be logarithmic, got {low:g}; write lin")
    if not 2 <= count <= MOST_POINTS:
        raise InputRefused(f"--sweep {key} must have between 2 and {MOST_POINTS} points, got {count}")


def _between(low: float, high: float, *, logarithmic: bool, count: int) -> tuple[float, ...]:
    """Values from `low` to `high`, rounded to twelve digits so that they read as they are."""
    shares = [k / (count - 1) for k in range(count)]
    if logarithmic:
        raw = [math.exp(math.log(low) + share * (math.log(high) - math.log(low))) for share in shares]
    else:
        raw = [low + share * (high - low) for share in shares]
    raw[0], raw[-1] = low, high
    return tuple(float(f"{value:.12g}") for value in raw)


@cache
def _laws() -> str:
    return laws_hash()


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One point of a sweep: everything its answer depends on. Without a job it is of the generator alone."""

    rig: str
    job: str
    changes: Mapping[str, str | int | float]
    seed: int
    members: int

    @property
    def name(self) -> str:
        """Hash of the task and of the laws it is worked out by."""
        said = json.dumps({"laws": _laws()} | asdict(self), sort_keys=True)
        return hashlib.sha256(said.encode()).hexdigest()

    def records(self) -> tuple[Rig, Job | None]:
        """Rig and job with the changes made.

        Raises
        ------
        InputRefused
            If a key does not exist or a value breaks its rule.
        """
        own = {key: value for key, value in self.changes.items() if not key.startswith(JOB)}
        jobs = {key.removeprefix(JOB): value for key, value in self.changes.items() if key.startswith(JOB)}
        if jobs and not self.job:
            raise InputRefused(
                f"a sweep of {next(iter(jobs))} of a job needs a job; use `gapwright forecast`"
            )
        rig = rig_from_text(to_text(self.rig, own), "rig of the sweep")
        job = job_from_text(to_text(self.job, jobs), "job of the sweep") if self.job else None
        return rig, job


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """Answer at one point of a sweep: its figures, or why there are none."""

    values: dict[str, float]
    figures: Figures
    refused: str | None


def tasks(
    axes: tuple[Axis, ...], *, rig: str, job: str = "", seed: int = 0, members: int = 64
) -> list[tuple[dict[str, float], Task]]:
    """Every point of the grid that the axes span, with its values; all are checked before any is run.

    Raises
    ------
    InputRefused
        If a key stands twice, there are too many points, or a value breaks a rule of the file.
    """
    keys = [axis.key for axis in axes]
    if len(set(keys)) < len(keys):
        raise InputRefused(f"--sweep must name each key once, got {', '.join(keys)}")
    count = math.prod(len(axis.values) for axis in axes)
    if count > MOST_POINTS:
        raise InputRefused(f"a sweep must have at most {MOST_POINTS} points, got {count}; take fewer")
    made = []
    for values in product(*(axis.values for axis in axes)):
        changes = {axis.key: axis.text(value) for axis, value in zip(axes, values, strict=True)}
        task = Task(rig=rig, job=job, changes=changes, seed=seed, members=members)
        task.records()
        made.append((dict(zip(keys, values, strict=True)), task))
    return made


def worked(task: Task, progress: Progress = silent) -> tuple[Figures, str | None]:
    """Figures of one task, or the reason why it has none."""
    rig, job = task.records()
    try:
        if job is None:
            return circuit_figures(rig, progress=progress), None
        return forecast_figures(rig, job, seed=task.seed, members=task.members, progress=progress), None
    except InputRefused as fault:
        return {}, str(fault)
    except GapwrightError as fault:
        if type(fault).__name__ == "Stopped":
            raise
        return {}, str(fault)
