"""One drilling: a member's constants, a charge map and a seed in; the whole course out."""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from gapwright.base.units import Joules, Metres, Seconds
from gapwright.circuit.map._map_kernel import MapArrays
from gapwright.circuit.map.charge_map import FACT_COLUMNS, ChargeMap
from gapwright.hole._kernel import METAL
from gapwright.hole._kernel_gap import refresh_gaps
from gapwright.hole.shape import Chain, flat_face, new_electrode
from gapwright.motion._kernel import RING
from gapwright.study.drilling._kernel_drilling import drill
from gapwright.study.drilling._kernel_leaps import fill_leaps, leap_rooms
from gapwright.study.drilling._kernel_tables import phase_integral
from gapwright.study.drilling.records_kept import WAYS, Wanted, rooms, take
from gapwright.study.grounds import _drilling_state as state
from gapwright.study.grounds._draws import PURPOSES, stream_keys
from gapwright.study.grounds._drilling_state import Array, Counts, Marks, Setting, World

START = 60e-6
"""Distance above the work at which a drilling begins, after touching off and backing away [m]."""
TICKS_A_CALL = 400
LOGGED = 4096
TRACED = 1024

GoOn = Callable[[float], bool]
"""Hears the depth reached as a share of the wanted one; False asks to stop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """Who watches a drilling: asked between pieces of work; most frames and which rows to keep."""

    go_on: GoOn = lambda _: True
    frames: int = 0
    wanted: Wanted | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frame:
    """Shapes of hole and electrode at one moment of a drilling, radius and depth below the entry face."""

    time: Seconds
    depth: Metres
    work: tuple[NDArray[np.float64], NDArray[np.float64]]
    tool: tuple[NDArray[np.float64], NDArray[np.float64]]


class Film:
    """Frames of a drilling, evenly over its time; when full, every second one goes."""

    def __init__(self, most: int) -> None:
        """Keep at most `most` frames, an even number; none if 0."""
        self.frames: list[Frame] = []
        self._most, self._stride, self._seen = most, 1, 0

    def see(self, world: World, num: Array) -> None:
        """Keep this moment, if it is one of those to keep."""
        self._seen += 1
        if not self._most or self._seen % self._stride:
            return
        self.frames.append(_frame(world, num))
        if len(self.frames) >= self._most:
            self.frames = self.frames[1::2]
            self._stride *= 2


def _frame(world: World, num: Array) -> Frame:
    """Shapes as they are now."""
    n, t = world.sizes
    return Frame(
        time=float(num[state.TIME]),
        depth=float(num[state.FRONT]),
        work=(world.work_r[:n].copy(), world.work_z[:n].copy()),
        tool=(world.tool_r[:t].copy(), float(num[state.DEPTH]) - world.tool_h[:t]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Luck:
    """Keys of a drilling's random streams."""

    seed: int
    member: int
    hole: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """What one simulated drilling did; all in SI units, times and energies for the whole hole."""

    ended: str
    time: Seconds
    numbers: NDArray[np.float64]
    energy: NDArray[np.float64]
    """(2, meters) energies of the map's meters: while sparking, and while shorted."""
    stored: Joules
    sparks: int
    class_count: NDArray[np.float64]
    class_time: NDArray[np.float64]
    way_count: NDArray[np.float64]
    """Discharges by what ignited them, in the order of `records_kept.WAYS`."""
    lifts: int
    log: NDArray[np.float64]
    """(n, 7) a fair sample of the discharges.

    Time, breakdown voltage, energy, peak current, charge, radius, depth.
    """
    trace: NDArray[np.float64]
    """(m, 3) time, depth, mean gap voltage."""
    work: tuple[NDArray[np.float64], NDArray[np.float64]]
    tool: tuple[NDArray[np.float64], NDArray[np.float64]]
    new_tool: tuple[NDArray[np.float64], NDArray[np.float64]]
    depth: Metres
    worn: Metres
    batch: int
    frames: tuple[Frame, ...] = ()
    """Shapes on the way and at the end, where they were asked for."""

    @property
    def gets_through(self) -> bool:
        """Whether the hole is what was asked for."""
        return self.ended in (state.ENDINGS[state.THROUGH], state.ENDINGS[state.AT_DEPTH])


