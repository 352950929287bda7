"""A drilling against time: depth and feed, the gap, and the classes of its discharges."""

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from gapwright.app.wording import Scale, scale_for
from gapwright.shell.figures.canvas import blank_figure, quiet_grid, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.drilling.tick_history import History
from gapwright.study.grounds.outcome import GapLoop

BINS = 100
"""Stretches of time over which shares are taken."""

COLOURS = {
    "normal": "metal",
    "partial": "store",
    "transient arc": "care",
    "stationary arc": "danger",
    "short": "loss",
    "contact": "electrode",
}
"""Colours of the classes, from the bottom of the panel to its top."""


def binned(history: History, values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sums of a slice's values over `BINS` equal stretches of time."""
    place = np.minimum((BINS * history.time_s / history.time_s[-1]).astype(int), BINS - 1)
    out = np.zeros((BINS, *values.shape[1:]))
    np.add.at(out, place, values)
    return out


def class_shares(history: History) -> NDArray[np.float64]:
    """Share of each class among the discharges of each stretch; NaN where there was none."""
    counts = binned(history, history.class_count)
    total = counts.sum(axis=1, keepdims=True)
    shares: NDArray[np.float64] = np.divide(
        counts, total, out=np.full_like(counts, np.nan), where=total > 0.0
    )
    return shares


def add_depths(axes: Axes, history: History, scale: Scale, thickness: float) -> None:
    """Front of the hole and plane of the new electrode's end; what lies between is wear."""
    x = history.time_s / scale.size
    axes.plot(x, 1e3 * history.depth_m, color=LIGHT["metal"], label="front of the hole")
    axes.plot(x, 1e3 * history.feed_m, color=LIGHT["electrode"], lw=1.3, ls=(0, (4, 2)), label="feed")
    axes.axhline(1e3 * thickness, color=LIGHT["ink"], lw=0.9, ls=(0, (4, 3)))
    deepest = max(1e3 * thickness, 1e3 * float(np.max(history.feed_m)))
    axes.set_ylim(1.06 * deepest, -0.05 * deepest)
    axes.set_ylabel("depth [mm]")
    axes.legend(frameon=False, fontsize=9, loc="lower left")


def add_gap(axes: Axes, history: History, scale: Scale, loop: GapLoop | None, *, told: bool) -> None:
    """Smallest gap with its extremes, and the working gap that the loop was judged at."""
    inside = history.depth_m > 0.0
    x = history.time_s[inside] / scale.size
    low, high = 1e6 * history.gap_low_m[inside], 1e6 * history.gap_high_m[inside]
    axes.fill_between(
        x, low, high, color=LIGHT["store"], alpha=0.45, lw=0, label="smallest gap, its extremes"
    )
    top = 1.3 * float(np.quantile(high, 0.98)) if high.size else 1.0
    bottom = 1.3 * float(np.quantile(low, 0.02)) if low.size else 0.0
    pressed = bottom < -0.05 * top
    axes.set_ylim(bottom if pressed else 0.0, top)
    if pressed:
        axes.axhline(0.0, color=LIGHT["ink"], lw=0.9)
    if loop is not None:
        axes.axhline(1e6 * loop.working_gap_m, color=LIGHT["ink"], lw=1.0, ls=(0, (1, 1.5)))
    if loop is not None and told:
        words = f"gain × slope × lag {loop.product:.2g} (calm to 0.52, unstable from 1.57)"
        axes.text(
            0.995, 0.94, words, transform=axes.transAxes, ha="right", va="top", fontsize=9, color=LIGHT["ink"]
        )
    axes.set_ylabel("gap [µm]")


def add_classes(axes: Axes, history: History, scale: Scale, names: tuple[str, ...], *, columns: int) -> None:
    """Classes as shares of all discharges, one on the other, and the share of time spent waiting."""
    shares = class_shares(history)
    edges = np.linspace(0.0, history.time_s[-1], BINS + 1) / scale.size
    floor = np.zeros(BINS)
    for name, colour in COLOURS.items():
        share = shares[:, names.index(name)]
        if not np.nansum(share):
            continue
        top = floor + np.nan_to_num(share)
        axes.fill_between(
            edges, np.r_[floor, floor[-1]], np.r_[top, top[-1]],
            step="post", color=LIGHT[colour], alpha=0.75, lw=0, label=name,
        )  # fmt: skip
        floor = top
    spans = np.diff(history.time_s, prepend=0.0)
    lasted = binned(history, spans)
    waiting = np.divide(
        binned(history, history.open_share * spans), lasted, out=np.zeros(BINS), where=lasted > 0.0
    )
    axes.step(
        edges,
        np.r_[waiting, waiting[-1]],
        where="post",
        color=LIGHT["ink"],
        lw=1.2,
        label="open: time waiting" if columns > 2 else "time waiting",
    )
    axes.set_ylim(0.0, 1.0)
    axes.set_yticks([0.0, 0.5, 1.0], ["0", "50", "100"])
    axes.set_ylabel("share [%]")
    axes.legend(
        frameon=False, fontsize=9, ncols=columns, loc="lower left", bbox_to_anchor=(0.0, 1.0), borderpad=0.1
    )


@styled
def course_in_time(
    history: History, loop: GapLoop | None, *, thickness: float, classes: tuple[str, ...], width: float
) -> Figure:
    """Depth, gap and classes of the drilling shown, over the same time."""
    wide = width > 6
    figure = blank_figure(width, 6.4 if wide else 6.8)
    depth, gap, shares = figure.subplots(3, 1, sharex=True, height_ratios=[1.25, 1.0, 0.85])
    scale = scale_for(float(history.time_s[-1]), "s")
    add_depths(depth, history, scale, thickness)
    add_gap(gap, history, scale, loop, told=wide)
    add_classes(shares, history, scale, classes, columns=4 if wide else 2)
    for axes in (depth, gap, shares):
        axes.set_xlim(0.0, history.time_s[-1] / scale.size)
        quiet_grid(axes)
    shares.set_xlabel(f"time [{scale.name}]")
    return figure
