"""A schematic as a PNG picture: the few SVG elements that schematics have, drawn again as a figure."""

import math
import re
from collections.abc import Iterator, Mapping
from typing import Any
from xml.etree import ElementTree as Tree

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyBboxPatch, PathPatch
from matplotlib.path import Path
from matplotlib.transforms import Affine2D, Transform

from gapwright.shell.figures.canvas import bare_axes, blank_figure, picture_bytes, styled
from gapwright.shell.palette import LIGHT

SVG = "{http://www.w3.org/2000/svg}"
PX = 1.0 / 96.0
"""One px of a drawing [in]."""
POINT = 0.75
"""One px of a letter or a stroke [pt]."""
WORDS = {
    "n": (12.0, "bold", 1.0),
    "v": (10.5, "normal", 0.78),
    "l": (10.5, "bold", 1.0),
    "k": (10.5, "normal", 0.6),
}
"""Size [px], weight and strength of each class of text."""
ARC_STEPS = 8
TOKEN = re.compile(r"([MLHVahvmlZz])|(-?\d*\.?\d+(?:e-?\d+)?)")


@styled
def rastered(svg: str) -> Figure:
    """A schematic as a figure."""
    root = Tree.fromstring(svg)
    width, height = (float(root.attrib[name]) for name in ("width", "height"))
    figure = blank_figure(width * PX, height * PX)
    axes = bare_axes(figure)
    axes.set_xlim(0.0, width)
    axes.set_ylim(height, 0.0)
    for element in root:
        _draw(axes, element, Affine2D())
    return figure


def svg_as_png(svg: str) -> bytes:
    """A schematic as the content of a PNG file."""
    return picture_bytes(rastered(svg), dots_per_inch=192.0)


def _draw(axes: Axes, element: Tree.Element, place: Transform) -> None:
    kind, given = element.tag.removeprefix(SVG), element.attrib
    if kind == "g":
        inner = _turned(given.get("transform", "")) + place
        for child in element:
            _draw(axes, child, inner)
    elif kind == "text":
        _write(axes, element, place)
    elif kind == "rect":
        x, y, w, h = (float(given[name]) for name in ("x", "y", "width", "height"))
        box = FancyBboxPatch(
            (x + 9, y + 9), w - 18, h - 18, boxstyle="round,pad=9", facecolor=LIGHT["spark"],
            alpha=float(given["fill-opacity"]), linewidth=0.0, zorder=0.5,
        )  # fmt: skip
        axes.add_patch(box)
    elif kind in ("path", "polyline", "circle"):
        _stroke(axes, kind, given, place)


def _stroke(axes: Axes, kind: str, given: Mapping[str, str], place: Transform) -> None:
    solid = given.get("fill") == "currentColor"
    style: Any = {
        "edgecolor": LIGHT["ink"],
        "facecolor": LIGHT["ink"] if solid else "none",
        "linewidth": 1.6 * POINT,
        "linestyle": (0, (3, 4)) if "stroke-dasharray" in given else "-",
        "alpha": float(given.get("opacity", "1")),
        "capstyle": "round",
        "joinstyle": "round",
    }
    patch: Circle | PathPatch
    if kind == "circle":
        centre = place.transform((float(given["cx"]), float(given.get("cy", "0"))))
        patch = Circle(tuple(centre), float(given["r"]), **style)
    else:
        way = _points(given["points"]) if kind == "polyline" else path_of(given["d"])
        patch = PathPatch(place.transform_path(way), **style)
    axes.add_patch(patch)


def _write(axes: Axes, element: Tree.Element, place: Transform) -> None:
    given = element.attrib
    size, weight, strength = WORDS[given["class"]]
    x, y = place.transform((float(given["x"]), float(given["y"])))
    axes.text(
        x, y, element.text or "", fontsize=size * POINT, fontweight=weight, alpha=strength,
        ha="center" if given.get("text-anchor") == "middle" else "left", va="baseline", color=LIGHT["ink"],
        fontstyle="italic" if given["class"] == "k" else "normal", parse_math=False,
    )  # fmt: skip


def _turned(text: str) -> Affine2D:
    """Transform that a text such as ``translate(3 4) rotate(90)`` means; the last is done first."""
    place = Affine2D()
    for name, numbers in reversed(re.findall(r"(translate|rotate)\(([^)]*)\)", text)):
        values = [float(number) for number in numbers.split()]
        place = place.translate(*values) if name == "translate" else place.rotate_deg(values[0])
    return place


def _points(text: str) -> Path:
    return Path([tuple(float(number) for number in pair.split(",")) for pair in text.split()])


def _tokens(text: str) -> Iterator[tuple[str, list[float]]]:
    """Commands of a path with their numbers."""
    command, numbers = "", list[float]()
    for letter, number in TOKEN.findall(text):
        if letter:
            if command:
                yield command, numbers
            command, numbers = letter, []
        else:
            numbers.append(float(number))
    yield command, numbers


def path_of(text: str) -> Path:
    """Path that SVG writes with moves, lines and half circles; nothing else is drawn in schematics."""
    points: list[tuple[float, float]] = []
    codes: list[int] = []
    x = y = 0.0
    for command, numbers in _tokens(text):
        own = command.islower()
        if command in "Zz":
            points.append((x, y))
            codes.append(int(Path.CLOSEPOLY))
            continue
        width = {"h": 1, "v": 1, "a": 7}.get(command.lower(), 2)
        for k in range(0, len(numbers), width):
            values = numbers[k : k + width]
            if command.lower() == "a":
                points += _half_circle(x, y, values)
                codes += [int(Path.LINETO)] * ARC_STEPS
                x, y = points[-1]
                continue
            dx = values[0] if command.lower() != "v" else None
            dy = values[-1] if command.lower() != "h" else None
            x = x if dx is None else dx + (x if own else 0.0)
            y = y if dy is None else dy + (y if own else 0.0)
            points.append((x, y))
            codes.append(int(Path.MOVETO if command in "Mm" and k == 0 else Path.LINETO))
    return Path(points, codes)


def _half_circle(x: float, y: float, values: list[float]) -> list[tuple[float, float]]:
    """Points of the bump ``a r r 0 0 1 2r 0``: half a circle above the line."""
    radius = values[0]
    steps = [math.pi * (1.0 - k / ARC_STEPS) for k in range(1, ARC_STEPS + 1)]
    return [(x + radius + radius * math.cos(a), y - radius * math.sin(a)) for a in steps]
