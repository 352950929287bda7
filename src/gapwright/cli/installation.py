"""The command `check-install`."""

import typer

from gapwright.cli.options import Json


def check_install(json: Json = False) -> None:
    """Look whether everything that gapwright needs is here and works."""
    from gapwright.app.documents import as_json
    from gapwright.cli.show.installation import show_installation
    from gapwright.wiring import installation

    found = installation()
    if json:
        typer.echo(as_json(found))
    else:
        show_installation(found)
    if not found.complete:
        raise typer.Exit(1)
