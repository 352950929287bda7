"""The ledger as a flow: stage by stage what came in, what was lost to what, what went on."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from gapwright.app.flow import Flow, Step, flow_of
from gapwright.app.wording import banded_text, quantity_text, share_text
from gapwright.cli.show.paper import heading, plain_table
from gapwright.study.grounds.outcome import Account, Banded, Ledger

SEEN = 1e-6
"""Share of what came in below which a stored rest is not worth a line."""


def add_line(table: Table, flow: Flow, line: Account, words: str = "", *, account: str = "") -> None:
    """One account under its stage, by its own name if no other is given."""
    power = quantity_text(flow.watts(line.energy_j), "W")
    table.add_row("", "", Text(words + (account or line.account)), power, share_text(line.share), style="")


def add_step(table: Table, flow: Flow, step: Step, *, last: bool) -> None:
    """One stage: what came in, then its losses."""
    arrived = quantity_text(flow.watts(step.came_in_j), "W")
    table.add_row(Text(step.stage, style="bold"), Text(arrived, style="bold"), "", "", "")
    for line in step.losses:
        add_line(table, flow, line, "" if last else "lost to ")
    for line in step.kept:
        if abs(line.energy_j) > SEEN * flow.entered_j:
            drawn = "taken from what was stored" if line.energy_j < 0.0 else line.account
            add_line(table, flow, line, account=drawn)
    for line in step.of_which:
        add_line(table, flow, line, "of which ")


def show_ledger(console: Console, ledger: Ledger, *, of: str = "all energy from the socket") -> None:
    """Print the flow from socket to metal, and what runs beside it."""
    flow = flow_of(ledger)
    duration = banded_text(Banded(median=flow.duration_s, low=flow.duration_s, high=flow.duration_s), "s")
    console.print(heading(f"Follow the joule: mean powers over {duration.middle}, shares of {of}"))
    table = plain_table(
        ("stage", "left"),
        ("came in", "right"),
        ("", "left"),
        ("power", "right"),
        ("share", "right"),
        heading=True,
    )
    for step in flow.steps:
        if step.losses or step.kept or step.of_which:
            add_step(table, flow, step, last=step is flow.steps[-1])
    if flow.beside:
        total = quantity_text(sum(flow.watts(line.energy_j) for line in flow.beside), "W")
        table.add_row(Text("beside it", style="bold"), Text(total, style="bold"), "", "", "")
        for line in flow.beside:
            add_line(table, flow, line)
    console.print(table)
    console.print(f"The account closes to {ledger.balance_error:.1g} of what went in.", style="dim")
