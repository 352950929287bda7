"""Figures of a capture: overview, one spark of each class, ignition delay, energies, classes over time."""

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from gapwright.app.capture_pictures import (
    ClassRow,
    Curve,
    DelayCurve,
    Example,
    Overview,
    Swath,
    class_rows,
    delay_curve,
    energies,
    examples,
    overview,
)
from gapwright.app.captures import CaptureInHand
from gapwright.app.wording import quantity_text, scale_for, share_text
from gapwright.shell.figures.canvas import WIDE, blank_figure, quiet_grid, styled
from gapwright.shell.palette import LIGHT

COLUMNS = 1600
"""Columns of an overview: about as many as its dots on paper."""
MARKS = {
    "open": ("quiet", "|"),
    "normal": ("metal", "o"),
    "partial": ("electrode", "^"),
    "transient arc": ("danger", "x"),
    "stationary arc": ("danger", "s"),
    "short": ("care", "D"),
    "contact": ("note", "v"),
}
"""Colour and mark of each class; no class rests on its colour alone."""
MOST_MARKS = 4000
"""Events of a class that are marked one by one; of more, evenly chosen ones."""
BINS = 60


def capture_figures(found: CaptureInHand) -> dict[str, Figure]:
    """Every figure of a capture by its name; those that have nothing to show are left out."""
    drawn: dict[str, Callable[[], Figure | None]] = {
        "overview": lambda: overview_figure(overview(found, columns=COLUMNS)),
        "sparks": lambda: examples_figure(examples(found)),
        "delay": lambda: delay_figure(delay_curve(found)),
        "energy": lambda: energy_figure(energies(found)),
        "classes": lambda: timeline_figure(class_rows(found), found.answer.duration_s),
    }
    figures = {name: draw() for name, draw in drawn.items()}
    return {name: figure for name, figure in figures.items() if figure is not None}


@styled
def overview_figure(shown: Overview) -> Figure:
    """Voltage above, current below, each from its least to its greatest value."""
    swaths = [(shown.volts, "gap voltage [V]")]
    if shown.amperes is not None:
        swaths.append((shown.amperes, "current [A]"))
    figure = blank_figure(WIDE, 1.0 + 1.6 * len(swaths))
    rows = figure.subplots(len(swaths), 1, sharex=True, squeeze=False)[:, 0]
    scale = scale_for(float(shown.volts.times[-1]), "s")
    for axes, (swath, label) in zip(rows, swaths, strict=True):
        _swath(axes, swath, scale.size)
        axes.set_ylabel(label)
        quiet_grid(axes)
    rows[-1].set_xlabel(f"time [{scale.name}]")
    return figure


def _swath(axes: Axes, swath: Swath, size: float) -> None:
    x = swath.times / size
    colour = LIGHT["spark"]
    axes.fill_between(
        x,
        np.append(swath.least, swath.least[-1]),
        np.append(swath.greatest, swath.greatest[-1]),
        step="post",
        color=colour,
        lw=0.4,
        alpha=0.85,
        rasterized=True,
    )
    axes.set_xlim(float(x[0]), float(x[-1]))


