"""The command `facts`."""

from typing import Annotated

import typer

from gapwright.cli.options import Json


def facts(
    table: Annotated[
        str | None, typer.Argument(metavar="[TABLE]", help="Table to show; none lists them.")
    ] = None,
    name: Annotated[str | None, typer.Argument(metavar="[NAME]", help="Entry of the table.")] = None,
    json: Json = False,
) -> None:
    """Browse the tables: materials, liquids, priors, limits, with unit, source and status."""
    from gapwright.app.documents import as_json
    from gapwright.app.facts import browse_facts
    from gapwright.cli.show.facts import show_facts

    browsed = browse_facts(table, name)
    if json:
        typer.echo(as_json(browsed))
    else:
        show_facts(browsed)
