"""Hole and electrode as they were when the front passed chosen depths."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Metres, Seconds
from gapwright.rig.job import Job, wanted_depth
from gapwright.study.drilling.records_kept import Surface

USUAL = 6
"""Depths at which shapes are kept where none are asked for."""
MOST = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """Points of a surface of revolution, from the axis outwards; depths below the entry face."""

    radius_m: tuple[float, ...]
    depth_m: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """Both bodies when the front passed a depth; None is the end of the drilling."""

    asked_depth_m: float | None
    front_m: float
    time_s: float
    hole: Outline
    electrode: Outline


@dataclass(frozen=True, slots=True, kw_only=True)
class Shapes:
    """Shapes of one drilling, the shallowest first, with its end last."""

    schema: int
    rig: str
    job: str
    seed: int
    thickness_m: float
    new_electrode_radius_m: float
    shapes: tuple[Shape, ...]


def usual_depths(job: Job, count: int = USUAL) -> tuple[Metres, ...]:
    """Depths evenly spread down to the wanted one, which is left to the end of the drilling.

    Parameters
    ----------
    job
        The hole wanted.
    count
        How many depths.

    Returns
    -------
    depths
        The shallowest first. [m]
    """
    return tuple(float(z) for z in np.linspace(0.0, wanted_depth(job), count + 2)[1:-1])


def checked_depths(depths: Sequence[Metres], job: Job) -> tuple[Metres, ...]:
    """Depths that the drilling can pass, in order.

    Parameters
    ----------
    depths
        Depths asked for, below the entry face. [m]
    job
        The hole wanted.

    Returns
    -------
    depths
        Each once, the shallowest first. [m]

    Raises
    ------
    InputRefused
        If there are none or too many, or one is not between the entry face and the wanted depth.
    """
    deepest = wanted_depth(job)
    if not 1 <= len(depths) <= MOST:
        raise InputRefused(f"depths of shapes must be 1 to {MOST} in number, got {len(depths)}")
    for depth in depths:
        if not 0.0 < depth <= deepest:
            raise InputRefused(
                f"a depth of shapes must be above 0 m and at most the wanted depth "
                f"{printed_quantity(deepest, 'm')}, got {printed_quantity(depth, 'm')}"
            )
    return tuple(sorted(set(depths)))


def outline(surface: Surface) -> Outline:
    """Surface as plain numbers.

    Parameters
    ----------
    surface
        Radii and depths of its points. [m]
    """
    return Outline(radius_m=tuple(surface[0].tolist()), depth_m=tuple(surface[1].tolist()))


def shape(*, asked: Metres | None, time: Seconds, work: Surface, tool: Surface) -> Shape:
    """Both bodies at an instant.

    Parameters
    ----------
    asked
        Depth at which they were asked for, None for the end. [m]
    time
        When. [s]
    work, tool
        Surfaces of both. [m]
    """
    return Shape(
        asked_depth_m=asked,
        front_m=float(np.max(work[1])),
        time_s=time,
        hole=outline(work),
        electrode=outline(tool),
    )


def thinned(surface: Surface, *, off: Metres) -> Surface:
    """Fewest points whose straight sides stay within `off` of every point of a surface.

    The farthest point from a straight side is kept, side by side, until none is
    farther away (Ramer 1972; Douglas and Peucker 1973).

    Parameters
    ----------
    surface
        Radii and depths of the points. [m]
    off
        How far a point may be from the side that replaces it, above 0. [m]

    Examples
    --------
    >>> r, z = np.array([0.0, 1.0, 2.0, 3.0]), np.array([0.0, 0.001, 0.0, 1.0])
    >>> thinned((r, z), off=0.01)[0].tolist()
    [0.0, 2.0, 3.0]
    """
    r, z = surface
    keep = np.zeros(len(r), dtype=bool)
    keep[[0, -1]] = True
    spans = [(0, len(r) - 1)]
    while spans:
        first, last = spans.pop()
        if last - first < 2:
            continue
        away = _away(r[first : last + 1], z[first : last + 1])
        farthest = int(np.argmax(away))
        if away[farthest] > off:
            keep[first + 1 + farthest] = True
            spans += [(first, first + 1 + farthest), (first + 1 + farthest, last)]
    return r[keep], z[keep]


def _away(r: NDArray[np.float64], z: NDArray[np.float64]) -> NDArray[np.float64]:
    """Distance of the inner points from the straight piece between the ends."""
    dr, dz = r[-1] - r[0], z[-1] - z[0]
    length2 = dr * dr + dz * dz
    along = ((r[1:-1] - r[0]) * dr + (z[1:-1] - z[0]) * dz) / length2 if length2 > 0.0 else 0.0
    along = np.clip(along, 0.0, 1.0)
    distance: NDArray[np.float64] = np.hypot(r[1:-1] - r[0] - along * dr, z[1:-1] - z[0] - along * dz)
    return distance
