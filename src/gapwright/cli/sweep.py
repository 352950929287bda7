"""Sweeps, for the commands that take `--sweep`."""

from collections.abc import Sequence

import typer


def swept(  # one argument for each option that sweeps share
    axes: Sequence[str],
    *,
    rig: str,
    job: str | None = None,
    seed: int = 0,
    members: int = 0,
    workers: int | None,
    cluster: str | None,
    keep: str | None,
    plot: str | None,
    json: bool,
    quiet: bool,
) -> None:
    """Run a sweep, print its table or document, write its picture or table."""
    from gapwright import wiring
    from gapwright.app.documents import as_json
    from gapwright.app.sweep import SweepWish
    from gapwright.cli.progress import Line
    from gapwright.cli.show.sweep import show_sweep

    if plot is not None:
        wiring.require_plot(plot)
    wish = SweepWish(rig=rig, job=job, axes=tuple(axes), seed=seed, members=members)
    line = Line(quiet=quiet)
    try:
        found = wiring.sweep_files(wish, workers=workers, cluster=cluster, keep=keep, progress=line)
    except KeyboardInterrupt:
        line.clear()
        where = f" in {keep}" if keep is not None else ""
        typer.echo(f"finished points are kept{where}; the same command goes on from there", err=True)
        raise
    finally:
        line.clear()
    if plot is not None:
        wiring.write_sweep(plot, found)
        typer.echo(f"sweep written to {plot}", err=True)
    if json:
        typer.echo(as_json(found))
    else:
        show_sweep(found)


def require_sweep(
    *, workers: int | None, cluster: str | None, keep: str | None, plot: str | None = None
) -> None:
    """Refuse options that mean nothing without a sweep.

    Raises
    ------
    InputRefused
        If one of them is given.
    """
    from gapwright.base.errors import InputRefused

    for name, value in (("--workers", workers), ("--cluster", cluster), ("--keep", keep), ("--plot", plot)):
        if value is not None:
            raise InputRefused(f"{name} must stand beside --sweep, got it alone; add a sweep or leave it out")


def require_no_sweep(**single: str | None) -> None:
    """Refuse files that one run fills and a sweep does not.

    Raises
    ------
    InputRefused
        If one of them is asked for.
    """
    from gapwright.base.errors import InputRefused

    for name, value in single.items():
        if value is not None:
            raise InputRefused(
                f"--{name} must stand without --sweep, got both; write the file of one circuit at a time"
            )
