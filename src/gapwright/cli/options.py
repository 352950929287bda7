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
