"""Tables of facts as text."""

from rich.text import Text

from gapwright.app.facts import Browsed, entries
from gapwright.cli.show.paper import paper, paragraph, plain_table
from gapwright.facts.tables import Row

MANY = 6
"""Rows an entry may have, on average, before a whole table is shown as a list of its entries."""


def show_facts(browsed: Browsed) -> None:
    """Print the list of tables, the entries of one, or all numbers of one entry."""
    if browsed.table is None:
        show_tables(browsed)
    elif browsed.name is None and len(browsed.rows) > MANY * len(entries(browsed.rows)):
        show_entries(browsed)
    else:
        show_rows(browsed.rows)


def show_tables(browsed: Browsed) -> None:
    """One line for each table."""
    table = plain_table(("table", "left"), ("entries", "right"), ("rows", "right"), heading=True)
    for line in browsed.tables:
        table.add_row(line.table, str(line.entries), str(line.rows))
    console = paper()
    console.print(table)
    console.print("Show one with: gapwright facts TABLE [NAME]", style="dim")


def show_entries(browsed: Browsed) -> None:
    """One line for each entry."""
    table = plain_table(("name", "left"), ("rows", "right"), heading=True)
    for name in entries(browsed.rows):
        table.add_row(name, str(sum(row.name == name for row in browsed.rows)))
    console = paper()
    console.print(table)
    console.print(f"Show one with: gapwright facts {browsed.table} NAME", style="dim")


def number(value: float | str | None) -> str:
    """A number of a table as it stands there, in SI units; a text as it is."""
    return "" if value is None else value if isinstance(value, str) else f"{value:.6g}"


def value_text(row: Row) -> str:
    """Value or range, with its unit."""
    known = row.low is not None or row.high is not None
    span = f"{number(row.low) or '...'} to {number(row.high) or '...'}" if known else ""
    unit = f" {row.unit}" if row.unit else ""
    if row.value is None:
        return span + unit
    return f"{number(row.value)}{unit}" + (f" ({span})" if span else "")


def show_rows(rows: tuple[Row, ...]) -> None:
    """Every number with its range, unit, status and source, under the name of its entry."""
    console = paper()
    last = ""
    for row in rows:
        if row.name != last:
            console.print(Text(row.name, style="bold"))
            last = row.name
        at = f" at {row.at}" if row.at else ""
        label = row.property.replace("_", " ")
        beside = f", {row.beside}" if row.beside else ""
        told = Text(f"{label}: {value_text(row)}{beside}{at}")
        console.print(paragraph(told.append(f"  [{row.status.value}: {row.source}]", style="dim")))
        if row.note:
            console.print(paragraph(Text(row.note, style="dim"), indent=6))
