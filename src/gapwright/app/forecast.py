"""From the names of two files to a forecast and its ledger; from three, to two rigs compared."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gapwright.app.ports import Spread, TextSource
from gapwright.base.checks import require_between
from gapwright.base.progress import Progress
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.study.grounds.outcome import Forecast, Ledger, Pictures

if TYPE_CHECKING:
    from gapwright.capture.waveform import Capture
    from gapwright.study.drilling.recorder import Recorded
    from gapwright.study.forecast.comparison import Comparison
    from gapwright.study.forecast.drillings import Work

MOST_MEMBERS = 4096
MOST_IN_A_ROW = 20
LARGEST_SEED = 2**63 - 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """A forecast, what its figures need, and what was kept of the drilling shown."""

    forecast: Forecast
    pictures: Pictures
    recorded: "Recorded | None" = None
    capture: "Capture | None" = None
    """A stretch of the drilling shown as a recorder would have saved it, where it was asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedAnswer:
    """Two rigs compared, and both forecasts with what their figures need."""

    comparison: "Comparison"
    answers: tuple[Answer, Answer]


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerAnswer:
    """The energy account of a forecast alone."""

    schema: int
    rig: str
    job: str
    seed: int
    members: int
    ledger: Ledger


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeping:
    """What is kept of the drilling shown beside its history, and whether more holes follow it in a row."""

    every_spark: bool = False
    shapes_at: tuple[float, ...] = ()
    captures: bool = False
    capture_at: float | None = None
    in_a_row: int = 0
    """Holes that are drilled one after another with one electrode; 0 for none."""

    def __post_init__(self) -> None:
        """Refuse a row that is none."""
        if self.in_a_row:
            require_between("--in-a-row", self.in_a_row, 2, MOST_IN_A_ROW, "")


USUAL = Keeping()


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How much work a forecast may be: its draws, its cores, who hears of it, and what is kept of it."""

    seed: int
    members: int
    spread: Spread
    progress: Progress
    keeping: Keeping = USUAL

    def __post_init__(self) -> None:
        """Refuse counts that mean nothing."""
        require_between("--members", self.members, 1, MOST_MEMBERS, "")
        require_between("--seed", self.seed, 0, LARGEST_SEED, "")


def forecast_job(rig_place: str, job_place: str, *, read: TextSource, effort: Effort) -> Answer:
    """Forecast of the job at `job_place` on the rig at `rig_place`.

    Raises
    ------
    InputRefused
        If a file cannot be read or breaks a stated rule.
    """
    rig_text, job_text = read(rig_place), read(job_place)
    return forecast_texts((rig_place, rig_text), (job_place, job_text), effort=effort)


def forecast_texts(rig: tuple[str, str], job: tuple[str, str], *, effort: Effort) -> Answer:
    """Forecast from texts, each with the name of where it came from."""
    rig_record = rig_from_text(rig[1], rig[0])
    job_record = job_from_text(job[1], job[0])
    # Loaded only now: a file that is refused should not wait for the compiled kernels.
    from gapwright.study.drilling.drilled_capture import drilled_capture
    from gapwright.study.forecast.drillings import drillings
    from gapwright.study.forecast.forecast import said
    from gapwright.study.forecast.pictures import pictures

    done = drillings(rig_record, job_record, work_of(effort))
    captures = effort.keeping.captures
    return Answer(
        forecast=said(done, seed=effort.seed),
        pictures=pictures(done.made, done.fine, done.coarse),
        recorded=done.recorded,
        capture=drilled_capture(done.made, done.recorded.stretch, seed=effort.seed) if captures else None,
    )


def work_of(effort: Effort) -> "Work":
    """The work of an effort, as the study of drillings takes it."""
    from gapwright.study.drilling.recorder import Asked
    from gapwright.study.forecast.drillings import Work

    keeping = effort.keeping
    return Work(
        seed=effort.seed,
        members=effort.members,
        progress=effort.progress,
        spread=effort.spread,
        in_a_row=keeping.in_a_row,
        asked=Asked(
            every_spark=keeping.every_spark,
            shapes_at=keeping.shapes_at,
            captures=keeping.captures,
            capture_at=keeping.capture_at,
        ),
    )


def compare_rigs(
    rigs: tuple[str, str], job_place: str, *, read: TextSource, effort: Effort
) -> ComparedAnswer:
    """Comparison of the job at `job_place` on two rigs, each member of both under the same luck.

    Raises
    ------
    InputRefused
        If a file cannot be read or breaks a stated rule.
    """
    texts = [(place, read(place)) for place in (*rigs, job_place)]
    first, second = (rig_from_text(text, place) for place, text in texts[:2])
    job = job_from_text(texts[2][1], job_place)
    # Loaded only now: a file that is refused should not wait for the compiled kernels.
    from gapwright.study.forecast.comparison import comparison

    answer, pictures = comparison(first, second, job, work_of(effort))
    return ComparedAnswer(
        comparison=answer,
        answers=(
            Answer(forecast=answer.first, pictures=pictures[0]),
            Answer(forecast=answer.second, pictures=pictures[1]),
        ),
    )


def ledger_of(answer: Answer) -> LedgerAnswer:
    """The energy account of a forecast alone."""
    forecast = answer.forecast
    return LedgerAnswer(
        schema=1,
        rig=forecast.rig,
        job=forecast.job,
        seed=forecast.seed,
        members=forecast.members,
        ledger=forecast.ledger,
    )
