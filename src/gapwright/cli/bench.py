"""The command `bench`."""

from typing import Annotated

import typer

from gapwright.app.ports import Doorway, ServeBench
from gapwright.base.errors import InputRefused

PORT = 8137
LAST_PORT = 65535
LOOPBACK = "127.0.0.1"

Folder = Annotated[
    str | None,
    typer.Argument(metavar="[FOLDER]", help="Folder of rig and job files; none shows the demonstration."),
]
Port = Annotated[
    int, typer.Option("--port", metavar="N", help="Port to listen on, up to 65535; 0 takes a free one.")
]
Address = Annotated[
    str,
    typer.Option(
        "--address", metavar="A", help="Address to listen on; other than this machine's own needs --token."
    ),
]
Token = Annotated[
    str, typer.Option("--token", metavar="T", help="Word that every call from a page or script must carry.")
]
NoBrowser = Annotated[bool, typer.Option("--no-browser", help="Open no browser; only print the address.")]


def bench(
    context: typer.Context,
    folder: Folder = None,
    port: Port = PORT,
    address: Address = LOOPBACK,
    token: Token = "",
    no_browser: NoBrowser = False,
) -> None:
    """Open the local page over the rigs and jobs of a folder, and serve it until Ctrl-C."""
    if not 0 <= port <= LAST_PORT:
        raise InputRefused(f"--port must be from 0 to {LAST_PORT}, got {port}; 0 takes a free one")
    serve: ServeBench | None = context.obj
    if serve is None:
        raise InputRefused("this way of starting serves no page; run the command gapwright bench")
    serve(
        folder,
        Doorway(port=port, address=address, token=token, browser=not no_browser),
        say=lambda place: typer.echo(f"the bench is at {place}   (Ctrl-C ends it)"),
    )
