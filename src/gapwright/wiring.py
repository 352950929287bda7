"""Rank 6: the only place where real hands meet the verbs of the user."""

from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

from gapwright.app.demo import NAMES, DemoAnswer, DemoFiles, demo
from gapwright.app.forecast import USUAL, Answer, ComparedAnswer, Effort, Keeping, compare_rigs, forecast_job
from gapwright.app.installation import Installation, check_installation
from gapwright.base.progress import Progress
from gapwright.shell.files import (
    made_folder,
    read_text,
    require_folder,
    require_writable,
    write_into_folder,
    write_whole,
)
from gapwright.shell.log import keep_fault
from gapwright.shell.workers import Workers

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from gapwright.app.captures import CaptureHands, CaptureInHand
    from gapwright.app.circuit import Seen
    from gapwright.app.sweep import SweepAnswer, SweepWish
    from gapwright.shell.desk import Desk
    from gapwright.study.captures.recording_setup import RecordingSetup
    from gapwright.study.sizing.sizing import Sizing
    from gapwright.study.sizing.sizing_wish import Wish

__all__ = ["keep_fault", "made_folder", "read_text", "require_writable", "write_into_folder", "write_whole"]


SIZED_LIKE = "second-build.rig.toml"
"""Rig of the demo that a generator is sized for where no other is named."""


def installation() -> Installation:
    """State of this installation."""
    from gapwright.shell.installation import own_version, probes

    return check_installation(probes(), version=own_version())


def capture_hands(progress: Progress) -> "CaptureHands":
    """Readers of captures on this machine."""
    from gapwright.app.captures import CaptureHands
    from gapwright.shell.captures.kept import is_kept, kept_capture, kept_or_made_extremes
    from gapwright.shell.captures.reading import recording_at
    from gapwright.shell.captures.rooms import room

    return CaptureHands(
        record=recording_at,
        kept=lambda place: kept_capture(place) if is_kept(place) else None,
        text=read_text,
        progress=progress,
        extremes=kept_or_made_extremes,
        room=room,
    )


def keep_in_folder(in_hand: "CaptureInHand", folder: str) -> None:
    """Keep a capture that was read in a new folder."""
    from gapwright.app.captures import keep_capture
    from gapwright.shell.captures.kept import keep

    keep_capture(in_hand, folder, keep=keep)


def write_capture_figures(folder: str, in_hand: "CaptureInHand", *, ending: str) -> list[str]:
    """Draw a capture into a folder; returns the places of the figures."""
    from gapwright.shell.figures.capture import capture_figures

    places = []
    for name, figure in capture_figures(in_hand).items():
        places.append(str(Path(folder) / f"{name}.{ending}"))
        write_figure(places[-1], figure)
    return places


def require_table_place(place: str) -> None:
    """Refuse a place where no table of sparks can be written."""
    from gapwright.shell.captures.table import require_table_place as require

    require(place)


def write_sparks(place: str, in_hand: "CaptureInHand") -> None:
    """Write every spark of a capture into a table."""
    from gapwright.shell.captures.table import write_table

    write_table(place, in_hand.reading.sparks)


def write_earth_figure(place: str, setup: "RecordingSetup", rig: str) -> None:
    """Draw the ways through earth of a rig."""
    from gapwright.rig.reading import rig_from_text
    from gapwright.shell.figures.earth import earth_paths

    found = rig_from_text(read_text(rig), rig)
    figure = earth_paths(
        setup.earth,
        workpiece_positive=found.setup.polarity == "workpiece positive",
        supply_earthed=found.supply.earthing == "earthed",
    )
    write_figure(place, figure)


def write_figure(place: str, figure: "Figure") -> None:
    """Write a figure as SVG or PNG, by the ending of its name."""
    from gapwright.shell.figures.canvas import figure_bytes

    write_whole(place, figure_bytes(figure, place))


def effort(*, seed: int, members: int, progress: Progress, keeping: Keeping = USUAL) -> Effort:
    """Work that a forecast may be, on the cores of this machine."""
    workers = Workers()
    return Effort(
        seed=seed, members=members, spread=workers, progress=workers.heard_by(progress), keeping=keeping
    )


def forecast_files(
    rig: str, job: str, *, seed: int, members: int, progress: Progress, keeping: Keeping = USUAL
) -> Answer:
    """Forecast of two files; what is asked for is kept of the drilling shown."""
    work = effort(seed=seed, members=members, progress=progress, keeping=keeping)
    return forecast_job(rig, job, read=read_text, effort=work)


def require_kept(*, sparks: str | None, shapes: str | None, capture: str | None) -> None:
    """Refuse places where nothing can be kept, before the work."""
    from gapwright.shell import drilling_files

    if capture is not None:
        drilling_files.require_capture_place(capture)
    if sparks is not None:
        drilling_files.require_sparks_place(sparks)
    if shapes is not None:
        drilling_files.require_shapes_place(shapes)


def write_kept(answer: Answer, *, sparks: str | None, shapes: str | None, capture: str | None) -> list[str]:
    """Write what was kept of a drilling; returns the places written."""
    from gapwright.shell import drilling_files

    kept = answer.recorded
    if kept is None:
        return []
    if sparks is not None and kept.sparks is not None:
        drilling_files.write_every_spark(sparks, kept.sparks, answer.forecast)
    if shapes is not None:
        drilling_files.write_shapes(shapes, kept.shapes)
    if capture is not None and answer.capture is not None:
        drilling_files.write_capture(capture, answer.capture)
    return [place for place in (sparks, shapes, capture) if place is not None]


