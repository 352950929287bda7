"""Gaps between the workpiece and the electrode, by the nearest point of a chain.

The electrode's chain is kept in its own frame, h above the plane of the new
tip, so that z = depth - h. See `_kernel` for the chains. Lengths in m.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.hole._kernel import FAR, METAL, Array, Counts, Marks

DEEP = 50e-6  # m: an overlap this deep is a search that went astray, and is made again


@compiled_in_place
def nearest_on_chain(
    r: float, z: float, tool_r: Array, tool_h: Array, count: int, depth: float, start: int
) -> tuple[float, int]:
    """Signed gap from (r, z) to the electrode's chain, searching downhill from segment `start`.

    Returns (gap [m], segment). Negative where the point lies inside the electrode.
    """
    best_k = start
    if best_k > count - 2:
        best_k = count - 2
    best = _to_segment(r, z, tool_r, tool_h, depth, best_k)
    moved = True
    while moved:
        moved = False
        for step in (-1, 1, -2, 2, -4, 4):
            k = best_k + step
            if 0 <= k < count - 1:
                d = _to_segment(r, z, tool_r, tool_h, depth, k)
                if d < best:
                    best, best_k, moved = d, k, True
                    break
    return _signed(r, z, tool_r, tool_h, depth, best_k, best, count), best_k


@compiled_in_place
def _to_segment(r: float, z: float, tool_r: Array, tool_h: Array, depth: float, k: int) -> float:
    """Unsigned distance from (r, z) to segment k of the electrode [m]."""
    ar, az = tool_r[k], depth - tool_h[k]
    br, bz = tool_r[k + 1] - ar, depth - tool_h[k + 1] - az
    pr, pz = r - ar, z - az
    length = br * br + bz * bz
    t = (pr * br + pz * bz) / length if length > 0.0 else 0.0
    t = min(1.0, max(0.0, t))
    return np.hypot(pr - t * br, pz - t * bz)


@compiled_in_place
def _side_normal(tool_r: Array, tool_h: Array, k: int) -> tuple[float, float]:
    """Unit normal of segment k of the electrode, out of the metal, in (r, z)."""
    tr, tz = tool_r[k + 1] - tool_r[k], tool_h[k] - tool_h[k + 1]
    length = np.hypot(tr, tz)
    if length <= 0.0:
        return 0.0, 0.0
    return -tz / length, tr / length


@compiled_in_place
def _signed(
    r: float, z: float, tool_r: Array, tool_h: Array, depth: float, k: int, distance: float, count: int
) -> float:
    """Give the distance its sign: negative inside the electrode.

    The nearest feature decides: the normal of a side, or at a point the sum of
    the normals of its two sides.
    """
    ar, az = tool_r[k], depth - tool_h[k]
    br, bz = tool_r[k + 1] - ar, depth - tool_h[k + 1] - az
    length = br * br + bz * bz
    t = ((r - ar) * br + (z - az) * bz) / length if length > 0.0 else 0.0
    nr, nz = _side_normal(tool_r, tool_h, k)
    if t <= 0.0 and k > 0:
        mr, mz = _side_normal(tool_r, tool_h, k - 1)
        nr, nz = nr + mr, nz + mz
    elif t >= 1.0 and k + 2 < count:
        mr, mz = _side_normal(tool_r, tool_h, k + 1)
        nr, nz = nr + mr, nz + mz
    t = min(1.0, max(0.0, t))
    outward = (r - ar - t * br) * nr + (z - az - t * bz) * nz
    return distance if outward >= 0.0 else -distance


@compiled_in_place
def _whole_search(r: float, z: float, tool_r: Array, tool_h: Array, count: int, depth: float) -> int:
    """Segment of the electrode nearest to (r, z), all of them tried."""
    best, where = FAR, 0
    for k in range(count - 1):
        d = _to_segment(r, z, tool_r, tool_h, depth, k)
        if d < best:
            best, where = d, k
    return where


@compiled_in_place
def refresh_gaps(
    work_r: Array,
    work_z: Array,
    state: Marks,
    tool_r: Array,
    tool_h: Array,
    sizes: Counts,
    depth: float,
    thorough: bool,
    near: Counts,
    gap: Array,
) -> float:
    """Gap of every workpiece point to the electrode; `thorough` searches the whole chain.

    Returns the smallest gap of a living point [m].
    """
    count = sizes[1]
    if thorough:
        for i in range(sizes[0]):
            if state[i] == METAL:
                near[i] = _whole_search(work_r[i], work_z[i], tool_r, tool_h, count, depth)
    return refresh_between(work_r, work_z, state, tool_r, tool_h, count, depth, near, gap, 0, sizes[0])


@compiled_in_place
def refresh_between(
    work_r: Array,
    work_z: Array,
    state: Marks,
    tool_r: Array,
    tool_h: Array,
    count: int,
    depth: float,
    near: Counts,
    gap: Array,
    first: int,
    stop: int,
) -> float:
    """Gap of the workpiece points from `first` to before `stop`; returns the smallest of a living one [m]."""
    smallest = FAR
    for i in range(first, stop):
        if state[i] != METAL:
            gap[i] = FAR
            continue
        gap[i], near[i] = nearest_on_chain(work_r[i], work_z[i], tool_r, tool_h, count, depth, near[i])
        if gap[i] < -DEEP:
            near[i] = _whole_search(work_r[i], work_z[i], tool_r, tool_h, count, depth)
            gap[i], near[i] = nearest_on_chain(work_r[i], work_z[i], tool_r, tool_h, count, depth, near[i])
        smallest = min(smallest, gap[i])
    return smallest


@compiled_in_place
def look_again(
    work_r: Array,
    work_z: Array,
    state: Marks,
    ring: int,
    rings: int,
    tool_r: Array,
    tool_h: Array,
    count: int,
    first: int,
    stop: int,
    depth: float,
    near: Counts,
    gap: Array,
) -> None:
    """Search all segments from `first` to before `stop` again for the points from `ring` to before `rings`.

    A search downhill may stay on the wrong side of a bore or a corner.
    """
    for i in range(ring, rings):
        if state[i] != METAL:
            continue
        best, where = abs(gap[i]), -1
        for k in range(first, min(stop, count) - 1):
            d = _to_segment(work_r[i], work_z[i], tool_r, tool_h, depth, k)
            if d < best:
                best, where = d, k
        if where >= 0:
            near[i] = where
            gap[i] = _signed(work_r[i], work_z[i], tool_r, tool_h, depth, where, best, count)
