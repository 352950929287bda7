"""Two holes on one clock: depth of both against the same time."""

import numpy as np
from matplotlib.figure import Figure

from gapwright.app.wording import scale_for
from gapwright.shell.figures.canvas import blank_figure, quiet_grid, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.forecast.comparison import Comparison, labels

COLOURS = ("metal", "store")
DASHES: tuple[str | tuple[int, tuple[int, int]], ...] = ("-", (0, (5, 2)))


@styled
def on_one_clock(comparison: Comparison, width: float) -> Figure:
    """Depths of both rigs, drawn downwards from the entry face, with the band over their members."""
    clock = comparison.clock
    figure = blank_figure(width, 3.4 if width > 6 else 3.3)
    axes = figure.subplots()
    scale = scale_for(clock.time_s[-1], "s")
    x = np.array(clock.time_s) / scale.size
    names = labels(comparison.first.rig, comparison.second.rig)
    for name, band, colour, dash in zip(names, (clock.first, clock.second), COLOURS, DASHES, strict=True):
        low, middle, high = (1e3 * np.array(each) for each in (band.low_m, band.median_m, band.high_m))
        axes.fill_between(x, low, high, color=LIGHT[colour], alpha=0.2, lw=0)
        axes.plot(x, middle, color=LIGHT[colour], ls=dash, label=name)
    wanted = 1e3 * clock.wanted_depth_m
    axes.set_xlim(0.0, float(x[-1]))
    axes.set_ylim(1.15 * wanted, -0.06 * wanted)
    axes.axhline(0.0, color=LIGHT["ink"], lw=1.0)
    axes.axhline(wanted, color=LIGHT["ink"], lw=1.0, ls=(0, (4, 3)))
    axes.text(0.0, 1.01 * wanted, " wanted depth", va="top", color=LIGHT["quiet"], fontsize=9)
    axes.set_xlabel(f"time [{scale.name}]")
    axes.set_ylabel("depth [mm]")
    quiet_grid(axes)
    axes.legend(frameon=False, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2, fontsize=9)
    return figure
