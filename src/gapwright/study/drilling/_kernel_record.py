"""Kernel: rows about every spark and every control tick, while somebody keeps them.

The columns are those of `records_kept`; the rows are taken away between calls
of the drilling, which leaves in time for none to be lost. All numbers in SI units.
"""

import numpy as np

from gapwright.base.compiled import compiled_within
from gapwright.study.drilling._kernel_electric import F_BREAKDOWN, F_CHARGE, F_DURATION, F_ENERGY, F_PEAK
from gapwright.study.grounds._drilling_state import (
    ANGLE,
    DEBRIS,
    DEPTH,
    FRONT,
    GAP_MIN,
    IGNITED_AT,
    IS_SHORT,
    MEAN,
    RECOVERED_AT,
    SENSED,
    SPARK_ROWS,
    SPEED,
    TICK_ROWS,
    TIME,
    WAY,
    Array,
    Counts,
    Setting,
    World,
)

FRONT_FACE, SIDE_WALL, CORE = 0.0, 1.0, 2.0
STEEP = 0.7071  # radial part of a normal above which a ring belongs to a wall
SPARE = 4096  # rows of sparks that one tick may need


@compiled_within
def surface_of(w: World, ring: int) -> float:
    """Part of the hole's surface that a ring belongs to: front, side wall or core."""
    lo, hi = max(0, ring - 1), min(w.sizes[0] - 1, ring + 1)
    dr, dz = w.work_r[hi] - w.work_r[lo], w.work_z[hi] - w.work_z[lo]
    length = np.sqrt(dr * dr + dz * dz)
    if length <= 0.0 or abs(dz) < STEEP * length:
        return FRONT_FACE
    return SIDE_WALL if dz < 0.0 else CORE


@compiled_within
def keep_spark(s: Setting, w: World, num: Array, flag: Counts, facts: Array, ring: int, kind: int) -> None:
    """Add a row about a discharge; its volume follows in `keep_volume`."""
    delay = num[IGNITED_AT] - num[RECOVERED_AT]
    num[RECOVERED_AT] = num[IGNITED_AT] + facts[F_DURATION] * s.batch
    n = flag[SPARK_ROWS]
    if n >= w.spark_rows.shape[0]:
        return
    row = w.spark_rows[n]
    row[0] = num[IGNITED_AT]
    row[1] = w.work_z[ring]
    row[2] = w.work_r[ring]
    row[3] = surface_of(w, ring)
    row[4] = delay
    row[5] = facts[F_BREAKDOWN]
    row[6] = facts[F_PEAK]
    row[7] = facts[F_ENERGY]
    row[8] = kind
    row[9] = 0.0
    row[10] = facts[F_CHARGE]
    row[11] = facts[F_DURATION]
    row[12] = w.gap[ring]
    row[13] = num[ANGLE]
    row[14] = flag[WAY]
    row[15] = s.batch
    flag[SPARK_ROWS] = n + 1


@compiled_within
def keep_volume(w: World, flag: Counts, volume: float) -> None:
    """Complete the last row with the volume that the spark took [m³]."""
    n = flag[SPARK_ROWS]
    if 0 < n <= w.spark_rows.shape[0]:
        w.spark_rows[n - 1, 9] = volume


@compiled_within
def keep_tick(w: World, num: Array, flag: Counts, waited: float) -> None:
    """Add a row about a control tick; `waited` is the time with the store full and no spark [s]."""
    n = flag[TICK_ROWS]
    if n >= w.tick_rows.shape[0]:
        return
    row = w.tick_rows[n]
    row[0] = num[TIME]
    row[1] = num[DEPTH]
    row[2] = num[FRONT]
    row[3] = num[GAP_MIN]
    row[4] = num[MEAN]
    row[5] = num[SENSED]
    row[6] = num[SPEED]
    row[7] = num[DEBRIS]
    row[8] = flag[IS_SHORT]
    row[9] = waited
    for k in range(1, w.class_count.shape[0]):
        row[9 + k] = w.class_count[k] - w.tick_count[k]
        w.tick_count[k] = w.class_count[k]
    flag[TICK_ROWS] = n + 1


@compiled_within
def is_full(w: World, flag: Counts) -> bool:
    """Whether the rows must be taken away before another tick."""
    sparks, ticks = w.spark_rows.shape[0], w.tick_rows.shape[0]
    return (sparks > 0 and flag[SPARK_ROWS] > sparks - SPARE) or (ticks > 0 and flag[TICK_ROWS] >= ticks)
