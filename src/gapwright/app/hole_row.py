"""Several holes with one electrode: drilled by themselves, and told as texts ready to show."""

from dataclasses import dataclass

from gapwright.app.bench import Texts
from gapwright.app.forecast import MOST_IN_A_ROW, Answer, Effort, work_of
from gapwright.app.measures import Measure, measure, wanted_words
from gapwright.app.ports import Columns
from gapwright.app.wording import banded_text, counted, quantity_text, share_text
from gapwright.base.checks import require_between
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.study.grounds.outcome import Banded, HoleRow, RowHole

ROW_COLUMNS = ("hole", "gets there", "time", "entry", "exit", "wear", "left", "feed", "thinner over")
"""Headings of the columns of `row_lines`: wear and left are lengths of the electrode."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowAnswer:
    """Holes in a row of one job on one rig."""

    rig: str
    job: str
    seed: int
    wanted_diameter_m: float
    wanted_tolerance_m: float
    row: HoleRow


@dataclass(frozen=True, slots=True, kw_only=True)
class RowSight:
    """Holes in a row as a page shows them."""

    rig: str
    job: str
    heading: str
    wanted: str
    wanted_diameter_m: float
    wanted_tolerance_m: float
    columns: tuple[str, ...]
    lines: tuple[tuple[Measure, ...], ...]
    """Each followed hole, in the order of the columns."""
    totals: tuple[Measure, ...]
    """What all holes of the job cost."""
    row: HoleRow


def require_row(holes: int) -> None:
    """Refuse a row that is none, or too long to follow."""
    require_between("holes in a row", holes, 2, MOST_IN_A_ROW, "")


def row_of(texts: Texts, effort: Effort) -> RowAnswer:
    """Holes in a row from the texts of a rig and a job; how many stands in what the effort keeps.

    Raises
    ------
    InputRefused
        If a text breaks a stated rule, or rig and job cannot work together.
    """
    require_row(effort.keeping.in_a_row)
    rig, job = rig_from_text(texts.rig, "rig"), job_from_text(texts.job, "job")
    # Loaded only now: a file that is refused should not wait for the compiled kernels.
    from gapwright.study.forecast.drillings import drilled_row

    return RowAnswer(
        rig=rig.name,
        job=job.name,
        seed=effort.seed,
        wanted_diameter_m=job.hole.diameter,
        wanted_tolerance_m=job.hole.tolerance,
        row=drilled_row(rig, job, work_of(effort)),
    )


def row_beside(answer: Answer) -> RowAnswer | None:
    """The row that was drilled beside a forecast; None where none was asked for."""
    forecast, pictures = answer.forecast, answer.pictures
    if forecast.row is None:
        return None
    return RowAnswer(
        rig=forecast.rig,
        job=forecast.job,
        seed=forecast.seed,
        wanted_diameter_m=pictures.wanted_diameter_m,
        wanted_tolerance_m=pictures.wanted_tolerance_m,
        row=forecast.row,
    )


def row_heading(row: HoleRow) -> str:
    """Heading over a row of holes."""
    many = counted(row.members, "member", "members")
    return f"{len(row.holes)} holes in a row with one electrode, of {row.count}; over {many}"


def row_sight(answer: RowAnswer) -> RowSight:
    """Holes in a row as a page shows them."""
    row = answer.row
    return RowSight(
        rig=answer.rig,
        job=answer.job,
        heading=row_heading(row),
        wanted=wanted_words(answer.wanted_diameter_m, answer.wanted_tolerance_m),
        wanted_diameter_m=answer.wanted_diameter_m,
        wanted_tolerance_m=answer.wanted_tolerance_m,
        columns=ROW_COLUMNS,
        lines=tuple(_cells(each) for each in row.holes),
        totals=_totals(row),
        row=row,
    )


def _cells(each: RowHole) -> tuple[Measure, ...]:
    """One hole, in the order of `ROW_COLUMNS`."""

    def cell(place: int, value: Banded, unit: str, missing: str = "unknown") -> Measure:
        text = banded_text(value, unit, missing=missing)
        return Measure(name=ROW_COLUMNS[place], middle=text.middle or missing, band=text.band)

    then = "then dress" if each.dressed else ""
    return (
        Measure(name=ROW_COLUMNS[0], middle=str(each.hole), band="", remark=then),
        Measure(name=ROW_COLUMNS[1], middle=share_text(each.finished_share), band=""),
        cell(2, each.time_s, "s", "never"),
        cell(3, each.entry_diameter_m, "mm"),
        cell(4, each.exit_diameter_m, "mm"),
        cell(5, each.wear_length_m, "mm", "never"),
        cell(6, each.electrode_left_m, "mm"),
        cell(7, each.feed_m, "mm", "never"),
        cell(8, each.point_length_m, "mm"),
    )


def _totals(row: HoleRow) -> tuple[Measure, ...]:
    """What all holes of the job cost."""
    holes = "1 hole" if row.count == 1 else f"{row.count} holes"
    return (
        measure(f"{holes}, all in all", row.total_time_s, "s", "touching off and moving on counted"),
        measure("of this, drilling", row.drilling_time_s, "s"),
        _certain("touching off", row.touching_off_time_s, f"before each of {holes}"),
        _certain("moving on", row.moving_time_s, "from hole to hole"),
        _dressing_measure(row),
        measure("new electrodes", row.changing_time_s, "s", "set anew, or drawn out further"),
        _whole("electrodes", row.electrodes, "or settings of a long one"),
        _whole("holes from one", row.holes_per_electrode, ""),
        measure("electrode in all", row.total_electrode_m, "mm", "wear, and what is cut off"),
    )


def _whole(name: str, value: Banded, remark: str) -> Measure:
    """A number of things, of which there are no parts."""
    low, middle, high = (
        None if end is None else f"{end:.0f}" for end in (value.low, value.median, value.high)
    )
    band = (
        "" if low == high or low is None else f"{low} to {high}" if high else f"{low} to more than can be had"
    )
    return Measure(name=name, middle=middle or "more than can be had", band=band, remark=remark)


def _certain(name: str, seconds: float, remark: str) -> Measure:
    return Measure(name=name, middle=quantity_text(seconds, "s", digits=2), band="", remark=remark)


def _dressing_measure(row: HoleRow) -> Measure:
    """How long cutting the end takes in all, and when that is done."""
    if row.dress_after is None:
        return Measure(name="dressing", middle="none", band="", remark="neither planned nor advised")
    whose = "as the job says" if row.dress_planned else "as advised"
    often = "hole" if row.dress_after == 1 else f"{row.dress_after} holes"
    return measure("dressing", row.dressing_time_s, "s", f"after every {often}, {whose}")


def row_lines(row: HoleRow) -> list[tuple[Measure, ...]]:
    """Each followed hole, then all holes of the job, in the order of `ROW_COLUMNS`."""
    total = {2: ("time", row.total_time_s, "s"), 5: ("wear", row.total_electrode_m, "mm")}
    whole = [
        measure(*total[place]) if place in total else Measure(name=name, middle="", band="")
        for place, name in enumerate(ROW_COLUMNS)
    ]
    whole[0] = Measure(name=ROW_COLUMNS[0], middle=f"all {row.count}", band="")
    return [*(_cells(each) for each in row.holes), tuple(whole)]


def row_table(answer: RowAnswer) -> Columns:
    """A row as a table: a line for each followed hole."""
    holes = answer.row.holes
    columns: dict[str, list[str | float | int | bool | None]] = {
        "hole": [each.hole for each in holes],
        "finished_share": [each.finished_share for each in holes],
        "dressed": [each.dressed for each in holes],
    }
    names = (
        "time_s",
        "entry_diameter_m",
        "exit_diameter_m",
        "wear_length_m",
        "electrode_left_m",
        "feed_m",
        "point_length_m",
    )
    for name in names:
        for end in ("median", "low", "high"):
            columns[f"{name}.{end}"] = [getattr(getattr(each, name), end) for each in holes]
    return columns
