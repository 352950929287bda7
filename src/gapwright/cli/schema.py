"""The command `schema`."""

import json
from typing import Annotated

import typer


def schema(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="rig, job, or the command whose --json is meant.")
    ],
) -> None:
    """Print the JSON Schema of a file you write, or of what a command prints with --json."""
    from gapwright.app.documents import file_schema

    typer.echo(json.dumps(file_schema(name), indent=1, ensure_ascii=False))
