"""Two rigs compared, as text: both verdicts, what differs and by how much, then where their joules go."""

from rich.text import Text

from gapwright.app.demo import compared
from gapwright.app.forecast import ComparedAnswer
from gapwright.app.measures import contrasts
from gapwright.app.wording import counted
from gapwright.cli.show.demo import show_side_by_side
from gapwright.cli.show.forecast import show_verdict
from gapwright.cli.show.paper import heading, paper, plain_table
from gapwright.study.forecast.comparison import labels


def show_comparison(answer: ComparedAnswer) -> None:
    """Print a comparison."""
    console, both = paper(), answer.comparison
    for forecast in (both.first, both.second):
        show_verdict(console, forecast)
    console.print()
    console.print(Text(both.sentence, style="bold"))
    first, second = labels(both.first.rig, both.second.rig)
    console.print()
    many = counted(both.first.members, "member", "members")
    console.print(heading(f"{second} against {first}, each of {many} under the same luck"))
    table = plain_table(
        ("", "left"),
        (first, "right"),
        (second, "right"),
        ("difference (90 % of members)", "left"),
        ("better in", "right"),
        heading=True,
    )
    for row in contrasts(both):
        table.add_row(row.name, row.first, row.second, row.difference, row.better)
    console.print(table)
    console.print()
    show_side_by_side(console, compared(answer.answers))