@dataclass(frozen=True, slots=True, kw_only=True)
class Tip:
    """Form of a new electrode's end: radius inside which there is no metal, point, rounded edge."""

    bore: Metres = 0.0
    point: Metres = 0.0
    edge: Metres = 0.0


def _world(setting: Setting, tip: Tip, wanted: Wanted | None, leaps: Array, goes: Marks) -> World:
    """New face and new electrode, with room for the points that wear adds."""
    spacing = setting.spacing
    spark_rows, tick_rows = rooms(wanted)
    reach = min(setting.length - setting.thickness, 3.0 * setting.thickness * max(1.0, setting.wear_ratio))
    length = setting.thickness + setting.over_travel + reach + tip.point + 0.5e-3
    tool_r, tool_h = new_electrode(
        setting.swept, bore=tip.bore, length=length, spacing=spacing, point=tip.point, edge=tip.edge
    )
    work_r, work_z = flat_face(setting.swept, spacing=spacing)
    points = len(work_r) + ceil(4.0 * setting.thickness / spacing) + 64
    tools = len(tool_r) + 256
    return World(
        work_r=_padded(work_r, points),
        work_z=_padded(work_z, points),
        state=np.zeros(points, dtype=np.int8),
        tool_r=_padded(tool_r, tools),
        tool_h=_padded(tool_h, tools),
        tool_state=np.full(tools, METAL, dtype=np.int8),
        sizes=np.array([len(work_r), len(tool_r)], dtype=np.int64),
        near=np.zeros(points, dtype=np.int64),
        gap=np.ones(points),
        area=np.zeros(points),
        hazard=np.zeros(points),
        memory=np.zeros(points),
        leaps=leaps,
        goes=goes,
        cap=np.zeros(max(points, tools)),
        way_count=np.zeros(len(WAYS)),
        class_count=np.zeros(len(state.CLASSES)),
        class_time=np.zeros(len(state.CLASSES)),
        tick_count=np.zeros(len(state.CLASSES)),
        spark_rows=spark_rows,
        tick_rows=tick_rows,
    )


def _tables(setting: Setting, m: MapArrays) -> tuple[Array, Array, Array, Array, Marks]:
    """What a member's stretches do to the gap by phase (exposure, voltage, time fit to ignite), and leaps."""
    exposure = phase_integral(m.time, m.gap_volts, setting.exponent, setting.hazard_floor)
    volt_time = phase_integral(m.time, m.gap_volts, 1.0, 0.0)
    ready_time = phase_integral(m.time, m.gap_volts, 0.0, setting.hazard_floor)
    leaps, goes = leap_rooms(m)
    fill_leaps(m, exposure, volt_time, ready_time, leaps, goes)
    return exposure, volt_time, ready_time, leaps, goes


def _padded(points: NDArray[np.float64], room: int) -> NDArray[np.float64]:
    """Copy with zeros behind, `room` long."""
    out = np.zeros(room)
    out[: len(points)] = points
    return out


def _start(setting: Setting, charge: ChargeMap, axis_ring: int) -> tuple[Array, Counts, Array]:
    """State at the start: electrode backed away, store empty, nothing sensed but an open gap."""
    num = np.zeros(state.NUMBERS)
    num[state.DEPTH] = -START
    num[state.NEED] = 1.0
    num[state.VOLTS] = charge.start_volts
    num[state.STORED] = charge.start_joules
    num[state.SENSED] = setting.open_volts
    num[state.FELT] = 1.0
    num[state.NEXT_LIFT] = setting.control.lift_every
    num[state.HOTTEST] = num[state.HOTTEST_WALL] = num[state.GAP_HEAT] = setting.heat.ambient
    flag = np.zeros(state.FLAGS, dtype=np.int64)
    flag[state.CHART] = charge.start_chart
    flag[state.SINCE_RESPACE] = -1
    axis_state = np.zeros(RING + axis_ring)
    axis_state[[0, 1, 3]] = -START
    return num, flag, axis_state