def compared_files(
    rigs: tuple[str, str], job: str, *, seed: int, members: int, progress: Progress
) -> ComparedAnswer:
    """Two rigs compared at one job, from three files."""
    return compare_rigs(
        rigs, job, read=read_text, effort=effort(seed=seed, members=members, progress=progress)
    )


def circuit_file(rig: str, *, scene: str, progress: Progress) -> "Seen":
    """Generator of a rig file alone, with the scene whose waveforms are wanted."""
    from gapwright.app.circuit import circuit_of, scene_named

    return circuit_of(rig, read=read_text, scene=scene_named(scene), progress=progress)


def require_plot(place: str, option: str = "--plot") -> None:
    """Refuse a picture or table that could not be written."""
    from gapwright.shell.figures.plots import require_form

    require_form(place, option)
    require_writable(place)


def write_schematic(place: str, seen: "Seen") -> None:
    """Write the schematic of a scene as a picture, whole or not at all."""
    from gapwright.shell.figures.schematic_file import schematic_bytes

    write_whole(place, schematic_bytes(place, seen))


def write_waves(place: str, seen: "Seen") -> None:
    """Write the waveforms of a scene as a picture or a table, whole or not at all."""
    from gapwright.shell.figures.plots import waves_bytes

    write_whole(place, waves_bytes(place, seen.waves(), title=seen.told.rig))


def sweep_files(
    wish: "SweepWish", *, workers: int | None, cluster: str | None, keep: str | None, progress: Progress
) -> "SweepAnswer":
    """Sweep over files, on the cores of this machine or on a scheduler; finished points are kept."""
    from gapwright.app.sweep import sweep
    from gapwright.shell.crews import crew
    from gapwright.shell.points import KeptPoints, own_place

    said = [read_text(place) if place else "" for place in (wish.rig, wish.job)]
    store = KeptPoints(keep if keep is not None else own_place([*said, *wish.axes]))
    return sweep(
        wish, read=read_text, crew=crew(workers=workers, cluster=cluster), store=store, progress=progress
    )


def write_sweep(place: str, found: "SweepAnswer") -> None:
    """Write a sweep as a picture or a table, whole or not at all."""
    from gapwright.shell.figures.plots import sweep_bytes

    write_whole(place, sweep_bytes(place, found))


def size_rig(
    wish: "Wish",
    *,
    like: str | None,
    supply: tuple[float | None, float | None],
    effort: tuple[int, int, int | None],
    progress: Progress,
) -> "Sizing":
    """Generators for a wish, for a rig like the named one or the demo's; effort: members, seed, workers."""
    from gapwright.app.size import SizeWish, size
    from gapwright.shell.crews import crew

    members, seed, workers = effort
    wanted = SizeWish(
        wish=wish,
        like=like or SIZED_LIKE,
        text=read_text(like) if like is not None else demo_text(SIZED_LIKE),
        supply_v=supply[0],
        supply_a=supply[1],
        members=members,
        seed=seed,
    )
    return size(wanted, crew=crew(workers=workers, cluster=None), progress=progress)


def demo_text(name: str) -> str:
    """Text of a file of the demo, which comes with the package."""
    return (files("gapwright.shell") / "demo" / name).read_text(encoding="utf-8")


def demo_answers(*, seed: int, members: int, progress: Progress) -> list[Answer]:
    """Forecasts of the rigs of the demo."""
    texts = [DemoFiles(name=n, rig=demo_text(f"{n}.rig.toml"), job=demo_text(f"{n}.job.toml")) for n in NAMES]
    return demo(texts, effort=effort(seed=seed, members=members, progress=progress))


def write_demo(folder: str) -> list[str]:
    """Write the files of the demo into a folder; returns their places."""
    names = [f"{name}.{kind}.toml" for name in NAMES for kind in ("rig", "job")]
    return write_into_folder(folder, {name: demo_text(name) for name in names})


def bench_desk(folder: str | None) -> "Desk":
    """Desk of the bench over a folder of rigs and jobs, or over the demonstration.

    Raises
    ------
    InputRefused
        If there is no such folder, or it cannot be read.
    """
    from gapwright.shell.desk import Desk
    from gapwright.shell.memory import keep_lean
    from gapwright.shell.preparation import Preparation, load_kernels

    keep_lean()
    place = None if folder is None else require_folder(folder)
    return Desk(place, Preparation(load=load_kernels))


def write_report(
    place: str, answers: Sequence[Answer], *, heading: str = "", beside: DemoAnswer | None = None
) -> Path:
    """Write the report of one forecast or several, whole or not at all."""
    from gapwright.shell.report.page import report_html

    write_whole(place, report_html(answers, heading=heading, beside=beside))
    return Path(place)


def write_comparison(place: str, compared: ComparedAnswer) -> Path:
    """Write the report of two rigs compared, whole or not at all."""
    from gapwright.shell.report.page import report_html

    write_whole(place, report_html(compared.answers, compared=compared.comparison))
    return Path(place)
