"""Voltages over a few sparks, and how the energies of many sparks are spread."""

import numpy as np
from matplotlib.figure import Figure

from gapwright.app.wording import quantity_text, scale_for
from gapwright.shell.figures.canvas import blank_figure, quiet_grid, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.grounds.outcome import Curve, Pictures

DOTS = 100
"""Dots in the picture of spark energies: each stands for one spark in a hundred."""

DOT_SIZES = (8.5, 7.0, 5.6, 4.5, 3.6, 2.8, 2.2)
"""Sizes of a dot, in points, the first that fits is taken."""

PILE_STEP = 1.12
"""Distance of piled dots in dot sizes."""

PILE_ROOM = 122.0
"""Height of the picture that piles may fill, in points."""

HEADROOM = 1.25
"""Top of the voltage axis over the store's highest voltage; the kick of a lead goes off it."""

SAME_SPARK = 8
"""Samples without current that may lie within one spark."""


def spark_places(amperes: Curve) -> list[int]:
    """Index of the peak of each separate current pulse."""
    peak = float(np.max(np.abs(amperes), initial=0.0))
    if peak <= 0.0:
        return []
    flowing = np.abs(amperes) > 0.02 * peak
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flowing, [False]]).astype(np.int8)))
    starts, ends = edges[::2], edges[1::2]
    # Ringing through zero and the laced low and high of a drawn curve do not end a spark.
    apart = np.concatenate([[True], starts[1:] - ends[:-1] > SAME_SPARK])
    first = starts[apart]
    last = ends[np.concatenate([apart[1:], [True]])]
    return [int(a + np.argmax(np.abs(amperes[a:b]))) for a, b in zip(first, last, strict=True)]


@styled
def few_sparks(pictures: Pictures, width: float) -> Figure:
    """Store and gap voltage above, gap current below, with a dot at each spark."""
    figure = blank_figure(width, 3.7)
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=[2.0, 1.0])
    scale = scale_for(float(pictures.spark_time_s[-1]), "s")
    x = pictures.spark_time_s / scale.size
    upper.plot(x, pictures.store_volts, color=LIGHT["store"], lw=2.6, alpha=0.55, label="across the store")
    upper.plot(x, pictures.gap_volts, color=LIGHT["spark"], lw=1.3, label="across the gap")
    lower.plot(x, pictures.gap_amperes, color=LIGHT["spark"], lw=1.3)
    places = spark_places(pictures.gap_amperes)
    lower.plot(x[places], pictures.gap_amperes[places], "o", color=LIGHT["spark"], ms=6, clip_on=False)
    upper.set_ylabel("voltage [V]")
    lower.set_ylabel("current [A]")
    lower.set_xlabel(f"time [{scale.name}]")
    lowest = min(0.0, float(np.min(pictures.store_volts)))
    upper.set_ylim(1.2 * lowest, HEADROOM * float(np.max(pictures.store_volts)))
    lower.set_xlim(float(x[0]), float(x[-1]))
    upper.legend(
        frameon=False, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=2, fontsize=9, borderaxespad=0.1
    )
    for axes in (upper, lower):
        quiet_grid(axes)
    return figure


def stacked(values: Curve, bins: int, low: float, high: float) -> tuple[Curve, Curve]:
    """Places of dots: values gathered in columns, dots of a column piled up."""
    columns = np.clip(((values - low) / (high - low) * bins).astype(int), 0, bins - 1)
    heights = np.zeros(values.size)
    filled = np.zeros(bins, dtype=int)
    for k, column in enumerate(columns):
        heights[k] = filled[column] + 0.5
        filled[column] += 1
    return low + (columns + 0.5) * (high - low) / bins, heights


def piled(energies: Curve, width: float) -> tuple[Curve, Curve, float]:
    """Places of the dots in dot sizes of height, with the largest dots whose piles fit the paper."""
    values = np.quantile(energies, (np.arange(DOTS) + 0.5) / DOTS)
    low, high = float(values[0]), float(values[-1])
    room = max(high - low, 0.02 * high)
    ends = (low - 0.02 * room, high + 0.02 * room)
    x, heights, size = values, np.zeros(DOTS), DOT_SIZES[-1]
    for size in DOT_SIZES:
        bins = max(1, int(72.0 * 0.96 * width / (1.25 * size)))
        x, heights = stacked(values, bins, *ends)
        if (heights.max() + 3.0) * PILE_STEP * size <= PILE_ROOM:
            break
    return x, heights, size


@styled
def spark_energies(pictures: Pictures, width: float) -> Figure:
    """Energies of the sparks as a hundred dots, one for each hundredth of them."""
    energies = pictures.spark_energy_j[pictures.spark_energy_j > 0.0]
    figure = blank_figure(width, 2.3)
    axes = figure.subplots()
    if energies.size == 0:
        axes.set_axis_off()
        axes.text(0.5, 0.5, "no spark was struck", ha="center", va="center", transform=axes.transAxes)
        return figure
    middle = float(np.median(energies))
    scale = scale_for(middle, "J")
    x, heights, size = piled(energies / scale.size, width)
    axes.plot(x, heights, "o", color=LIGHT["spark"], ms=size, mec=LIGHT["paper"], mew=0.07 * size)
    axes.axvline(middle / scale.size, color=LIGHT["ink"], lw=1.0, ls=(0, (4, 3)))
    top = PILE_ROOM / (PILE_STEP * size)
    axes.annotate(
        f"half of the sparks below {quantity_text(middle, 'J')}",
        (middle / scale.size, top),
        xytext=(-5 if middle / scale.size > float(np.mean(axes.get_xlim())) else 5, -2),
        textcoords="offset points",
        ha="right" if middle / scale.size > float(np.mean(axes.get_xlim())) else "left",
        va="top",
    )
    axes.set_ylim(0.0, top)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xlabel(f"energy in the gap [{scale.name}]; each dot is 1 % of the sparks")
    return figure
