"""Schematic of a scene as the content of a picture file: each part with its heat."""

from pathlib import PurePath

from gapwright.app.circuit import Seen
from gapwright.app.generator_marks import marks
from gapwright.app.generator_view import generator_view
from gapwright.shell.figures.rastered import svg_as_png
from gapwright.shell.figures.schematic import schematic


def schematic_bytes(place: str, seen: Seen) -> bytes:
    """Content of a picture of that ending, .svg or .png."""
    own = marks(generator_view(seen), scene=seen.scene.value, shows="watts")
    text = schematic(seen.scenes.netlist, values=own.values, shade=own.shades, title=own.title)
    if PurePath(place).suffix.lower() == ".png":
        return svg_as_png(text)
    return text.encode()
