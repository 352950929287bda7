"""The command `circuit`."""

from typing import Annotated

import typer

from gapwright.cli.options import Cluster, Json, Keep, Quiet, RigFile, Sweep, WorkerCount
from gapwright.cli.sweep import require_no_sweep, require_sweep, swept

Deck = Annotated[
    str | None, typer.Option("--deck", metavar="FILE", help="Write a deck for a circuit simulator, too.")
]
Plot = Annotated[
    str | None,
    typer.Option(
        "--plot",
        metavar="FILE",
        help="Write waveforms, or a sweep: a picture (.svg, .png) or a table (.parquet).",
    ),
]
Schematic = Annotated[
    str | None,
    typer.Option(
        "--schematic",
        metavar="FILE",
        help="Write the schematic, each part with its heat in the scene: a picture (.svg, .png).",
    ),
]
Scene = Annotated[
    str,
    typer.Option(
        "--scene",
        metavar="SCENE",
        help="Scene whose waveforms and meters are shown: start-up, spark, short or standing-arc.",
    ),
]


def circuit(
    rig: RigFile,
    json: Json = False,
    deck: Deck = None,
    plot: Plot = None,
    schematic: Schematic = None,
    scene: Scene = "spark",
    sweep: Sweep = None,
    workers: WorkerCount = None,
    cluster: Cluster = None,
    keep: Keep = None,
    quiet: Quiet = False,
) -> None:
    """Run the generator alone: start-up, sparks, a short, an arc that stands; say what each part endures."""
    if sweep:
        require_no_sweep(deck=deck, schematic=schematic)
        swept(
            sweep,
            rig=rig,
            workers=workers,
            cluster=cluster,
            keep=keep,
            plot=plot,
            json=json,
            quiet=quiet,
        )
        return
    require_sweep(workers=workers, cluster=cluster, keep=keep)
    from gapwright import wiring
    from gapwright.app.circuit import deck_of, scene_named
    from gapwright.app.documents import as_json
    from gapwright.cli.progress import Line
    from gapwright.cli.show.circuit import show_circuit

    scene_named(scene)
    _require_places(plot, schematic, deck)
    if deck is not None:
        wiring.write_whole(deck, deck_of(rig, read=wiring.read_text))
        typer.echo(f"deck written to {deck}; run it with: ngspice -b {deck}", err=True)
    line = Line(quiet=quiet)
    try:
        seen = wiring.circuit_file(rig, scene=scene, progress=line)
    finally:
        line.clear()
    for place, write, what in (
        (plot, wiring.write_waves, "waveforms"),
        (schematic, wiring.write_schematic, "schematic"),
    ):
        if place is not None:
            write(place, seen)
            typer.echo(f"{what} written to {place}", err=True)
    if json:
        typer.echo(as_json(seen.told))
    else:
        show_circuit(seen.told, scene=seen.scene)


def _require_places(plot: str | None, schematic: str | None, deck: str | None) -> None:
    """Refuse files that could not be written, or would replace each other, before the work."""
    from gapwright import wiring
    from gapwright.base.errors import InputRefused
    from gapwright.shell.outputs import require_deck

    for option, place in (("--plot", plot), ("--schematic", schematic)):
        if place is not None:
            wiring.require_plot(place, option)
    if plot is not None and plot == schematic:
        raise InputRefused(f"--plot and --schematic must be different files, got {plot!r} twice; name two")
    if deck is not None:
        require_deck(deck)
