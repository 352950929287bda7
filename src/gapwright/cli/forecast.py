"""The commands `forecast` and `ledger`."""

from typing import TYPE_CHECKING

import typer

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
from gapwright.cli.sweep import require_sweep, swept

if TYPE_CHECKING:
    from gapwright.app.forecast import Answer

MEMBERS = 64


def forecast(
    rig: RigFile,
    job: JobFile,
    json: Json = False,
    seed: Seed = 0,
    members: Members = MEMBERS,
    report: Report = None,
    sweep: Sweep = None,
    plot: Plot = None,
    workers: WorkerCount = None,
    cluster: Cluster = None,
    keep: Keep = None,
    quiet: Quiet = False,
) -> None:
    """Forecast a hole: whether it goes through, time, size, wear, energy, cautions."""
    if sweep:
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
    answer = answered(rig, job, seed=seed, members=members, quiet=quiet)
    if report is not None:
        wiring.write_report(report, [answer])
        typer.echo(f"report written to {report}", err=True)
    if json:
        typer.echo(as_json(answer.forecast))
    else:
        show_forecast(answer)


def ledger(
    rig: RigFile,
    job: JobFile,
    json: Json = False,
    seed: Seed = 0,
    members: Members = MEMBERS,
    quiet: Quiet = False,
) -> None:
    """Account for every joule from the socket to the metal, for one forecast drilling."""
    from gapwright.app.documents import as_json
    from gapwright.app.forecast import ledger_of
    from gapwright.cli.show.ledger import show_ledger
    from gapwright.cli.show.paper import paper

    account = ledger_of(answered(rig, job, seed=seed, members=members, quiet=quiet))
    if json:
        typer.echo(as_json(account))
    else:
        console = paper()
        console.print(f"{account.rig}, {account.job}", style="dim")
        show_ledger(console, account.ledger)


def answered(rig: str, job: str, *, seed: int, members: int, quiet: bool) -> "Answer":
    """Forecast of two files, with progress on stderr."""
    from gapwright import wiring
    from gapwright.cli.progress import Line

    line = Line(quiet=quiet)
    try:
        return wiring.forecast_files(rig, job, seed=seed, members=members, progress=line)
    finally:
        line.clear()