@styled
def examples_figure(shown: tuple[Example, ...]) -> Figure | None:
    """The middle event of each class: voltage above, current below."""
    if not shown:
        return None
    with_current = shown[0].amperes is not None
    across = min(len(shown), 3)
    down = -(-len(shown) // across)
    figure = blank_figure(WIDE, 0.4 + (2.9 if with_current else 2.0) * down)
    parts = np.atleast_1d(figure.subfigures(down, across, squeeze=False)).ravel()
    for part, example in zip(parts, shown, strict=False):
        rows = part.subplots(2 if with_current else 1, 1, sharex=True, squeeze=False)[:, 0]
        _example(list(rows), example)
    return figure


def _example(rows: list[Axes], example: Example) -> None:
    scale = scale_for(max(float(example.times[-1]), 1e-12), "s")
    x = example.times / scale.size
    rows[0].plot(x, example.volts, color=LIGHT["spark"], lw=1.3)
    rows[0].set_ylabel("V")
    rows[0].set_title(f"{example.name}, {example.count} of them", loc="left")
    if len(rows) > 1 and example.amperes is not None:
        rows[1].plot(x, example.amperes, color=LIGHT["spark"], lw=1.3)
        rows[1].set_ylabel("A")
    for axes in rows:
        axes.axvspan(
            example.first / scale.size, example.last / scale.size, color=LIGHT["line"], alpha=0.35, lw=0
        )
        axes.set_xlim(float(x[0]), float(x[-1]))
        quiet_grid(axes)
    rows[-1].set_xlabel(f"time [{scale.name}]")


@styled
def delay_figure(shown: DelayCurve | None) -> Figure | None:
    """Share of sparks that had not struck yet, over the time with voltage, beside an exponential."""
    if shown is None:
        return None
    figure = blank_figure(WIDE, 2.9)
    axes = figure.subplots()
    scale = scale_for(shown.mean, "s")
    seen = shown.shares > 0.0
    top = float(shown.times[-1])
    axes.step(
        shown.times[seen] / scale.size,
        shown.shares[seen],
        where="post",
        color=LIGHT["spark"],
        label="this capture",
    )
    x = np.linspace(0.0, top, 200)
    axes.plot(
        x / scale.size,
        np.exp(-x / shown.mean),
        color=LIGHT["ink"],
        lw=1.1,
        ls=(0, (4, 3)),
        label=f"exponential, mean {quantity_text(shown.mean, 's')}",
    )
    if shown.fitted is not None:
        label = "two Weibull laws"
        axes.plot(shown.times / scale.size, shown.fitted, color=LIGHT["store"], lw=1.1, label=label)
    axes.set_yscale("log")
    axes.set_ylim(max(0.5 / shown.times.size, 1e-5), 1.2)
    axes.set_xlim(0.0, top / scale.size)
    axes.set_xlabel(f"ignition delay [{scale.name}]")
    axes.set_ylabel("share not struck yet")
    axes.legend(frameon=False, fontsize=9)
    quiet_grid(axes)
    return figure


@styled
def energy_figure(shown: Curve) -> Figure | None:
    """How the energies of the discharges are spread, and their middle."""
    if shown.size == 0:
        return None
    figure = blank_figure(WIDE, 2.6)
    axes = figure.subplots()
    middle = float(np.median(shown))
    scale = scale_for(middle, "J")
    low, high = np.quantile(shown, [0.002, 0.998]) / scale.size
    room = max(high - low, 0.05 * high)
    edges = np.linspace(max(low - 0.05 * room, 0.0), high + 0.05 * room, BINS + 1)
    counts, _ = np.histogram(shown / scale.size, bins=edges)
    axes.stairs(counts, edges, fill=True, color=LIGHT["spark"], alpha=0.8)
    axes.axvline(middle / scale.size, color=LIGHT["ink"], lw=1.0, ls=(0, (4, 3)))
    right = middle / scale.size > 0.5 * (edges[0] + edges[-1])
    axes.annotate(
        f"half of the sparks below {quantity_text(middle, 'J')}",
        (middle / scale.size, 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(-5 if right else 5, -4),
        textcoords="offset points",
        ha="right" if right else "left",
        va="top",
    )
    axes.set_xlim(edges[0], edges[-1])
    axes.set_ylim(0.0, 1.2 * counts.max())
    axes.set_xlabel(f"energy in the gap [{scale.name}]")
    axes.set_ylabel("sparks")
    quiet_grid(axes, "y")
    return figure


@styled
def timeline_figure(shown: tuple[ClassRow, ...], duration: float) -> Figure | None:
    """Each class a line: where in time its events were, how many, and their share of the time."""
    if not shown:
        return None
    figure = blank_figure(WIDE, 0.8 + 0.42 * len(shown))
    axes = figure.subplots()
    scale = scale_for(duration, "s")
    for height, row in enumerate(reversed(shown)):
        colour, mark = MARKS[row.name]
        some = row.starts[:: max(1, row.starts.size // MOST_MARKS)] / scale.size
        axes.plot(
            some, np.full(some.size, height), mark, color=LIGHT[colour], ms=5, alpha=0.7, rasterized=True
        )
        words = f"{row.starts.size}, {share_text(row.time_share)} of the time"
        axes.text(1.01, height, words, transform=axes.get_yaxis_transform(), va="center", fontsize=9)
    axes.set_yticks(range(len(shown)), [row.name for row in reversed(shown)])
    axes.set_ylim(-0.6, len(shown) - 0.4)
    axes.set_xlim(0.0, duration / scale.size)
    axes.set_xlabel(f"time [{scale.name}]")
    quiet_grid(axes, "x")
    return figure
