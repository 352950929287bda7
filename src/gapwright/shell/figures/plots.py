"""Waveforms and sweeps as files: a picture by matplotlib, or a table in Parquet."""

import io
from pathlib import PurePath

import numpy as np
from matplotlib.figure import Figure

from gapwright.app.sweep import SweepAnswer
from gapwright.base.errors import InputRefused
from gapwright.shell.figures.canvas import WIDE, inline_svg, picture_bytes
from gapwright.shell.figures.sweeps import sweep_figure
from gapwright.shell.figures.waves import scene_figure
from gapwright.shell.palette import LIGHT
from gapwright.study.generator.scene_waves import SceneWaves
from gapwright.study.grounds.outcome import Curve

PICTURES = (".svg", ".png")
FORMS = (".svg", ".png", ".parquet")
SUFFIX = {"volts": "v", "amperes": "a"}


def require_form(place: str, option: str = "--plot") -> str:
    """Ending of a file we can write; a schematic is no table.

    Raises
    ------
    InputRefused
        If the ending is none of ours.
    """
    ending = PurePath(place).suffix.lower()
    forms = FORMS if option == "--plot" else PICTURES
    if ending not in forms:
        raise InputRefused(f"{option} must end in {', '.join(forms[:-1])} or {forms[-1]}, got {place!r}")
    return ending


def figure_bytes(ending: str, figure: Figure, *, name: str, title: str, described: str) -> bytes:
    """Figure as the content of a picture file."""
    if ending == ".png":
        return picture_bytes(figure)
    text = inline_svg(figure, name=name, title=title, described=described)
    for meaning, colour in LIGHT.items():
        text = text.replace(f"var(--{meaning.replace('_', '-')})", colour)
    width, height = figure.get_size_inches()
    size = f'<svg width="{72 * width:g}pt" height="{72 * height:g}pt" style="background:{LIGHT["paper"]}" '
    return text.replace("<svg ", size, 1).encode()


def table_bytes(columns: dict[str, Curve]) -> bytes:
    """Columns of numbers as a Parquet table."""
    import polars

    stream = io.BytesIO()
    polars.DataFrame(columns).write_parquet(stream, compression="zstd")
    return stream.getvalue()


def waves_bytes(place: str, shown: SceneWaves, *, title: str) -> bytes:
    """Waveforms in the form that the ending of `place` asks for.

    A table holds the time of each slice, and the lowest and highest value of
    each part's voltage and current in it.
    """
    ending = require_form(place)
    if ending == ".parquet":
        columns = {"time_s": shown.time_s}
        for wave in shown.waves:
            name = wave.part.replace(" ", "_")
            columns[f"{name}_low_{SUFFIX[wave.quantity]}"] = wave.low
            columns[f"{name}_high_{SUFFIX[wave.quantity]}"] = wave.high
        return table_bytes(columns)
    figure = scene_figure(shown, WIDE, title=title)
    return figure_bytes(ending, figure, name="waves", title=title, described=f"scene {shown.scene}")


def sweep_bytes(place: str, found: SweepAnswer) -> bytes:
    """Sweep in the form that the ending of `place` asks for; a table has a row for each point."""
    ending = require_form(place)
    if ending == ".parquet":
        names = sorted({name for point in found.points for name in point.figures})
        columns = {
            axis.key: np.array([point.values[axis.key] for point in found.points]) for axis in found.axes
        }
        return table_bytes(columns | {name: _column(found, name) for name in names})
    figure = sweep_figure(found, WIDE)
    title = f"sweep of {', '.join(axis.key for axis in found.axes)}"
    return figure_bytes(ending, figure, name="sweep", title=title, described=f"{len(found.points)} points")


def _column(found: SweepAnswer, name: str) -> Curve:
    values = [point.figures.get(name) for point in found.points]
    return np.array([np.nan if value is None else value for value in values], dtype=float)
