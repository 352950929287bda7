"""Rank 6: the only place where real hands meet the verbs of the user."""

from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path

from gapwright.app.demo import NAMES, DemoAnswer, DemoFiles, demo
from gapwright.app.forecast import Answer, ComparedAnswer, Effort, compare_rigs, forecast_job
from gapwright.app.installation import Installation, check_installation
from gapwright.base.progress import Progress
from gapwright.shell.files import read_text, require_writable, write_into_folder, write_whole
from gapwright.shell.log import keep_fault
from gapwright.shell.workers import Workers

__all__ = ["keep_fault", "read_text", "require_writable", "write_into_folder", "write_whole"]


def installation() -> Installation:
    """State of this installation."""
    from gapwright.shell.installation import own_version, probes

    return check_installation(probes(), version=own_version())


def effort(*, seed: int, members: int, progress: Progress) -> Effort:
    """Work that a forecast may be, on the cores of this machine."""
    workers = Workers()
    return Effort(seed=seed, members=members, spread=workers, progress=workers.heard_by(progress))


def forecast_files(rig: str, job: str, *, seed: int, members: int, progress: Progress) -> Answer:
    """Forecast of two files."""
    return forecast_job(
        rig, job, read=read_text, effort=effort(seed=seed, members=members, progress=progress)
    )


def compared_files(
    rigs: tuple[str, str], job: str, *, seed: int, members: int, progress: Progress
) -> ComparedAnswer:
    """Two rigs compared at one job, from three files."""
    return compare_rigs(
        rigs, job, read=read_text, effort=effort(seed=seed, members=members, progress=progress)
    )


def demo_text(name: str) -> str:
    """Text of a file of the demo, which comes with the package."""
    return (files("gapwright.shell") / "demo" / name).read_text(encoding="utf-8")


def demo_answers(*, seed: int, members: int, progress: Progress) -> list[Answer]:
    """Forecasts of the rigs of the demo."""
    texts = [DemoFiles(name=n, rig=demo_text(f"{n}.rig.toml"), job=demo_text(f"{n}.job.toml")) for n in NAMES]
    return demo(texts, effort=effort(seed=seed, members=members, progress=progress))


def write_demo(folder: str) -> list[str]:
    """Write the files of the demo into a folder; returns their places."""
    names = [f"{name}.{kind}.toml" for name in NAMES for kind in ("rig", "job")]
    return write_into_folder(folder, {name: demo_text(name) for name in names})


def write_report(
    place: str, answers: Sequence[Answer], *, heading: str = "", beside: DemoAnswer | None = None
) -> Path:
    """Write the report of one forecast or several, whole or not at all."""
    from gapwright.shell.report.page import report_html

    write_whole(place, report_html(answers, heading=heading, beside=beside))
    return Path(place)


def write_comparison(place: str, compared: ComparedAnswer) -> Path:
    """Write the report of two rigs compared, whole or not at all."""
    from gapwright.shell.report.page import report_html

    write_whole(place, report_html(compared.answers, compared=compared.comparison))
    return Path(place)
