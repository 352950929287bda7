"""The demo as text: each verdict in brief, then the ledgers side by side."""

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from gapwright.app.demo import DemoAnswer, cell_text
from gapwright.app.forecast import Answer
from gapwright.app.measures import first_measures
from gapwright.cli.show.forecast import show_measures, show_verdict
from gapwright.cli.show.paper import heading, paper, plain_table


def show_demo(answers: Sequence[Answer], result: DemoAnswer) -> None:
    """Print the demo."""
    console = paper()
    for answer in answers:
        show_verdict(console, answer.forecast)
        show_measures(console, first_measures(answer))
        for remark in answer.forecast.remarks:
            console.print(Text(remark, style="dim"))
        console.print()
    show_side_by_side(console, result)
    for sentence in result.sentences:
        console.print(sentence)
    console.print()
    console.print(
        "The whole of it: gapwright demo --write FOLDER, then gapwright forecast RIG JOB", style="dim"
    )


def show_side_by_side(console: Console, result: DemoAnswer) -> None:
    """Stages as rows, rigs as columns."""
    console.print(heading("Where the joules go: power and share of all energy from the socket"))
    table = plain_table(
        ("stage", "left"), *((forecast.rig, "right") for forecast in result.forecasts), heading=True
    )
    for row in result.stages:
        table.add_row(row.stage, *(cell_text(cell) for cell in row.cells))
    console.print(table)
