"""What texts are printed on: a console without colour where nobody would see it."""

import sys

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

UNSEEN_WIDTH = 100
"""Columns where no terminal says how wide it is."""


def paper() -> Console:
    """Console on stdout."""
    width = None if sys.stdout.isatty() else UNSEEN_WIDTH
    return Console(file=sys.stdout, width=width, highlight=False, markup=False, emoji=False, soft_wrap=False)


def plain_table(*columns: tuple[str, str], heading: bool = False) -> Table:
    """Table without lines; each column is (name, "left" or "right")."""
    table = Table(box=None, show_header=heading, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    for name, side in columns:
        table.add_column(
            name, justify="right" if side == "right" else "left", overflow="fold", no_wrap=side == "right"
        )
    return table


def paragraph(text: Text | str, *, indent: int = 2) -> Padding:
    """A text that keeps its indent when it runs over several lines."""
    return Padding(text, (0, 0, 0, indent))


def heading(text: str) -> Text:
    """Title of a part."""
    return Text(text, style="bold")
