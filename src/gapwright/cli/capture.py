"""The commands below `capture`."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import typer

from gapwright.cli.capture_options import (
    Each,
    Figure,
    Figures,
    Files,
    Keep,
    Kind,
    Rig,
    Sparks,
    option_value,
    request_of,
    takes_recorder_options,
)
from gapwright.cli.options import Json, Quiet, RigFile

if TYPE_CHECKING:
    from gapwright.app.captures import CaptureInHand, CaptureRequest


def in_hand(request: "CaptureRequest", *, quiet: bool) -> "CaptureInHand":
    """Read a capture, with progress on stderr."""
    from gapwright import wiring
    from gapwright.app.captures import read_capture
    from gapwright.cli.progress import Line

    line = Line(quiet=quiet)
    try:
        return read_capture(request, wiring.capture_hands(line))
    finally:
        line.clear()


@takes_recorder_options
def capture_read(
    files: Files,
    rig: Rig = None,
    each: Each = False,
    keep: Keep = None,
    sparks: Sparks = None,
    json: Json = False,
    quiet: Quiet = False,
    **said: Any,
) -> None:
    """Read what a recorder saved: how many sparks of which class, their energy, charge and delay."""
    from gapwright import wiring
    from gapwright.app.documents import as_json
    from gapwright.cli.show.capture import show_capture

    request = request_of(files, rig, said)
    if each:
        read_each_alone(request, json=json, quiet=quiet, alone=keep is None and sparks is None)
        return
    if sparks is not None:
        wiring.require_table_place(sparks)
    found = in_hand(request, quiet=quiet)
    if keep is not None:
        wiring.keep_in_folder(found, keep)
        typer.echo(f"capture kept in {keep}", err=True)
    if sparks is not None:
        wiring.write_sparks(sparks, found)
        typer.echo(f"sparks written to {sparks}", err=True)
    if json:
        typer.echo(as_json(found.answer))
    else:
        show_capture(found.answer)


def read_each_alone(request: "CaptureRequest", *, json: bool, quiet: bool, alone: bool) -> None:
    """Read each file by itself and print a line for each."""
    from gapwright import wiring
    from gapwright.app.captures import read_each
    from gapwright.app.documents import as_json
    from gapwright.base.errors import InputRefused
    from gapwright.cli.progress import Line
    from gapwright.cli.show.capture import show_batch

    if not alone:
        raise InputRefused("--each reads many captures and takes no --keep and no --sparks; leave them out")
    line = Line(quiet=quiet)
    try:
        found = read_each(request, wiring.capture_hands(line))
    finally:
        line.clear()
    if json:
        typer.echo(as_json(found))
    else:
        show_batch(found)


@takes_recorder_options
def capture_show(
    files: Files,
    figures: Figures,
    rig: Rig = None,
    kind: Kind = "svg",
    json: Json = False,
    quiet: Quiet = False,
    **said: Any,
) -> None:
    """Draw a capture: overview, a spark of each class, ignition delay, energies, classes over time."""
    from gapwright import wiring
    from gapwright.app.captures import DrawnAnswer
    from gapwright.app.documents import as_json

    ending = option_value("kind", kind)
    wiring.made_folder(figures)
    found = in_hand(request_of(files, rig, said), quiet=quiet)
    places = wiring.write_capture_figures(figures, found, ending=ending)
    if json:
        typer.echo(as_json(DrawnAnswer(schema=1, figures=tuple(places))))
    else:
        for place in places:
            typer.echo(place)


def capture_setup(rig: RigFile, figure: Figure = None, json: Json = False) -> None:
    """Before the first capture: where the earth clip may go, probes, shunt, sample rate and bits."""
    from gapwright import wiring
    from gapwright.app.captures import capture_setup as setup_of
    from gapwright.app.documents import as_json
    from gapwright.cli.show.capture_setup import show_setup

    if figure is not None:
        wiring.require_writable(figure)
    found = setup_of(rig, read=wiring.read_text)
    if figure is not None:
        wiring.write_earth_figure(figure, found, rig)
        typer.echo(f"figure written to {figure}", err=True)
    if json:
        typer.echo(as_json(found))
    else:
        show_setup(found)


CAPTURE: dict[str, tuple[Callable[..., None], str]] = {
    "read": (capture_read, "Read sparks out of files."),
    "show": (capture_show, "Draw the sparks in files."),
    "setup": (capture_setup, "Hook a recorder up to a rig."),
}
"""Commands below `capture`, with the few words that the list of commands says of each."""
