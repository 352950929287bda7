"""Starting shapes of workpiece and electrode, and what is measured on worn ones."""

from math import ceil

import numpy as np
from numpy.typing import NDArray

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import CubicMetres, Metres
from gapwright.hole._kernel import opening_edge, swept_volume

Chain = tuple[NDArray[np.float64], NDArray[np.float64]]
"""Radii and depths (or heights) of the points of a surface, from the axis outwards [m]."""

MARGIN = 0.25e-3
"""Width of face kept around the electrode, where a bell-mouthed entry can grow [m]."""


def flat_face(swept: Metres, *, spacing: Metres) -> Chain:
    """Points of an undrilled face, from the axis to beyond the electrode's edge.

    Parameters
    ----------
    swept
        Radius that the electrode sweeps, above 0. [m]
    spacing
        Distance between points, above 0. [m]

    Examples
    --------
    >>> radii, depths = flat_face(0.25e-3, spacing=50e-6)
    >>> len(radii), float(depths.max())
    (11, 0.0)
    """
    require_positive("swept", swept, "m")
    require_positive("spacing", spacing, "m")
    radii = np.linspace(0.0, swept + MARGIN, ceil((swept + MARGIN) / spacing) + 1)
    return radii, np.zeros_like(radii)


def new_electrode(
    swept: Metres,
    *,
    bore: Metres,
    length: Metres,
    spacing: Metres,
    point: Metres = 0.0,
    edge: Metres = 0.0,
) -> Chain:
    """Points of a rod (bore 0) or tube, from the axis or the bore's top to the outer top.

    Parameters
    ----------
    swept
        Outer radius, above 0. [m]
    bore
        Radius of the bore, 0 for a rod, below the outer one. [m]
    length
        Length kept, above 0. [m]
    spacing
        Distance between points, above 0. [m]
    point
        Length of a conical point, 0 for a square cut; below the length kept. [m]
    edge
        Radius of a rounded outer edge, at most the metal beside the bore. [m]

    Raises
    ------
    InputRefused
        If the bore leaves no wall, or the tip does not fit.

    Examples
    --------
    >>> radii, heights = new_electrode(0.25e-3, bore=0.1e-3, length=1e-3, spacing=50e-6)
    >>> float(heights[0]), float(radii.max()), float(heights.min())
    (0.001, 0.00025, 0.0)
    """
    require_positive("length", length, "m")
    if not 0.0 <= bore < swept:
        raise InputRefused(f"bore must be between 0 m and the swept radius {swept:g} m, got {bore:g} m")
    if not 0.0 <= edge <= swept - bore:
        raise InputRefused(f"edge must be between 0 m and the metal's {swept - bore:g} m, got {edge:g} m")
    if not point >= 0.0 or point + edge >= length:
        raise InputRefused(
            f"point and edge must be at least 0 m and together below {length:g} m, "
            f"got {point:g} and {edge:g} m"
        )
    along = float(np.hypot(swept - bore, point)) + 0.6 * edge
    tip = np.linspace(bore, swept, max(3, ceil(along / spacing) + 1))
    rise = point * (tip - bore) / (swept - bore) + _rounding(tip, swept, edge)
    up = np.linspace(rise[-1], length, ceil((length - rise[-1]) / spacing) + 1)[1:]
    radii, heights = [tip, np.full_like(up, swept)], [rise, up]
    if bore > 0.0:
        inside = np.linspace(0.0, length, ceil(length / spacing) + 1)[1:]
        radii.insert(0, np.full_like(inside, bore))
        heights.insert(0, inside[::-1])
    return np.concatenate(radii), np.concatenate(heights)


def _rounding(radii: NDArray[np.float64], swept: Metres, edge: Metres) -> NDArray[np.float64]:
    """Height that a rounded outer edge adds at these radii [m]."""
    beyond = np.maximum(0.0, radii - (swept - edge))
    return edge - np.sqrt(np.maximum(0.0, edge**2 - beyond**2))


def hole_volume(radii: NDArray[np.float64], depths: NDArray[np.float64]) -> CubicMetres:
    r"""Volume between the entry plane and a surface of revolution given by its points.

    Parameters
    ----------
    radii
        Radii of the points, from the axis outwards. [m]
    depths
        Depths of the same points below the entry face. [m]

    Returns
    -------
    volume
        Volume of metal gone. [m³]

    Notes
    -----
    .. math::

        V = \sum_i \frac{\pi}{3} (r_{i+1} - r_i)
            \bigl[z_i (2 r_i + r_{i+1}) + z_{i+1} (r_i + 2 r_{i+1})\bigr]

    Holds exactly for straight sides between the points (Pappus).

    Leaves out: what is rounder than the straight sides.

    References
    ----------
    computed

    Examples
    --------
    A cylinder 0.5 mm wide and 1 mm deep:

    >>> r, z = np.array([0.0, 0.25e-3, 0.25e-3]), np.array([1e-3, 1e-3, 0.0])
    >>> f"{1e9 * hole_volume(r, z):.4f} mm³"
    '0.1963 mm³'
    """
    return float(swept_volume(np.ascontiguousarray(radii), np.ascontiguousarray(depths), len(radii)))


def with_edge(radii: NDArray[np.float64], depths: NDArray[np.float64], thickness: Metres) -> Chain:
    """Points of a hole as they are drawn: the outermost open one stands where the wall meets the far face.

    Parameters
    ----------
    radii
        Radii of the points, from the axis outwards. [m]
    depths
        Depths of the same points below the entry face. [m]
    thickness
        Depth of the far face. [m]

    Returns
    -------
    chain
        Radii and depths, (points,) each; as they were where the hole is not open. [m]

    Examples
    --------
    >>> r, z = np.array([0.0, 0.36e-3, 0.4e-3, 0.4e-3]), np.array([1e-3, 1e-3, 0.9e-3, 0.0])
    >>> f"{1e3 * with_edge(r, z, 1e-3)[0][1]:.2f} mm"
    '0.40 mm'
    """
    open_at = np.flatnonzero(depths >= thickness)
    if open_at.size == 0:
        return radii, depths
    last, moved = int(open_at[-1]), np.array(radii)
    moved[last] = opening_edge(moved, np.ascontiguousarray(depths), last, len(moved), thickness)
    return moved, depths


def radius_at(radii: NDArray[np.float64], depths: NDArray[np.float64], depth: Metres) -> Metres:
    r"""Outer radius of a hole at a depth below the entry face.

    Parameters
    ----------
    radii
        Radii of the surface's points, from the axis outwards. [m]
    depths
        Depths of the same points below the entry face. [m]
    depth
        Depth asked for. [m]

    Returns
    -------
    radius
        Largest radius at which the surface passes that depth, 0 where it is not that deep. [m]

    Notes
    -----
    .. math:: r = r_i + (r_{i+1} - r_i) \frac{z - z_i}{z_{i+1} - z_i}

    Holds for any chain of points; the outermost crossing counts, so that a core left standing does not.

    Leaves out: roughness finer than the points.

    References
    ----------
    computed

    Examples
    --------
    >>> r, z = np.array([0.0, 0.25e-3, 0.30e-3]), np.array([1e-3, 1e-3, 0.0])
    >>> f"{1e3 * radius_at(r, z, 0.5e-3):.3f} mm"
    '0.275 mm'
    """
    outer = 0.0
    for i in range(len(radii) - 1):
        a, b = depths[i], depths[i + 1]
        if a != b and min(a, b) <= depth <= max(a, b):
            outer = max(outer, float(radii[i] + (radii[i + 1] - radii[i]) * (depth - a) / (b - a)))
    return outer
