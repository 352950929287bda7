"""The measured account as text: each line with its uncertainty, the forecast's beside it."""

from rich.text import Text

from gapwright.app.wording import quantity_text, share_text
from gapwright.cli.show.paper import heading, paper, paragraph, plain_table
from gapwright.study.captures.measured_ledger import MeasuredLedger, MeasuredLine
from gapwright.study.grounds.outcome import Role

WORDS = {Role.IN: "came in: ", Role.OUT: "lost to ", Role.OF_WHICH: "of which ", Role.STORED: "stored: "}


def show_measured(account: MeasuredLedger) -> None:
    """Print the account of a capture."""
    console = paper()
    seconds = quantity_text(account.duration_s, "s")
    console.print(heading(f"Follow the measured joule: mean powers over the {seconds} of the capture"))
    names = ("stage", "", "power", "standard uncertainty", "share", "forecast", "from")
    table = plain_table(
        (names[0], "left"),
        (names[1], "left"),
        *((name, "right") for name in names[2:6]),
        (names[6], "left"),
        heading=True,
    )
    for line in account.lines:
        table.add_row(*cells(line, account.duration_s))
    console.print(table)
    for doubt in account.doubts:
        console.print(paragraph(f"! {doubt}"))


def cells(line: MeasuredLine, seconds: float) -> tuple[Text | str, ...]:
    """One line of the account."""
    words = line.account if line.stage == "spark" else WORDS[line.role] + line.account
    beside = "" if line.forecast_power_w is None else quantity_text(line.forecast_power_w, "W")
    return (
        Text(line.stage, style="bold"),
        words,
        quantity_text(line.power_w, "W"),
        quantity_text(line.uncertainty_j / seconds, "W"),
        share_text(line.share),
        beside,
        line.came_from,
    )