def take_up(world: World, worn: Chain) -> None:
    """Put an electrode that has drilled before in the place of the new one."""
    count = len(worn[0])
    world.tool_r[:count], world.tool_h[:count] = worn
    world.sizes[1] = count


UNWATCHED = Watch()


def course(
    setting: Setting,
    charge: ChargeMap,
    *,
    tip: Tip,
    luck: Luck,
    watch: Watch = UNWATCHED,
    worn: Chain | None = None,
) -> Course | None:
    """Drill one hole with one member's constants; None if asked to stop.

    Parameters
    ----------
    setting
        Constants of the member, rig and job.
    charge
        Charge map of the rig's generator.
    tip
        Form of the new electrode's end.
    luck
        Keys of the random streams: the same give the same drilling.
    watch
        Who is asked between bounded pieces of work, how many shapes to keep on the way, and which rows.
    worn
        Radii and heights of an electrode that has drilled before, touched off again; new if not given. [m]
    """
    film = Film(watch.frames)
    m = charge.arrays
    exposure, volt_time, ready_time, leaps, goes = _tables(setting, m)
    world = _world(setting, tip, watch.wanted, leaps, goes)
    num, flag, axis_state = _start(setting, charge, int(setting.axis.lag / setting.tick) + 2)
    signs = np.array([1.0 if meter.role == "in" else -1.0 for meter in charge.meters])
    keys, counts = stream_keys(luck.seed, max(luck.member, 0), luck.hole), np.zeros(PURPOSES, dtype=np.uint64)
    energy, scratch, facts = np.zeros((2, len(signs))), np.zeros(len(signs)), np.zeros(FACT_COLUMNS)
    log, trace = np.zeros((LOGGED, 7)), np.zeros((TRACED, 3))
    if worn is not None:
        take_up(world, worn)
    new_tool = tuple(part[: world.sizes[1]].copy() for part in (world.tool_r, world.tool_h))
    refresh_gaps(
        world.work_r, world.work_z, world.state, world.tool_r, world.tool_h, world.sizes,
        float(num[state.DEPTH]), True, world.near, world.gap,  # noqa: FBT003 - kernels take arguments by place
    )  # fmt: skip
    take(watch.wanted, world, num, flag)
    why = state.RUNNING
    while why == state.RUNNING:
        why = drill(
            setting, m, signs, world, exposure, volt_time, ready_time, num, flag, keys, counts,
            energy, scratch, facts, log, trace, axis_state, TICKS_A_CALL,
        )  # fmt: skip
        take(watch.wanted, world, num, flag)
        if not watch.go_on(float(num[state.FRONT] / setting.target)):
            return None
        film.see(world, num)
    n, t = world.sizes
    return Course(
        ended=state.ENDINGS[why],
        time=float(num[state.TIME]),
        numbers=num,
        energy=energy * setting.batch,
        stored=(float(num[state.STORED]) - charge.start_joules) * setting.batch,
        sparks=int(flag[state.PASSED]) * setting.batch,
        class_count=world.class_count,
        class_time=world.class_time,
        way_count=world.way_count,
        lifts=int(flag[state.LIFTS]),
        log=log[: flag[state.LOGGED]].copy(),
        trace=trace[1 : int(trace[0, 0]) + 1].copy(),
        work=(world.work_r[:n].copy(), world.work_z[:n].copy()),
        tool=(world.tool_r[:t].copy(), world.tool_h[:t].copy()),
        new_tool=(new_tool[0], new_tool[1]),
        depth=float(num[state.FRONT]),
        worn=float(world.tool_h[:t].min()),
        batch=setting.batch,
        frames=(*film.frames, _frame(world, num)) if watch.frames else (),
    )
