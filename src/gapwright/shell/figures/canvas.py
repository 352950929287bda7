"""Empty figures in our style, and a figure as text that stands inside a page."""

import functools
import io
import re
from collections.abc import Callable
from typing import Any, ParamSpec, TypeVar

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from gapwright.base.errors import InputRefused
from gapwright.shell.palette import LIGHT

WIDE = 8.6
"""Width of a figure for a desk or for paper, in inches."""

NARROW = 4.1
"""Width of a figure for a hand-held screen, in inches."""

STYLE: Any = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 10.0,
    "axes.labelsize": 10.0,
    "axes.titlesize": 10.5,
    "xtick.labelsize": 9.5,
    "ytick.labelsize": 9.5,
    "text.color": LIGHT["ink"],
    "axes.edgecolor": LIGHT["quiet"],
    "axes.labelcolor": LIGHT["ink"],
    "xtick.color": LIGHT["quiet"],
    "ytick.color": LIGHT["quiet"],
    "xtick.labelcolor": LIGHT["ink"],
    "ytick.labelcolor": LIGHT["ink"],
    "axes.facecolor": "none",
    "figure.facecolor": "none",
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "lines.linewidth": 1.8,
    "svg.fonttype": "path",
    "svg.hashsalt": "gapwright",
    "path.simplify_threshold": 0.3,
}
"""Our one style; applied while a figure is made, never left set."""


P = ParamSpec("P")


Drawn = TypeVar("Drawn", Figure, Figure | None)


def styled(draw: Callable[P, Drawn]) -> Callable[P, Drawn]:
    """Have a function that draws a figure draw it in our style."""

    @functools.wraps(draw)
    def drawn(*args: P.args, **kwargs: P.kwargs) -> Drawn:
        with mpl.rc_context(STYLE):
            return draw(*args, **kwargs)

    return drawn


def blank_figure(width: float, height: float) -> Figure:
    """An empty figure of a size in inches."""
    return Figure(figsize=(width, height), layout="constrained")


def bare_axes(figure: Figure) -> Axes:
    """Axes over the whole figure in inches, with nothing drawn around them."""
    figure.set_layout_engine("none")
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    width, height = figure.get_size_inches()
    axes.set_xlim(0.0, width)
    axes.set_ylim(0.0, height)
    return axes


def quiet_grid(axes: Axes, direction: str = "both") -> None:
    """Thin lines behind the drawing."""
    axes.grid(visible=True, axis=direction, color=LIGHT["line"], linewidth=0.6)  # type: ignore[arg-type]
    axes.set_axisbelow(True)


def inline_svg(figure: Figure, *, name: str, title: str, described: str) -> str:
    """Figure as SVG text for a page, in colours that follow the page's light or dark ground.

    `name` keeps the marks of several figures on one page apart.
    """
    stream = io.StringIO()
    with mpl.rc_context(STYLE):
        figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": None})
    text = stream.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r"<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    text = re.sub(r'\bid="([^"]+)"', rf'id="{name}-\1"', text)
    text = re.sub(r'href="#([^"]+)"', rf'href="#{name}-\1"', text)
    text = re.sub(r"url\(#([^)]+)\)", rf"url(#{name}-\1)", text)
    text = re.sub(r'(<svg\b[^>]*?) width="[^"]*"', r"\1", text, count=1)
    text = re.sub(r'(<svg\b[^>]*?) height="[^"]*"', r"\1", text, count=1)
    for meaning, colour in LIGHT.items():
        text = text.replace(colour, f"var(--{meaning.replace('_', '-')})")
    label = f'<svg role="img" aria-label="{escaped(title + ": " + described)}"'
    return text.replace("<svg", label, 1)


def svg_text(figure: Figure) -> str:
    """Figure as an SVG file of its own, on a light ground."""
    stream = io.StringIO()
    with mpl.rc_context(STYLE):
        figure.savefig(
            stream, format="svg", facecolor=LIGHT["paper"], metadata={"Date": None, "Creator": None}
        )
    return re.sub(r"<metadata>.*?</metadata>", "", stream.getvalue(), flags=re.DOTALL)


def escaped(text: str) -> str:
    """Text that may stand inside an attribute of a page."""
    return text.replace("&", "&amp;").replace('"', "&quot;").replace("<", "&lt;").replace(">", "&gt;")


def figure_bytes(figure: Figure, place: str) -> bytes:
    """Figure as a file of the kind that its name ends in.

    Raises
    ------
    InputRefused
        If that is neither SVG nor PNG.
    """
    if place.lower().endswith(".png"):
        return picture_bytes(figure)
    if not place.lower().endswith(".svg"):
        raise InputRefused(f"a figure must be named .svg or .png, got {place!r}")
    stream = io.BytesIO()
    with mpl.rc_context(STYLE):
        figure.savefig(
            stream, format="svg", metadata={"Date": None, "Creator": None}, facecolor=LIGHT["paper"]
        )
    return stream.getvalue()


def picture_bytes(figure: Figure, *, dots_per_inch: float = 150.0) -> bytes:
    """Figure as a PNG picture on a light ground."""
    stream = io.BytesIO()
    with mpl.rc_context(STYLE):
        figure.savefig(stream, format="png", dpi=dots_per_inch, facecolor=LIGHT["paper"])
    return stream.getvalue()
