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
    from gapwright.app.forecast import Answer, Keeping

T = TypeVar("T")

MEMBERS = 64

Compare = Annotated[
    str | None,
    typer.Option("--compare", metavar="RIG2", help="Also forecast this rig under the same luck."),
]
SparksFile = Annotated[
    str | None,
    typer.Option("--sparks", metavar="FILE.parquet", help="Also write every spark of the drilling shown."),
]
ShapesFile = Annotated[
    str | None,
    typer.Option(
        "--shapes",
        metavar="FILE",
        help="Also write hole and electrode at several depths: .json, .parquet, .svg or .png.",
    ),
]
CaptureFile = Annotated[
    str | None,
    typer.Option(
        "--capture",
        metavar="FILE",
        help="Also write what a recorder would have saved: .csv, .parquet, or a folder as captures are kept.",
    ),
]
CaptureAt = Annotated[
    str | None,
    typer.Option(
        "--capture-at", metavar="DEPTH", help="Where the capture ends; half the wanted depth if not given."
    ),
]
InARow = Annotated[
    int,
    typer.Option(
        "--in-a-row",
        metavar="HOLES",
        help="Also drill so many holes, 2 to 20, one after another with one electrode as it wears.",
    ),
]
ShapesAt = Annotated[
    str | None,
    typer.Option("--shapes-at", metavar="DEPTHS", help='At which depths, such as "0.5 mm, 1 mm".'),
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
    sparks: SparksFile = None,
    shapes: ShapesFile = None,
    shapes_at: ShapesAt = None,
    capture: CaptureFile = None,
    capture_at: CaptureAt = None,
    in_a_row: InARow = 0,
    quiet: Quiet = False,
) -> None:
    """Forecast a hole: whether it goes through, time, size, wear, energy, cautions."""
    if sweep:
        require_alone(
            report=report,
            compare=compare,
            sparks=sparks,
            shapes=shapes,
            capture=capture,
            in_a_row=in_a_row or None,
        )
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
    from gapwright.shell.outputs import require_report

    if report is not None:
        require_report(report)
    files = {"sparks": sparks, "shapes": shapes, "capture": capture}
    refuse_misfits(files, compare=compare, shapes_at=shapes_at, capture_at=capture_at)
    if compare is not None:
        if in_a_row:
            raise InputRefused(
                "--in-a-row follows the holes of one rig, got --compare too; forecast each rig by itself"
            )
        against(rig, compare, job, json=json, seed=seed, members=members, report=report, quiet=quiet)
        return
    keeping = kept(files, shapes_at=shapes_at, capture_at=capture_at, in_a_row=in_a_row)
    answer = answered(rig, job, seed=seed, members=members, quiet=quiet, keeping=keeping)
    if report is not None:
        wiring.write_report(report, [answer])
        typer.echo(f"report written to {report}", err=True)
    for place in wiring.write_kept(answer, **files):
        typer.echo(f"written: {place}", err=True)
    if json:
        typer.echo(as_json(answer.forecast))
    else:
        show_forecast(answer)


def require_alone(**others: str | int | None) -> None:
    """Refuse options that say nothing about a sweep, instead of leaving them out."""
    for name, given in others.items():
        if given is not None:
            raise InputRefused(
                f"--{name.replace('_', '-')} goes with one forecast, not with --sweep; got both; "
                "run them one after the other"
            )


def refuse_misfits(
    files: dict[str, str | None], *, compare: str | None, shapes_at: str | None, capture_at: str | None
) -> None:
    """Refuse options that do not go together."""
    for name, depth in (("shapes", shapes_at), ("capture", capture_at)):
        if depth is not None and files[name] is None:
            raise InputRefused(f"--{name}-at needs --{name} FILE, got none; say where it shall go")
    given = [place for place in files.values() if place is not None]
    if compare is not None and given:
        raise InputRefused(
            "--sparks, --shapes and --capture keep one drilling, got --compare beside them; "
            "forecast each rig by itself"
        )
    if len(set(given)) < len(given):
        raise InputRefused(
            f"--sparks, --shapes and --capture must be different files, got {given[-1]!r} twice"
        )


def kept(
    files: dict[str, str | None], *, shapes_at: str | None, capture_at: str | None, in_a_row: int
) -> "Keeping":
    """What a forecast shall keep of its drilling, and whether more holes follow it."""
    from gapwright import wiring
    from gapwright.app.forecast import Keeping

    if not any(files.values()):
        return Keeping(in_a_row=in_a_row)
    wiring.require_kept(**files)
    from gapwright.app.records import depth_from, depths_from

    return Keeping(
        every_spark=files["sparks"] is not None,
        shapes_at=() if shapes_at is None else depths_from(shapes_at),
        captures=files["capture"] is not None,
        capture_at=None if capture_at is None else depth_from(capture_at),
        in_a_row=in_a_row,
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


def answered(
    rig: str, job: str, *, seed: int, members: int, quiet: bool, keeping: "Keeping | None" = None
) -> "Answer":
    """Forecast of two files, with progress on stderr."""
    from gapwright import wiring

    chosen = {} if keeping is None else {"keeping": keeping}
    return heard(
        quiet,
        lambda line: wiring.forecast_files(rig, job, seed=seed, members=members, progress=line, **chosen),
    )


def heard(quiet: bool, work: "Callable[[Line], T]") -> T:
    """Answer of some work, with its progress on stderr."""
    line = Line(quiet=quiet)
    try:
        return work(line)
    finally:
        line.clear()
