"""Kernel: one crater taken out of a chain, its volume exact.

A spark moves the points within its crater along the crater's own normal, each
by its share of a cap. How far is found by Newton's method on the volume under
the moved chain, which for straight sides turned about the axis is a cubic: so
the ring loses what was asked to the last digits. See `_kernel` for the chains.
"""

import numpy as np

from gapwright.base.compiled import compiled_in_place
from gapwright.hole._kernel import METAL, Array, Marks

STEPS = 8  # of Newton's method; three are usual
CLOSE = 1e-13  # of the volume asked for
GIVES = 0.5  # of a crater's volume: most of what is owed that one crater makes good


@compiled_in_place
def side_volume(ra: float, za: float, rb: float, zb: float) -> float:
    """Volume between one straight side of a chain and the plane z = 0 [m³]."""
    return np.pi * (rb - ra) * (za * (2.0 * ra + rb) + zb * (ra + 2.0 * rb)) / 3.0


@compiled_in_place
def normal_of(chain_r: Array, chain_z: Array, lo: int, hi: int) -> tuple[float, float]:
    """Unit normal, into the metal, of the chord from point lo to point hi."""
    tr, tz = chain_r[hi] - chain_r[lo], chain_z[hi] - chain_z[lo]
    length = np.sqrt(tr * tr + tz * tz)
    if length <= 0.0:
        return 0.0, 1.0
    return -tz / length, tr / length


@compiled_in_place
def reach_of(chain_r: Array, chain_z: Array, n: int, centre: int, half: float) -> tuple[int, int]:
    """First and last point within `half` of the centre, measured along the chain."""
    first, last = centre, centre
    walked = 0.0
    while first > 0:
        dr, dz = chain_r[first] - chain_r[first - 1], chain_z[first] - chain_z[first - 1]
        walked += np.sqrt(dr * dr + dz * dz)
        if walked >= half:
            break
        first -= 1
    walked = 0.0
    while last < n - 1:
        dr, dz = chain_r[last + 1] - chain_r[last], chain_z[last + 1] - chain_z[last]
        walked += np.sqrt(dr * dr + dz * dz)
        if walked >= half:
            break
        last += 1
    return first, last


@compiled_in_place
def moved_volume(
    chain_r: Array, chain_z: Array, n: int, first: int, last: int, cap: Array, by: float, dr: float, dz: float
) -> tuple[float, float]:
    """Volume that moving the cap by `by` along (dr, dz) takes, and its slope [m³, m²]."""
    total, slope = 0.0, 0.0
    for i in range(max(0, first - 1), min(n - 1, last + 1)):
        ca = cap[i - first] if first <= i <= last else 0.0
        cb = cap[i + 1 - first] if first <= i + 1 <= last else 0.0
        ra, za = chain_r[i] + by * ca * dr, chain_z[i] + by * ca * dz
        rb, zb = chain_r[i + 1] + by * cb * dr, chain_z[i + 1] + by * cb * dz
        sra, srb = ca * dr, cb * dr
        if ra < 0.0:
            ra, sra = 0.0, 0.0
        if rb < 0.0:
            rb, srb = 0.0, 0.0
        inner = za * (2.0 * ra + rb) + zb * (ra + 2.0 * rb)
        total += (rb - ra) * inner
        total -= (chain_r[i + 1] - chain_r[i]) * (
            chain_z[i] * (2.0 * chain_r[i] + chain_r[i + 1])
            + chain_z[i + 1] * (chain_r[i] + 2.0 * chain_r[i + 1])
        )
        slope += (srb - sra) * inner + (rb - ra) * (
            ca * dz * (2.0 * ra + rb)
            + za * (2.0 * sra + srb)
            + cb * dz * (ra + 2.0 * rb)
            + zb * (sra + 2.0 * srb)
        )
    return total * np.pi / 3.0, slope * np.pi / 3.0


@compiled_in_place
def carve(
    chain_r: Array, chain_z: Array, state: Marks, n: int, centre: int, volume: float, width: float, cap: Array
) -> tuple[int, int, float]:
    """Take `volume` out of the ring around point `centre`, as a cap `width` wide.

    The metal lies to the left of either chain, seen along it: below the
    workpiece's face in (r, z), above the electrode's tip in (r, h). Only points
    of METAL move, all along the normal at the centre. `cap` is room for heights,
    as long as the chain. Returns (first, last) point of the cap and the volume
    taken, which falls short only where no metal is within reach.
    """
    half = 0.5 * width
    first, last = reach_of(chain_r, chain_z, n, centre, half)
    dr, dz = normal_of(chain_r, chain_z, max(0, first - 1), min(n - 1, last + 1))
    for i in range(first, last + 1):
        cap[i - first] = 0.0
        if state[i] == METAL:
            ar, az = chain_r[i] - chain_r[centre], chain_z[i] - chain_z[centre]
            own_r, own_z = normal_of(chain_r, chain_z, max(0, i - 1), min(n - 1, i + 1))
            facing = own_r * dr + own_z * dz
            if facing > 0.0:
                cap[i - first] = max(0.0, 1.0 - (ar * ar + az * az) / (half * half))
    by, taken = 0.0, 0.0
    for _ in range(STEPS):
        taken, slope = moved_volume(chain_r, chain_z, n, first, last, cap, by, dr, dz)
        if abs(taken - volume) <= CLOSE * abs(volume):
            break
        if slope <= 0.0:
            return centre, centre, 0.0
        by += (volume - taken) / slope
    if abs(by) > width:
        return centre, centre, 0.0
    taken, _ = moved_volume(chain_r, chain_z, n, first, last, cap, by, dr, dz)
    for i in range(first, last + 1):
        chain_r[i] = max(0.0, chain_r[i] + by * cap[i - first] * dr)
        chain_z[i] += by * cap[i - first] * dz
    return first, last, taken


@compiled_in_place
def due(volume: float, owed: float) -> float:
    """What a crater takes when the shape still owes `owed`: its own volume and a part of it [m³]."""
    return volume + min(GIVES * volume, max(-GIVES * volume, owed))
