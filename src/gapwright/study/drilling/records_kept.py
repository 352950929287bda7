"""What can be kept of a drilling while it runs: every spark, every control tick, shapes at chosen depths."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from gapwright.base.units import Metres
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds._drilling_state import Array, Counts, World

SPARK_COLUMNS = (
    "time_s",
    "depth_m",
    "radius_m",
    "surface",
    "delay_s",
    "breakdown_v",
    "peak_a",
    "energy_j",
    "class",
    "volume_m3",
    "charge_c",
    "duration_s",
    "gap_m",
    "angle_rad",
    "way",
    "batch",
)
"""Columns of a row about a spark.

`surface` indexes `SURFACES`, `class` the classes of discharge, `way` `WAYS`. The delay counts from
the recovery after the last discharge or short, charging included. The volume is that taken off
the workpiece, 0 where the spark removed nothing; each row stands for `batch` sparks.
"""
SURFACES = ("front", "side wall", "core")
WAYS = ("field", "last spark's place", "debris", "field emission", "blown neck", "parting")
"""What ignited a spark; the last three on rigs that spark by contact."""
TICK_COLUMNS = (
    "time_s",
    "feed_m",
    "depth_m",
    "gap_m",
    "mean_v",
    "sensed_v",
    "speed_m_per_s",
    "debris",
    "is_short",
    "open_s",
    "normal",
    "partial",
    "transient_arc",
    "stationary_arc",
    "short",
    "contact",
)
"""Columns of a row about a control tick: state at its end, seconds waiting and counts by class within it."""
SPARK_ROOM, TICK_ROOM = 16384, 4096

Surface = tuple[NDArray[np.float64], NDArray[np.float64]]


class Keeper(Protocol):
    """Takes what a drilling lets go of; rows come in order, a bunch at a time."""

    def sparks(self, rows: Array) -> None:
        """Take rows about sparks, (n, columns)."""

    def ticks(self, rows: Array) -> None:
        """Take rows about control ticks, (n, columns)."""

    def shape(self, depth: Metres, work: Surface, tool: Surface) -> None:
        """Take both surfaces, radii and depths below the entry face, at a depth of the front."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What somebody wants to be kept of a drilling, and who takes it."""

    keeper: Keeper
    shapes_at: Sequence[Metres] = field(default=())


def rooms(wanted: Wanted | None) -> tuple[Array, Array]:
    """Buffers for rows about sparks and ticks; without room where nothing is wanted."""
    sparks, ticks = (0, 0) if wanted is None else (SPARK_ROOM, TICK_ROOM)
    return np.zeros((sparks, len(SPARK_COLUMNS))), np.zeros((ticks, len(TICK_COLUMNS)))


def take(wanted: Wanted | None, world: World, num: Array, flag: Counts) -> None:
    """Hand over what has gathered, and set the next depth at which shapes are wanted."""
    if wanted is None:
        num[state.NEXT_SHAPE] = np.inf
        return
    wanted.keeper.sparks(world.spark_rows[: flag[state.SPARK_ROWS]].copy())
    wanted.keeper.ticks(world.tick_rows[: flag[state.TICK_ROWS]].copy())
    flag[[state.SPARK_ROWS, state.TICK_ROWS]] = 0
    reached = float(num[state.FRONT])
    n, t = world.sizes
    for depth in sorted(wanted.shapes_at):
        if num[state.NEXT_SHAPE] <= depth <= reached:
            wanted.keeper.shape(
                depth,
                (world.work_r[:n].copy(), world.work_z[:n].copy()),
                (world.tool_r[:t].copy(), num[state.DEPTH] - world.tool_h[:t]),
            )
    num[state.NEXT_SHAPE] = min((d for d in wanted.shapes_at if d > reached), default=np.inf)
