"""Browse the tables of facts: every number with its unit, source and status."""

from dataclasses import dataclass

from gapwright.base.checks import close_names
from gapwright.base.errors import FactMissing
from gapwright.facts.tables import Row, rows, tables


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table: its name, how many entries and how many rows it has."""

    table: str
    entries: int
    rows: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Browsed:
    """What was asked of the tables: the list of tables, or the rows of one in SI units."""

    schema: int
    table: str | None
    name: str | None
    tables: tuple[Table, ...]
    rows: tuple[Row, ...]


def entries(of: tuple[Row, ...]) -> tuple[str, ...]:
    """Names of the entries of a table, each once and in order."""
    return tuple(dict.fromkeys(row.name for row in of))


def browse_facts(table: str | None = None, name: str | None = None) -> Browsed:
    """The list of tables, the rows of one table, or the rows of one of its entries.

    Raises
    ------
    FactMissing
        If there is no such table, or no such entry in it.
    """
    if table is None:
        listed = tuple(
            Table(table=each, entries=len(entries(rows(each))), rows=len(rows(each))) for each in tables()
        )
        return Browsed(schema=1, table=None, name=None, tables=listed, rows=())
    chosen = rows(table)
    if name is not None:
        known = entries(chosen)
        chosen = tuple(row for row in chosen if row.name == name)
        if not chosen:
            near = close_names(name, known)
            raise FactMissing(
                f"{name!r} is not in the table {table}{near}; list it with: gapwright facts {table}"
            )
    return Browsed(schema=1, table=table, name=name, tables=(), rows=chosen)
