"""Every figure of a capture by its name, as SVG or PNG, from what a page shows and not from all samples."""

from collections.abc import Callable
from typing import Any

from matplotlib.figure import Figure

from gapwright.app.flow import flow_of
from gapwright.shell.figures import capture as figures
from gapwright.shell.figures.canvas import picture_bytes, svg_text
from gapwright.shell.figures.earth import earth_paths
from gapwright.shell.figures.flow import flow_across

DOTS = 200.0
"""Dots to the inch of a picture."""

FIGURES: dict[str, Callable[..., Figure | None]] = {
    "overview": figures.overview_figure,
    "sparks": figures.examples_figure,
    "delay": figures.delay_figure,
    "energy": figures.energy_figure,
    "classes": figures.timeline_figure,
    "ledger": lambda ledger: flow_across(flow_of(ledger)),
    "earth": lambda earth, positive, earthed: earth_paths(
        earth, workpiece_positive=positive, supply_earthed=earthed
    ),
}
"""Figures by name; each takes what it shows."""


def capture_figure(name: str, shown: tuple[Any, ...], *, form: str) -> bytes | None:
    """A figure of a capture; None where it has nothing to show."""
    figure = FIGURES[name](*shown)
    if figure is None:
        return None
    return svg_text(figure).encode() if form == "svg" else picture_bytes(figure, dots_per_inch=DOTS)
