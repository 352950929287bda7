"""The command `forecast`."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from gapwright.base.errors import InputRefused
from gapwright.cli.options import (
    Cluster,
    JobFile,
    Json,
    Keep,
    Members,
    Plot,
    Quiet,
    Report,
    RigFile,
    Seed,
    Sweep,
    WorkerCount,
)
from gapwright.cli.progress import Line
from gapwright.cli.sweep import require_sweep, swept

if TYPE_CHECKING:
    from gapwright.app.forecast import Answer

T = TypeVar("T")

MEMBERS = 64

Compare = Annotated[
    str | None,
    typer.Option("--compare", metavar="RIG2", help="Also forecast this rig under the same luck."),
]


def forecast(
    rig: RigFile,
    job: JobFile,
    json: Json = False,
    seed: Seed = 0,
    members: Members = MEMBERS,
    report: Report = None,
    compare: Compare = None,
    sweep: Sweep = None,
    plot: Plot = None,
    workers: WorkerCount = None,
    cluster: Cluster = None,
    keep: Keep = None,
    quiet: Quiet = False,
) -> None:
    """Forecast a hole: whether it goes through, time, size, wear, energy, cautions."""
    if sweep:
        require_alone(report=report, compare=compare)
        swept(
            sweep,
            rig=rig,
            job=job,
            seed=seed,
            members=members,
            workers=workers,
            cluster=cluster,
            keep=keep,
            plot=plot,
            json=json,
            quiet=quiet,
        )
        return
    require_sweep(workers=workers, cluster=cluster, keep=keep, plot=plot)
    from gapwright import wiring
    from gapwright.app.documents import as_json
    from gapwright.cli.show.forecast import show_forecast

    if report is not None:
        wiring.require_writable(report)
    if compare is not None:
        against(rig, compare, job, json=json, seed=seed, members=members, report=report, quiet=quiet)
        return
    answer = answered(rig, job, seed=seed, members=members, quiet=quiet)
    if report is not None:
        wiring.write_report(report, [answer])
        typer.echo(f"report written to {report}", err=True)
    if json:
        typer.echo(as_json(answer.forecast))
    else:
        show_forecast(answer)


def require_alone(**others: str | None) -> None:
    """Refuse options that say nothing about a sweep, instead of leaving them out."""
    for name, given in others.items():
        if given is not None:
            raise InputRefused(
                f"--{name} goes with one forecast, not with --sweep; got both; run them one after the other"
            )


def against(
    rig: str, other: str, job: str, *, json: bool, seed: int, members: int, report: str | None, quiet: bool
) -> None:
    """Compare two rigs at one job."""
    from gapwright import wiring
    from gapwright.app.documents import as_json
    from gapwright.cli.show.comparison import show_comparison

    compared = heard(
        quiet,
        lambda line: wiring.compared_files((rig, other), job, seed=seed, members=members, progress=line),
    )
    if report is not None:
        wiring.write_comparison(report, compared)
        typer.echo(f"report written to {report}", err=True)
    if json:
        typer.echo(as_json(compared.comparison))
    else:
        show_comparison(compared)


def answered(rig: str, job: str, *, seed: int, members: int, quiet: bool) -> "Answer":
    """Forecast of two files, with progress on stderr."""
    from gapwright import wiring

    return heard(
        quiet, lambda line: wiring.forecast_files(rig, job, seed=seed, members=members, progress=line)
    )


def heard(quiet: bool, work: "Callable[[Line], T]") -> T:
    """Answer of some work, with its progress on stderr."""
    line = Line(quiet=quiet)
    try:
        return work(line)
    finally:
        line.clear()
