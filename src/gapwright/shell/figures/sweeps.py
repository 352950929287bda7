"""A sweep as small pictures side by side: each figure that matters against the value that was swept."""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from gapwright.app.sweep import SweepAnswer
from gapwright.app.wording import quantity_text, scale_for
from gapwright.base.errors import InputRefused
from gapwright.shell.figures.canvas import blank_figure, quiet_grid, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.forecast.sweep import Axis
from gapwright.study.forecast.sweep_columns import column_title, column_unit, columns_of
from gapwright.study.grounds.outcome import Curve

MOST_LINES = 7
"""Lines that a small picture still keeps apart."""
ACROSS = 3
"""Small pictures side by side."""
SHADES = ("store", "spark", "metal", "electrode", "wanted", "quiet", "ink")
STROKES = ("-", (0, (5, 2)), (0, (1, 1.5)), (0, (5, 1, 1, 1)), (0, (3, 3)), (0, (8, 2)), (0, (2, 1)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ways:
    """Which axis runs along, and which one tells the lines apart."""

    along: Axis
    lines: Axis | None


def _ways(found: SweepAnswer) -> _Ways:
    """The longer axis runs along.

    Raises
    ------
    InputRefused
        If there are more axes or lines than a picture shows.
    """
    ordered = sorted(found.axes, key=lambda axis: -len(axis.values))
    if len(ordered) > 2 or (len(ordered) == 2 and len(ordered[1].values) > MOST_LINES):
        raise InputRefused(
            f"a picture shows one swept key, or two of which one has at most {MOST_LINES} values; "
            "write the table instead: --plot FILE.parquet"
        )
    return _Ways(along=ordered[0], lines=ordered[1] if len(ordered) == 2 else None)


def _values(found: SweepAnswer, ways: _Ways, name: str, line: float | None) -> Curve:
    """One figure along the axis, NaN where a point has none."""
    points = {
        point.values[ways.along.key]: point.figures.get(name)
        for point in found.points
        if ways.lines is None or point.values[ways.lines.key] == line
    }
    kept = [points.get(value) for value in ways.along.values]
    return np.array([np.nan if value is None else value for value in kept], dtype=float)


@styled
def sweep_figure(found: SweepAnswer, width: float) -> Figure:
    """Small pictures of the figures that matter most."""
    ways, names = _ways(found), columns_of(found.points)
    if not names:
        figure = blank_figure(width, 1.5)
        figure.text(0.5, 0.5, "no point of this sweep has an answer", ha="center")
        return figure
    rows = -(-len(names) // ACROSS)
    figure = blank_figure(width, 0.7 + 2.15 * rows)
    grid = figure.subplots(rows, ACROSS, squeeze=False)
    for axes, name in zip(grid.flat, names, strict=False):
        _one(axes, found, ways, name)
    for axes in grid.flat[len(names) :]:
        axes.set_axis_off()
    if ways.lines is not None:
        handles, labels = grid.flat[0].get_legend_handles_labels()
        figure.legend(
            handles, labels, loc="outside lower center", ncols=len(labels), frameon=False, fontsize=9,
            title=ways.lines.key, title_fontsize=9,
        )  # fmt: skip
    title = f"{found.rig}, {found.job or 'generator alone'}: sweep of {ways.along.key}"
    figure.suptitle(title, fontsize=10.5, x=0.01, ha="left")
    return figure


def _one(axes: Axes, found: SweepAnswer, ways: _Ways, name: str) -> None:
    """One small picture."""
    along, unit = ways.along, column_unit(name)
    lines = ways.lines.values if ways.lines is not None else (None,)
    curves = [_values(found, ways, name, line) for line in lines]
    sizes = np.abs(np.concatenate(curves))
    finite = sizes[np.isfinite(sizes)]
    scale = scale_for(float(finite.max(initial=0.0)), unit)
    x_scale = scale_for(along.values[-1], along.unit)
    x = np.array(along.values) / x_scale.size
    for k, (line, curve) in enumerate(zip(lines, curves, strict=True)):
        colour = LIGHT[SHADES[k]] if ways.lines is not None else LIGHT["spark"]
        label = quantity_text(line, ways.lines.unit) if ways.lines and line is not None else ""
        if f"{name}.low" in found.points[0].figures and ways.lines is None:
            low, high = (_values(found, ways, f"{name}.{end}", line) / scale.size for end in ("low", "high"))
            axes.fill_between(x, low, high, color=colour, alpha=0.18, linewidth=0.0)
        y = curve / scale.size
        axes.plot(x, y, color=colour, lw=1.5, ls=STROKES[k], label=label)
        if len(x) <= 40:
            axes.plot(x, y, "o", color=colour, ms=3.0)
    if along.scale == "log":
        axes.set_xscale("log")
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.set_title(column_title(name) + (f" [{scale.name}]" if scale.name else ""), loc="left", fontsize=9.5)
    axes.set_xlabel(f"{along.key.rsplit('.', 1)[-1].replace('_', ' ')} [{x_scale.name}]", fontsize=9)
    axes.tick_params(labelsize=8.5)
    quiet_grid(axes)
