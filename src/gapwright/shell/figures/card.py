"""A card of 16 to 9 with one claim and its band in large type, for a talk or a video."""

import textwrap

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from gapwright.app.claims import Claim
from gapwright.shell.figures.canvas import bare_axes, blank_figure, styled
from gapwright.shell.palette import LIGHT
from gapwright.study.grounds.outcome import Banded

WIDTH, HEIGHT = 12.8, 7.2
"""Size in inches; 1280 by 720 pixels at 100 to the inch."""
MARGIN = 0.9
RAIL = 1.75
"""Height of the line on which the band is drawn, in inches."""
BEYOND = 1.3
"""How far the line goes beyond the larger end of the band, as a ratio."""


@styled
def claim_card(claim: Claim) -> Figure:
    """Card with one claim."""
    figure = blank_figure(WIDTH, HEIGHT)
    figure.set_facecolor(LIGHT["paper"])
    axes = bare_axes(figure)
    size = 128.0 * min(1.0, 8.0 / max(len(claim.large), 1))
    rows = (
        (5.4, claim.large, size, LIGHT["ink"], "bold"),
        (3.75, claim.sentence, 36.0, LIGHT["ink"], "normal"),
        (2.65, claim.band, 30.0, LIGHT["spark"], "normal"),
        (0.75, textwrap.fill(claim.behind, 95), 15.0, LIGHT["quiet"], "normal"),
    )
    for height, text, points, colour, weight in rows:
        axes.text(
            MARGIN, height, text, fontsize=points, color=colour, weight=weight, va="center", parse_math=False
        )
    add_band(axes, claim.value)
    return figure


def add_band(axes: Axes, value: Banded) -> None:
    """The band on a line from zero, with a dot at the median; open where an end is never reached."""
    ends = [each for each in (value.low, value.median, value.high) if each is not None]
    top = BEYOND * max(ends, default=0.0)
    axes.plot([MARGIN, WIDTH - MARGIN], [RAIL, RAIL], color=LIGHT["line"], linewidth=3.0, zorder=1)
    axes.plot([MARGIN, MARGIN], [RAIL - 0.12, RAIL + 0.12], color=LIGHT["quiet"], linewidth=2.0)
    axes.text(MARGIN, RAIL - 0.28, "0", fontsize=14, color=LIGHT["quiet"], ha="center", va="center")
    if top <= 0.0:
        return

    def place(number: float) -> float:
        return MARGIN + (WIDTH - 2.0 * MARGIN) * number / top

    low = place(value.low) if value.low is not None else MARGIN
    high = place(value.high) if value.high is not None else WIDTH - MARGIN
    axes.plot(
        [low, high],
        [RAIL, RAIL],
        color=LIGHT["spark"],
        linewidth=11.0,
        alpha=0.45,
        zorder=2,
        solid_capstyle="butt",
    )
    if value.median is not None:
        axes.plot([place(value.median)], [RAIL], "o", color=LIGHT["spark"], markersize=17, zorder=3)
