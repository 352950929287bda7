"""Size of the holes of a row against their number, with bands and the size that is wanted."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from gapwright.app.hole_row import RowAnswer
from gapwright.shell.figures.canvas import blank_figure, picture_bytes, quiet_grid, styled, svg_text
from gapwright.shell.palette import LIGHT
from gapwright.study.grounds.outcome import Banded, Curve

SIDE = 0.08
"""How far entry and exit stand beside the hole's number."""


def _lengths(values: Sequence[Banded], end: str) -> Curve:
    """One end of bands in millimetres, NaN where it is not known."""
    known = [getattr(value, end) for value in values]
    return np.array([np.nan if value is None else 1e3 * value for value in known], dtype=float)


def _add(axes: Axes, number: Curve, values: Sequence[Banded], *, colour: str, form: str, name: str) -> None:
    """Medians as marks, their bands as bars."""
    low, middle, high = (_lengths(values, end) for end in ("low", "median", "high"))
    axes.vlines(number, low, high, color=colour, lw=5.0, alpha=0.4)
    axes.plot(number, middle, form, color=colour, ms=6.5, label=name)


@styled
def sizes_of_a_row(answer: RowAnswer, width: float) -> Figure:
    """Entry and exit of each hole that was followed."""
    figure = blank_figure(width, 3.2)
    axes = figure.subplots()
    holes = answer.row.holes
    number = np.array([each.hole for each in holes], dtype=float)
    wanted, tolerance = 1e3 * answer.wanted_diameter_m, 1e3 * answer.wanted_tolerance_m
    axes.axhspan(
        wanted - tolerance, wanted + tolerance, color=LIGHT["wanted"], alpha=0.12, lw=0, label="wanted"
    )
    entries, exits = [each.entry_diameter_m for each in holes], [each.exit_diameter_m for each in holes]
    _add(axes, number - SIDE, entries, colour=LIGHT["metal"], form="o", name="entry")
    _add(axes, number + SIDE, exits, colour=LIGHT["spark"], form="D", name="exit")
    for each in holes:
        if each.dressed and each.hole < len(holes):
            axes.axvline(each.hole + 0.5, color=LIGHT["electrode"], lw=1.5, ls=(0, (4, 3)))
            axes.annotate(
                "dressed", (each.hole + 0.5, 0.98), xycoords=("data", "axes fraction"), rotation=90,
                xytext=(-3, 0), textcoords="offset points", ha="right", va="top", fontsize=9,
                color=LIGHT["ink"],
            )  # fmt: skip
    axes.set_xlim(0.5, len(holes) + 0.5)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    axes.set_xlabel("hole of the row")
    axes.set_ylabel("diameter [mm]")
    quiet_grid(axes, "y")
    axes.legend(
        frameon=False, loc="lower left", bbox_to_anchor=(0.0, 1.0), ncols=3, fontsize=9, borderaxespad=0.1
    )
    return figure


def row_picture(answer: RowAnswer, *, form: str, width: float) -> bytes:
    """The same as the content of a file."""
    figure = sizes_of_a_row(answer, width)
    return svg_text(figure).encode() if form == "svg" else picture_bytes(figure, dots_per_inch=200.0)
