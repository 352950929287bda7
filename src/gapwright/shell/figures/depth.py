"""Depth of the hole against time, with the band over members."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from gapwright.app.wording import Scale, banded_text, scale_for
from gapwright.shell.figures.canvas import blank_figure, quiet_grid, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.grounds.outcome import Curve, Forecast, Pictures


def held(depth: Curve, ceiling: float) -> Curve:
    """Curve that stays where it ended: a member that is through stays at the exit face."""
    known = np.isfinite(depth)
    if not known.any():
        return np.zeros_like(depth)
    last = int(np.flatnonzero(known)[-1])
    full = np.where(known, depth, np.interp(np.arange(depth.size), np.flatnonzero(known), depth[known]))
    full[last + 1 :] = depth[last]
    return np.minimum(full, ceiling)


def add_arrival(axes: Axes, forecast: Forecast, scale: Scale, thickness: float) -> None:
    """Mark when the hole is through: the median as a dot, the band as a line along the exit face."""
    time = forecast.time_s
    if time.median is None:
        return
    right = axes.get_xlim()[1]
    low = (time.low if time.low is not None else time.median) / scale.size
    high = time.high / scale.size if time.high is not None else right
    axes.plot(
        [low, high], [thickness * 1e3] * 2, color=LIGHT["metal"], lw=5, solid_capstyle="butt", alpha=0.55
    )
    axes.plot([time.median / scale.size], [thickness * 1e3], "o", color=LIGHT["metal"], ms=9, zorder=5)
    axes.annotate(
        f"through after {banded_text(time, 's').middle}",
        (time.median / scale.size, thickness * 1e3),
        xytext=(0, -17),
        textcoords="offset points",
        ha="center" if time.median / scale.size < 0.75 * right else "right",
        fontweight="bold",
        color=LIGHT["metal"],
    )


@styled
def depth_against_time(forecast: Forecast, pictures: Pictures, width: float) -> Figure:
    """Depth drawn downwards from the entry face, so that the picture is the hole's own."""
    figure = blank_figure(width, 3.3 if width > 6 else 3.1)
    axes = figure.subplots()
    time = pictures.depth_time_s
    scale = scale_for(float(time[-1]), "s")
    x = time / scale.size
    low, middle, high = (1e3 * held(curve, pictures.thickness_m) for curve in pictures.depth_m)
    axes.fill_between(x, low, high, color=LIGHT["metal"], alpha=0.22, lw=0, label="5 to 95 % of members")
    axes.plot(x, middle, color=LIGHT["metal"], label="median")
    axes.set_xlim(0.0, float(x[-1]))
    axes.set_ylim(1e3 * pictures.thickness_m * 1.2, -0.06e3 * pictures.thickness_m)
    axes.axhline(0.0, color=LIGHT["ink"], lw=1.0)
    axes.axhline(1e3 * pictures.thickness_m, color=LIGHT["ink"], lw=1.0, ls=(0, (4, 3)))
    axes.text(x[-1], 0.0, "entry face", ha="right", va="top", color=LIGHT["quiet"], fontsize=9)
    axes.text(
        0.0,
        1e3 * pictures.thickness_m,
        " exit face",
        ha="left",
        va="bottom",
        color=LIGHT["quiet"],
        fontsize=9,
    )
    add_arrival(axes, forecast, scale, pictures.thickness_m)
    axes.set_xlabel(f"time [{scale.name}]")
    axes.set_ylabel("depth [mm]")
    quiet_grid(axes)
    axes.legend(
        frameon=False, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2, fontsize=9, borderaxespad=0.1
    )
    return figure
