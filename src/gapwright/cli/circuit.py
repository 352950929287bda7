"""The command `circuit`."""

import typer

from gapwright.cli.options import Json, RigFile


def circuit(rig: RigFile, json: Json = False) -> None:
    """Run the generator alone: filling with the gap open, then sparking at a set voltage."""
    from gapwright.app.circuit import circuit_of
    from gapwright.app.documents import as_json
    from gapwright.cli.show.circuit import show_circuit
    from gapwright.wiring import read_text

    found = circuit_of(rig, read=read_text)
    if json:
        typer.echo(as_json(found))
    else:
        show_circuit(found)
