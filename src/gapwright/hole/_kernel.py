"""Two surfaces of revolution that wear away spark by spark.

Each surface is a chain of points (r, z): radius from the axis and depth below
the entry face, ordered from the axis outwards and then up. The electrode's
chain is kept in its own frame, h above the plane of the new tip, so that
z = depth - h. What a spark takes is in `_kernel_carve`.

Arrays are used up to a count held in `sizes`: [0] workpiece, [1] electrode.
Lengths in m, areas in m², volumes in m³.
"""

import numpy as np
from numpy.typing import NDArray

from gapwright.base.compiled import compiled_in_place

Array = NDArray[np.float64]
Counts = NDArray[np.int64]
Marks = NDArray[np.int8]

FAR = 1.0  # m: the gap of a point that can no longer spark
METAL = 0
OPEN = 1
LOOSE = 2


@compiled_in_place
def ring_area(chain_r: Array, chain_z: Array, n: int, i: int) -> float:
    """Area of the ring that point i of a chain stands for [m²]."""
    lo, hi = max(0, i - 1), min(n - 1, i + 1)
    a = 0.5 * np.hypot(chain_r[i] - chain_r[lo], chain_z[i] - chain_z[lo])
    b = 0.5 * np.hypot(chain_r[hi] - chain_r[i], chain_z[hi] - chain_z[i])
    return (
        2.0
        * np.pi
        * (a * (0.75 * chain_r[i] + 0.25 * chain_r[lo]) + b * (0.75 * chain_r[i] + 0.25 * chain_r[hi]))
    )


@compiled_in_place
def ring_areas(work_r: Array, work_z: Array, n: int, first: int, stop: int, area: Array) -> None:
    """Area of the ring that each of n workpiece points stands for, from `first` to before `stop` [m²]."""
    for i in range(first, stop):
        area[i] = ring_area(work_r, work_z, n, i)


@compiled_in_place
def respace(
    chain_r: Array,
    chain_z: Array,
    mark: Marks,
    n: int,
    spacing: float,
    capacity: int,
    first: int = 0,
    stop: int = -1,
) -> tuple[int, bool]:
    """Keep neighbours between 0.45 and 1.8 of `spacing` apart by merging and inserting points.

    `mark` travels with the points. Looks at the points from `first` to before `stop`,
    of which neither end moves; -1 for all. Returns (count, changed).
    """
    changed = False
    if stop < 0:
        stop = n
    i = first + 1
    while i < stop - 1:
        gap = np.hypot(chain_r[i] - chain_r[i - 1], chain_z[i] - chain_z[i - 1])
        if gap < 0.45 * spacing and mark[i] == mark[i - 1]:
            for k in range(i, n - 1):
                chain_r[k], chain_z[k], mark[k] = chain_r[k + 1], chain_z[k + 1], mark[k + 1]
            n -= 1
            stop -= 1
            changed = True
        else:
            i += 1
    i = first + 1
    while i < stop:
        gap = np.hypot(chain_r[i] - chain_r[i - 1], chain_z[i] - chain_z[i - 1])
        if gap > 1.8 * spacing and mark[i] == mark[i - 1] and n < capacity:
            for k in range(n, i, -1):
                chain_r[k], chain_z[k], mark[k] = chain_r[k - 1], chain_z[k - 1], mark[k - 1]
            chain_r[i] = 0.5 * (chain_r[i - 1] + chain_r[i + 1])
            chain_z[i] = 0.5 * (chain_z[i - 1] + chain_z[i + 1])
            n += 1
            stop += 1
            changed = True
        else:
            i += 1
    return n, changed


@compiled_in_place
def opening_edge(work_r: Array, work_z: Array, last: int, n: int, thickness: float) -> float:
    """Radius at which the wall meets the far face, where `last` is the outermost point that is open [m].

    The wall's last side is carried on to the face, no farther in than what is open or out than metal.
    """
    inner = work_r[last]
    if last + 2 >= n or work_z[last + 1] <= work_z[last + 2]:
        return inner
    outer, rise = work_r[last + 1], work_z[last + 1] - work_z[last + 2]
    edge = outer + (outer - work_r[last + 2]) * (thickness - work_z[last + 1]) / rise
    return max(inner, min(edge, outer))


