"""The command `circuit`."""

from typing import Annotated

import typer

from gapwright.cli.options import Json, RigFile

Deck = Annotated[
    str | None, typer.Option("--deck", metavar="FILE", help="Write a deck for a circuit simulator, too.")
]


def circuit(rig: RigFile, json: Json = False, deck: Deck = None) -> None:
    """Run the generator alone: filling with the gap open, then sparking at a set voltage."""
    from gapwright import wiring
    from gapwright.app.circuit import circuit_of, deck_of
    from gapwright.app.documents import as_json
    from gapwright.cli.show.circuit import show_circuit

    if deck is not None:
        wiring.require_writable(deck)
        wiring.write_whole(deck, deck_of(rig, read=wiring.read_text))
    found = circuit_of(rig, read=wiring.read_text)
    if json:
        typer.echo(as_json(found))
    else:
        show_circuit(found)
