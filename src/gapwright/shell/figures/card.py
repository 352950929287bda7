"""A card of 16 to 9 with one claim and its band in large type, for a talk or a video."""

import textwrap

from matplotlib.figure import Figure

from gapwright.app.claims import Claim
from gapwright.shell.figures.canvas import bare_axes, blank_figure, styled
from gapwright.shell.palette import LIGHT

WIDTH, HEIGHT = 12.8, 7.2
"""Size in inches; 1280 by 720 pixels at 100 to the inch."""
MARGIN = 0.9


@styled
def claim_card(claim: Claim) -> Figure:
    """Card with one claim."""
    figure = blank_figure(WIDTH, HEIGHT)
    figure.set_facecolor(LIGHT["paper"])
    axes = bare_axes(figure)
    size = 100.0 if len(claim.large) <= 8 else 100.0 * 8 / len(claim.large)
    axes.plot([MARGIN, WIDTH - MARGIN], [1.35, 1.35], color=LIGHT["line"], linewidth=1.5)
    axes.plot([MARGIN], [1.35], "o", color=LIGHT["spark"], markersize=11)
    rows = (
        (5.15, claim.large, size, LIGHT["ink"], "bold"),
        (3.35, claim.sentence, 34.0, LIGHT["ink"], "normal"),
        (2.35, claim.band, 26.0, LIGHT["spark"], "normal"),
        (0.75, textwrap.fill(claim.behind, 95), 15.0, LIGHT["quiet"], "normal"),
    )
    for height, text, points, colour, weight in rows:
        axes.text(
            MARGIN, height, text, fontsize=points, color=colour, weight=weight, va="center", parse_math=False
        )
    return figure
