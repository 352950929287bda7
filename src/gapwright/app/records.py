"""What was kept of a drilling, as tables for other programs."""

import re
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.quantity import quantity
from gapwright.study.drilling.shapes_at_depth import Shapes

Table = dict[str, NDArray[Any]]


def depths_from(text: str) -> tuple[float, ...]:
    """Depths written one after another with commas between, in metres.

    Raises
    ------
    InputRefused
        If one of them is not a length.

    Examples
    --------
    >>> depths_from("0.5 mm, 1 mm")
    (0.0005, 0.001)
    """
    if re.search(r"\d,\d", text):
        raise InputRefused(
            f"--shapes-at must have points in its numbers and a space after each comma, got {text!r}; "
            f'write "0.5 mm, 1 mm"'
        )
    parts = [part.strip() for part in text.split(",")]
    if not all(parts):
        raise InputRefused(
            f'--shapes-at must be lengths with commas between, got {text!r}; write "0.5 mm, 1 mm"'
        )
    return tuple(quantity(part, "m", name="--shapes-at") for part in parts)


def depth_from(text: str) -> float:
    """Depth at which a capture ends, in metres.

    Raises
    ------
    InputRefused
        If it is not a length.

    Examples
    --------
    >>> depth_from("0.5 mm")
    0.0005
    """
    return quantity(text, "m", name="--capture-at")


def points_of(shapes: Shapes) -> Table:
    """Every point of every outline as a row; the end of the drilling has no depth asked for."""
    rows = [
        (number, each, body, outline)
        for number, each in enumerate(shapes.shapes)
        for body, outline in (("hole", each.hole), ("electrode", each.electrode))
    ]
    counts = [len(outline.radius_m) for *_, outline in rows]
    asked = [np.nan if each.asked_depth_m is None else each.asked_depth_m for _, each, *_ in rows]
    return {
        "shape": np.repeat(np.array([number for number, *_ in rows], dtype=np.int32), counts),
        "asked_depth_m": np.repeat(np.array(asked), counts),
        "front_m": np.repeat(np.array([each.front_m for _, each, *_ in rows]), counts),
        "time_s": np.repeat(np.array([each.time_s for _, each, *_ in rows]), counts),
        "body": np.repeat(np.array([body for *_, body, _ in rows]), counts),
        "point": np.concatenate([np.arange(n, dtype=np.int32) for n in counts]),
        "radius_m": np.concatenate([np.array(outline.radius_m) for *_, outline in rows]),
        "depth_m": np.concatenate([np.array(outline.depth_m) for *_, outline in rows]),
    }