@compiled_in_place
def open_exit(
    work_r: Array, work_z: Array, state: Marks, n: int, thickness: float, lip: float
) -> tuple[float, float]:
    """Mark what has reached the far face as open, and what it cut off as loose.

    A rim thinner than `lip` beside an opening breaks away. Returns the radius
    of the opening, 0 while there is none [m], and the volume that the chain
    had beyond the far face, where there is no metal [m³].
    """
    first, last = -1, -1
    beyond = 0.0
    for i in range(n):
        if state[i] == METAL and work_z[i] >= thickness:
            beyond += swept_volume(work_r[max(0, i - 1) :], work_z[max(0, i - 1) :], min(3, n - i + 1))
            work_z[i] = thickness
            beyond -= swept_volume(work_r[max(0, i - 1) :], work_z[max(0, i - 1) :], min(3, n - i + 1))
            state[i] = OPEN
        if state[i] == OPEN:
            first = i if first < 0 else first
            last = i
    if first < 0:
        return 0.0, beyond
    while last + 1 < n and work_z[last + 1] > thickness - lip:
        last += 1
        work_z[last] = thickness
        state[last] = OPEN
    exit_radius = 0.0
    for i in range(last + 1):
        if i < first and state[i] == METAL:
            state[i] = LOOSE
        if state[i] == OPEN:
            exit_radius = max(exit_radius, work_r[i])
    return max(exit_radius, opening_edge(work_r, work_z, last, n, thickness)), beyond


@compiled_in_place
def swept_volume(chain_r: Array, chain_z: Array, n: int) -> float:
    """Volume between the chain and the plane z = 0, by rings of straight sides [m³]."""
    return volume_between(chain_r, chain_z, 0, n)


@compiled_in_place
def volume_between(chain_r: Array, chain_z: Array, first: int, stop: int) -> float:
    """Part of that volume under the sides between the points from `first` to before `stop` [m³]."""
    volume = 0.0
    for i in range(first, stop - 1):
        ra, rb, za, zb = chain_r[i], chain_r[i + 1], chain_z[i], chain_z[i + 1]
        volume += np.pi * (rb - ra) * (za * (2.0 * ra + rb) + zb * (ra + 2.0 * rb)) / 3.0
    return volume


@compiled_in_place
def untangle(
    chain_r: Array, chain_z: Array, mark: Marks, n: int, reach: int, first: int = 0, stop: int = -1
) -> tuple[int, bool]:
    """Cut off the small loops that wear makes at convex edges, up to `reach` points long.

    Where two sides of the chain cross, what lies beyond the crossing has worn
    away from both sides; it is replaced by the crossing. Looks at the points from
    `first` to before `stop`, -1 for all. Returns (count, changed).
    """
    changed = False
    if stop < 0:
        stop = n
    i = first
    while i < stop - 3:
        j = min(stop - 2, i + reach)
        while j >= i + 2:
            crossed, r, z = _crossing(chain_r, chain_z, i, j)
            if crossed and mark[i] == mark[j]:
                chain_r[i + 1], chain_z[i + 1] = r, z
                gone = j - i - 1
                for k in range(i + 2, n - gone):
                    chain_r[k], chain_z[k] = chain_r[k + gone], chain_z[k + gone]
                    mark[k] = mark[k + gone]
                n -= gone
                stop -= gone
                changed = True
                break
            j -= 1
        i += 1
    return n, changed


@compiled_in_place
def _crossing(chain_r: Array, chain_z: Array, i: int, j: int) -> tuple[bool, float, float]:
    """Whether sides i and j of a chain cross, and where."""
    pr, pz = chain_r[i], chain_z[i]
    ar, az = chain_r[i + 1] - pr, chain_z[i + 1] - pz
    qr, qz = chain_r[j], chain_z[j]
    br, bz = chain_r[j + 1] - qr, chain_z[j + 1] - qz
    area = ar * bz - az * br
    if area == 0.0:
        return False, 0.0, 0.0
    t = ((qr - pr) * bz - (qz - pz) * br) / area
    u = ((qr - pr) * az - (qz - pz) * ar) / area
    return 0.0 <= t <= 1.0 and 0.0 <= u <= 1.0, pr + t * ar, pz + t * az
