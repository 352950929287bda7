"""Options that several commands share, described once."""

from typing import Annotated

import typer

Json = Annotated[bool, typer.Option("--json", help="Print one JSON object, in SI units, instead of text.")]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing about progress.")]
Seed = Annotated[int, typer.Option("--seed", metavar="N", help="Seed of all draws: same seed, same answer.")]
Members = Annotated[
    int,
    typer.Option("--members", metavar="N", help="How many drillings with other constants make the band."),
]
Report = Annotated[
    str | None, typer.Option("--report", metavar="FILE.html", help="Also write a report to this file.")
]
RigFile = Annotated[str, typer.Argument(metavar="RIG", help="File that describes the rig.")]
JobFile = Annotated[str, typer.Argument(metavar="JOB", help="File that describes the hole.")]
Sweep = Annotated[
    list[str] | None,
    typer.Option(
        "--sweep",
        metavar="KEY=FROM..TO:log|lin:N",
        help="Walk a key of the rig file (or job.KEY of the job file) through N values; "
        "several of these span a grid.",
    ),
]
Cluster = Annotated[
    str | None,
    typer.Option(
        "--cluster", metavar="tcp://HOST:PORT", help="Sweep on this Dask scheduler instead of this machine."
    ),
]
WorkerCount = Annotated[
    int | None,
    typer.Option("--workers", metavar="N", help="Processes that a sweep uses here; one a core if not given."),
]
Keep = Annotated[
    str | None,
    typer.Option(
        "--keep",
        metavar="FILE",
        help="File that keeps finished points of a sweep, so that it goes on where it was stopped.",
    ),
]
Plot = Annotated[
    str | None,
    typer.Option(
        "--plot", metavar="FILE", help="Write the sweep, too: a picture (.svg, .png) or a table (.parquet)."
    ),
]
