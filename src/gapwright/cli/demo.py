"""The command `demo`."""

from typing import Annotated

import typer

from gapwright.cli.options import Json, Members, Quiet, Report, Seed

MEMBERS = 32

Folder = Annotated[
    str | None,
    typer.Option("--write", metavar="FOLDER", help="Only write the files of the demo into this folder."),
]


def demo(
    write: Folder = None,
    report: Report = None,
    json: Json = False,
    seed: Seed = 0,
    members: Members = MEMBERS,
    quiet: Quiet = False,
) -> None:
    """Forecast three invented rigs and lay their ledgers side by side."""
    from gapwright import wiring
    from gapwright.app.demo import compared
    from gapwright.app.documents import as_json
    from gapwright.cli.progress import Line
    from gapwright.cli.show.demo import show_demo
    from gapwright.shell.outputs import require_report

    if write is not None:
        written = wiring.write_demo(write)
        for place in written:
            typer.echo(place)
        typer.echo(f"try: gapwright forecast {written[0]} {written[1]}", err=True)
        return
    if report is not None:
        require_report(report)
    line = Line(quiet=quiet)
    try:
        answers = wiring.demo_answers(seed=seed, members=members, progress=line)
    finally:
        line.clear()
    result = compared(answers)
    if report is not None:
        wiring.write_report(report, answers, heading="Three rigs, side by side", beside=result)
        typer.echo(f"report written to {report}", err=True)
    if json:
        typer.echo(as_json(result))
    else:
        show_demo(answers, result)
