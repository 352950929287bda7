"""The end of an electrode from hole to hole: worn, touched off again, cut square."""

import numpy as np

from gapwright.base.units import Metres
from gapwright.hole.shape import Chain

FULL_WIDTH = 0.97
"""Share of its widest radius from which an electrode counts as full."""
MOST_CUT = 0.9
"""Share of the length kept that a cut takes away at most; above it nothing has worn."""


def touched_off(tool: Chain) -> Chain:
    """A worn electrode with its end at height 0 again, drawn out of its holder by what it has lost.

    Parameters
    ----------
    tool
        Radii and heights of its points. [m]

    Returns
    -------
    worn
        The same points lower, the upper ends where they were. [m]

    Examples
    --------
    >>> r, h = touched_off((np.array([0.0, 1.0, 1.0]), np.array([0.5, 0.6, 2.0])))
    >>> h.round(3).tolist()
    [0.0, 0.1, 2.0]
    """
    radii, heights = tool[0].copy(), tool[1].copy()
    tops = heights >= heights.max() * (1.0 - 1e-9)
    lower = heights - heights.min()
    return radii, np.where(tops, heights, lower)


def dressed(tool: Chain, cut: Metres) -> Chain:
    """A worn electrode whose end has been cut square, drawn out and touched off again.

    Parameters
    ----------
    tool
        Radii and heights of its points. [m]
    cut
        Length cut off, from the tip. [m]

    Returns
    -------
    square
        The same electrode with a flat end at height 0, the upper ends where they were. [m]

    Examples
    --------
    A cone of 1 on a rod, cut where it is half as wide as the rod:

    >>> r, h = dressed((np.array([0.0, 0.5, 1.0, 1.0]), np.array([0.0, 0.5, 1.0, 5.0])), 0.5)
    >>> r.tolist(), h.tolist()
    ([0.0, 0.5, 1.0, 1.0], [0.0, 0.0, 0.5, 5.0])
    """
    radii, heights = touched_off(tool)
    flat = np.maximum(heights, min(cut, MOST_CUT * float(heights.max())))
    moved = np.hypot(np.diff(radii), np.diff(flat)) > 0.0
    apart = np.concatenate(([True], moved))
    return touched_off((radii[apart], flat[apart]))


def point_length(tool: Chain) -> Metres:
    """Length over which the worn end is thinner than the electrode.

    Parameters
    ----------
    tool
        Radii and heights of its points, from inside outwards. [m]

    Returns
    -------
    length
        From the tip to where the outer side is as good as full. [m]

    Examples
    --------
    >>> point_length((np.array([0.0, 0.5, 1.0, 1.0]), np.array([0.0, 0.2, 0.6, 5.0])))
    0.6
    """
    radii, heights = tool
    tip = int(np.argmin(heights))
    outside, up = radii[tip:], heights[tip:]
    full = outside >= FULL_WIDTH * outside.max()
    return float(up[full].min() - heights[tip])
