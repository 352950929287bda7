"""A drilling to be played back: section of hole and electrode, and the last sparks, frame by frame.

Compact enough for a page: outlines are thinned to half a micrometre, numbers
rounded to a tenth of one, and there are at most `FRAMES` frames.
"""

from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.units import Metres
from gapwright.study.drilling.records_kept import SPARK_COLUMNS, Surface
from gapwright.study.drilling.shapes_at_depth import Outline, Shape, outline, shape, thinned
from gapwright.study.drilling.tick_history import AT
from gapwright.study.grounds import _drilling_state as state

FRAMES = 160
"""Depths at which a frame is kept, beside the start and the end."""
DOTS = 40
"""Last sparks that each frame shows."""
FINEST = 0.5e-6
PLACES = 7
"""Decimals of a metre that are kept."""

_COLUMN = {name: place for place, name in enumerate(SPARK_COLUMNS)}
_DOT = ("radius_m", "depth_m", "class")


@dataclass(frozen=True, slots=True, kw_only=True)
class Dots:
    """The last sparks before a frame: where they struck, and their class by its place in `classes`."""

    radius_m: tuple[float, ...]
    depth_m: tuple[float, ...]
    kind: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """One instant: both outlines, the last sparks, and what the controller saw."""

    time_s: float
    front_m: float
    gap_m: float
    """Smallest gap."""
    mean_v: float
    """Mean gap voltage of the tick."""
    debris: float
    """Share of the working gap's volume that is debris."""
    hole: Outline
    electrode: Outline
    sparks: Dots


@dataclass(frozen=True, slots=True, kw_only=True)
class Playback:
    """A drilling as frames, with what does not change between them."""

    schema: int
    rig: str
    job: str
    ended: str
    classes: tuple[str, ...]
    thickness_m: float
    wanted_diameter_m: float
    open_v: float
    set_v: float | None
    """Mean gap voltage that the controller holds to; None where it senses something else."""
    frames: tuple[Frame, ...]


class Film:
    """Takes shapes, ticks and sparks of a drilling and keeps its frames, and full shapes where asked."""

    def __init__(self, full_at: tuple[Metres, ...] = ()) -> None:
        """Begin with none; shapes at the depths `full_at` are kept point by point as well."""
        self.frames: list[Frame] = []
        self.shapes: list[Shape] = []
        self._full_at = frozenset(full_at)
        self._dots: deque[tuple[float, float, int]] = deque(maxlen=DOTS)
        self._tick: NDArray[np.float64] | None = None

    def sparks(self, rows: NDArray[np.float64]) -> None:
        """Remember the last sparks."""
        places = [_COLUMN[name] for name in _DOT]
        self._dots.extend((float(r), float(z), int(k)) for r, z, k in rows[-DOTS:, places])

    def ticks(self, rows: NDArray[np.float64]) -> None:
        """Remember the last tick."""
        if len(rows):
            self._tick = rows[-1]

    def shape(self, depth: Metres, work: Surface, tool: Surface) -> None:
        """Keep a frame of this instant."""
        if depth in self._full_at:
            self.shapes.append(shape(asked=depth, time=self._at("time_s"), work=work, tool=tool))
        self.frames.append(self._frame(work, tool))

    def end(self, work: Surface, tool: Surface) -> None:
        """Keep the end of the drilling, as a frame and as a full shape."""
        self.shapes.append(shape(asked=None, time=self._at("time_s"), work=work, tool=tool))
        self.frames.append(self._frame(work, tool))

    def _at(self, name: str) -> float:
        return 0.0 if self._tick is None else float(self._tick[AT[name]])

    def _frame(self, work: Surface, tool: Surface) -> Frame:
        r, z, kind = zip(*self._dots, strict=True) if self._dots else ((), (), ())
        return Frame(
            time_s=round(self._at("time_s"), 4),
            front_m=round(self._at("depth_m"), PLACES),
            gap_m=round(self._at("gap_m"), PLACES),
            mean_v=round(self._at("mean_v"), 2),
            debris=round(self._at("debris"), 4),
            hole=_compact(work),
            electrode=_compact(tool),
            sparks=Dots(
                radius_m=tuple(round(x, PLACES) for x in r),
                depth_m=tuple(round(x, PLACES) for x in z),
                kind=kind,
            ),
        )


def _compact(surface: Surface) -> Outline:
    """Outline with few points and few digits."""
    r, z = thinned(surface, off=FINEST)
    return outline((np.round(r, PLACES), np.round(z, PLACES)))


def frame_depths(deepest: Metres) -> tuple[Metres, ...]:
    """Depths at which frames are kept, evenly spread.

    Parameters
    ----------
    deepest
        The wanted depth. [m]

    Returns
    -------
    depths
        The shallowest first. [m]
    """
    return tuple(float(z) for z in np.linspace(0.0, deepest, FRAMES + 1)[1:])


CLASSES = state.CLASSES
"""Names of the classes, by the numbers that dots carry."""
