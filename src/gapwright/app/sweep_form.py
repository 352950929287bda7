"""A sweep as a form: one key, its ends and its points, and what is wrong with each, beside it."""

from dataclasses import dataclass

from gapwright.app.size_form import WishFault
from gapwright.app.sweep import SweepAnswer
from gapwright.app.wording import scale_for
from gapwright.base.errors import InputRefused
from gapwright.base.quantity import Unread, any_quantity
from gapwright.study.forecast.sweep import Axis, axis_from, tasks
from gapwright.study.forecast.sweep_columns import column_title, column_unit, columns_of

MOST_ON_PAGE = 2000
"""Points of a sweep that a page runs; more are for the command line, which keeps what is finished."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AxisForm:
    """One axis as it is typed: key path, first and last value, `log` or `lin`, number of points."""

    key: str
    first: str
    last: str
    scale: str
    points: int

    @property
    def text(self) -> str:
        """The axis as the command line takes it."""
        return f"{self.key}={self.first.strip()}..{self.last.strip()}:{self.scale}:{self.points}"


def axis_faults(form: AxisForm, *, rig: str, job: str) -> tuple[WishFault, ...]:
    """What is wrong with an axis, by field: `key`, `first`, `last`, `scale` or `points`."""
    faults = [
        WishFault(field=name, says=f"--sweep {form.key} {fault}")
        for name, fault in (("first", _unread(form.first)), ("last", _unread(form.last)))
        if fault
    ]
    if faults:
        return tuple(faults)
    try:
        axis = axis_from(form.text)
        if len(axis.values) > MOST_ON_PAGE:
            raise InputRefused(
                f"--sweep {form.key} must have at most {MOST_ON_PAGE} points on the page, got {form.points}; "
                "run it from the command line"
            )
    except InputRefused as fault:
        return (WishFault(field=_blamed(str(fault)), says=str(fault)),)
    return _ends_at_fault(axis, rig=rig, job=job)


def _unread(text: str) -> str:
    """Why a text is no quantity; empty where it is one."""
    try:
        any_quantity(text)
    except Unread as fault:
        return str(fault)
    return ""


def _blamed(says: str) -> str:
    """Field that a refusal of a whole axis is about."""
    marks = (("points", "points"), ("logarithmic", "scale"), ("log|lin:N", "points"), ("must", "last"))
    return next(field for mark, field in marks if mark in says)


def _ends_at_fault(axis: Axis, *, rig: str, job: str) -> tuple[WishFault, ...]:
    """Whether the file takes the first and the last value."""
    for name, value in (("first", axis.values[0]), ("last", axis.values[-1])):
        one = Axis(key=axis.key, unit=axis.unit, scale=axis.scale, values=(value,))
        try:
            tasks((one,), rig=rig, job=job)
        except InputRefused as fault:
            unknown = any(mark in str(fault) for mark in ("not a known key", "needs a job", "must have kind"))
            return (WishFault(field="key" if unknown else name, says=str(fault)),)
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepCurve:
    """One figure along a sweep in SI units; None where a point has none. Bands where the answer has them."""

    name: str
    title: str
    unit: str
    values: tuple[float | None, ...]
    low: tuple[float | None, ...] | None
    high: tuple[float | None, ...] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SweepDrawing:
    """A sweep of one key as a page draws it."""

    rig: str
    job: str | None
    key: str
    unit: str
    scale: str
    along: tuple[float, ...]
    curves: tuple[SweepCurve, ...]
    refused: tuple[str, ...]
    """Why points have no figures, each reason once."""
    says: str


def sweep_drawing(found: SweepAnswer) -> SweepDrawing:
    """A sweep of one key as a page draws it."""
    axis = found.axes[0]

    def column(name: str) -> tuple[float | None, ...]:
        return tuple(point.figures.get(name) for point in found.points)

    there = {name for point in found.points for name in point.figures}
    curves = tuple(
        SweepCurve(
            name=name,
            title=column_title(name),
            unit=column_unit(name),
            values=column(name),
            low=column(f"{name}.low") if f"{name}.low" in there else None,
            high=column(f"{name}.high") if f"{name}.high" in there else None,
        )
        for name in columns_of(found.points)
    )
    reasons = tuple(dict.fromkeys(point.refused for point in found.points if point.refused))
    answered = sum(1 for point in found.points if point.refused is None)
    size = scale_for(axis.values[-1], axis.unit)
    ends = f"{axis.values[0] / size.size:g} to {axis.values[-1] / size.size:g} {size.name}".rstrip()
    return SweepDrawing(
        rig=found.rig,
        job=found.job,
        key=axis.key,
        unit=axis.unit,
        scale=axis.scale,
        along=axis.values,
        curves=curves,
        refused=reasons,
        says=f"{axis.key} from {ends}, {answered} of {len(found.points)} points answered",
    )
