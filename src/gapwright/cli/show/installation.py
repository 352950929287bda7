"""State of an installation as text."""

from gapwright.app.installation import Installation
from gapwright.cli.show.paper import paper, plain_table


def show_installation(found: Installation) -> None:
    """One line for each thing that was looked at."""
    table = plain_table(("", "left"), ("what", "left"), ("found", "left"), ("to do", "left"))
    for check in found.checks:
        mark = "ok" if check.well else "MISSING" if check.needed else "not here"
        table.add_row(mark, check.name, check.found, check.to_do)
    console = paper()
    console.print(table)
    word = "Everything needed is here." if found.complete else "Something needed is missing: see above."
    console.print(f"gapwright {found.version}. {word}", style="bold")
