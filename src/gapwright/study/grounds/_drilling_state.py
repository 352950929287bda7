"""What a drilling knows while it runs: constants of one member, and state in arrays.

Kept in plain arrays and named tuples so that compiled kernels can be left and
entered again. All numbers in SI units.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gapwright.gap._kernel import AirConstants
from gapwright.gap._kernel_memory import MixtureConstants
from gapwright.motion._kernel import AxisConstants
from gapwright.study.grounds._drilling_parts import Control, Flow, Heat, Parting, Remember
from gapwright.thermal._kernel import RemovalConstants

Array = NDArray[np.float64]
Counts = NDArray[np.int64]
Marks = NDArray[np.int8]
Bits = NDArray[np.uint64]

# --- why a drilling ended, or a kernel came back --------------------------------
RUNNING, THROUGH, AT_DEPTH, STARVED, SHORTED, STANDING, USED_UP, TIMED_OUT, BOILS = range(9)
ENDINGS = (
    "still drilling",
    "through",
    "at depth",
    "starved",
    "only shorts",
    "standing arc",
    "electrode used up",
    "time limit",
    "liquid boils",
)

# --- what the controller senses, and by which law it answers ----------------------
SENSES = ("mean-gap-voltage", "store-voltage", "ignition-delay-ratio")
LAWS = ("proportional", "hysteresis")
BY_MEAN, BY_STORE, BY_DELAY = 0, 1, 2
PROPORTIONAL, HYSTERESIS = 0, 1

# --- what ignited a discharge, in the order of `records_kept.WAYS` ------------------
W_FIELD, W_PLACE, W_DEBRIS, W_EMISSION, W_NECK, W_PARTING = range(6)

# --- classes of discharge, in the order of the `counts` columns ------------------
CLASSES = (
    "open",
    "normal",
    "partial",
    "transient arc",
    "stationary arc",
    "short",
    "contact",
)
C_OPEN, C_NORMAL, C_PARTIAL, C_TRANSIENT, C_STATIONARY, C_SHORT, C_CONTACT = 0, 1, 2, 3, 4, 5, 6

# --- numbers of the state (index into `num`) --------------------------------------
(
    TIME,  # s drilled, batching counted
    DEPTH,  # m, where the electrode is: depth of the new tip's plane
    VOLTS,  # V across store and gap at the last section of the charge map
    STORED,  # J in the generator's coils and capacitors, booked
    NEED,  # exposure left until ignition
    MEAN,  # V, mean gap voltage of the last tick
    SENSED,  # V, mean gap voltage after the controller's filter
    CARRY,  # s, by which the last tick overran
    DEBRIS,  # volume fraction of debris in the gap
    BRIDGE,  # m of retreat that breaks the present bridge
    SHORT_AT,  # m, depth at which the present short began
    FRONT,  # m, depth of the hole's front
    EXIT,  # m, radius of the exit opening
    WORN,  # m³ off the electrode, booked
    REMOVED,  # m³ off the workpiece, booked
    PROGRESS_AT,  # s, when the front last moved on by a micrometre
    PROGRESS,  # m, front depth at that time
    GAP_MIN,  # m, smallest gap
    HAZARD,  # sum of ring areas times the power of the gap, for ignition
    LEAK,  # S, leakage conductance of the gap
    WAITING,  # s of this tick with the store nearly full and no spark
    SHORT_TIME,  # s spent shorted
    CHARGING,  # s spent charging
    VOLT_TIME,  # V s, integral of the gap voltage
    MELTED,  # m³ of workpiece removed beyond what conduction allows
    CYCLES,  # times the map's counted chart was entered (for the meter reading)
    VOLT_TOTAL,  # V s, integral of the gap voltage over the whole drilling
    GAP_VOLUME,  # m³ of liquid in the working gap
    ENTRY,  # m, radius of the hole a little below the entry face
    SHORT_FOR,  # s that the present short has lasted since the store was empty
    OWED_WORK,  # m³ booked off the workpiece that its chain still holds
    OWED_TOOL,  # m³ booked off the electrode that its chain still holds, smear included
    BEYOND,  # m³ that sparks would have taken beyond the far face, where there is no metal
    BROKEN,  # m³ of thin rim that broke away at the exit
    IGNITED_AT,  # s, instant of the present discharge
    RECOVERED_AT,  # s, when the gap last held voltage again
    SPEED,  # m/s, as commanded in this tick
    NEXT_SHAPE,  # m, depth at which the shapes are wanted next
    ANGLE,  # rad, round the axis, of the present discharge
    FELT,  # what the law acts on, as a share, after the controller's filter
    TIP,  # m, height of the worn electrode's lowest point above the new one's
    SINCE,  # s since the last discharge went out
    SPOT_R,  # m, radius at which it struck
    SPOT_Z,  # m, depth at which it struck
    SPOT_ANGLE,  # rad
    SPOT_REACH,  # m, distance over which the gap remembers it
    SPOT_LIFE,  # s, time constant with which the gap forgets it
    SPOT_UNTIL,  # s since then, from which on nothing of it is left that counts
    NEARBY,  # hazard that lies within its reach, weighed by nearness
    BURN_AT,  # s of short after which the present bridge of debris has burnt away
    BACK_FROM,  # m, depth from which the electrode goes back because of a short
    NEXT_LIFT,  # s, when the electrode is lifted next
    LIFT_FROM,  # m, depth at which the present lift began
    READY_TIME,  # s of this tick in which the gap could have ignited
    SHAPE,  # m, area over width of the whole gap: what leaks and carries heat
    NARROWNESS,  # 1/m³, what the gap sets against a flow, over the viscosity
    LIFE,  # s, in which the gap loses its debris now
    FLOW,  # m³/s through the bore
    SPARK_HEAT,  # J of all discharges of this tick
    POWER,  # W of the discharges, smoothed
    WALL_RISE,  # K of the hole's wall above the workpiece far away
    GAP_HEAT,  # K, temperature of the liquid in the gap
    HOTTEST,  # K, highest of these so far
    HOTTEST_WALL,  # K, highest temperature of the wall so far
    BOILED,  # s for which the wall has been above the boiling point without a break
    FAR_HAZARD,  # part of the hazard that lies beyond the window
    FAR_SHAPE,  # part of the shape that lies beyond the window
    FAR_LEAST,  # m, smallest gap beyond the window, 0 if there is none
    FAR_VOLUME,  # m³ of the working gap beyond the window
    AGAIN,  # exposure left until the memory of the last spark brings a candidate, at the bound's hazard
    WAITED,  # s from the present stretch's start to the present discharge
    BOUND,  # what was left of that memory at the last candidate, as a share
    SHORT_BEFORE,  # s spent shorted until the front last moved on by a micrometre
    SPARKS_BEFORE,  # discharges until then
    CROWDED,  # s for which the debris was as much as its law allows
    LOOKED_AT,  # s, when it was last asked whether the drilling leads anywhere
    LOOKED_FRONT,  # m, depth of the front then
    LOOKED_SHORT,  # s spent shorted until then
    LOOKED_OPEN,  # s spent waiting until then
    OPEN_TIME,  # s spent waiting with the store nearly full and no spark, all ticks that are over
) = range(80)
NUMBERS = 80

# --- whole numbers of the state (index into `flag`) ---------------------------------
(
    CHART,
    IS_SHORT,
    TICK,
    SINCE_RESPACE,
    STRIDE,
    LOGGED,
    STREAK,
    PASSED,
    SPARK_ROWS,  # rows of `World.spark_rows` in use
    TICK_ROWS,  # rows of `World.tick_rows` in use
    WAY,  # what ignited the present discharge
    SPOT_FIRST,  # first ring within reach of the last spark's place
    SPOT_LAST,  # last of them
    SPOT_KNOWN,  # 1 once these are worked out
    AT_ONCE,  # 1 if the gap ignites at the start of the next stretch
    LIFTING,  # 1 on the way up, 2 on the way down, 0 otherwise
    BACKING,  # 1 while the electrode goes back because of a short
    FEEDING,  # of the law with hysteresis: 1 feeds, -1 goes back, 0 stands
    ARCS,  # whether each of the last eight discharges was an arc, as bits
    LIFTS,  # lifts so far
    WORK_FIRST,  # first ring near the front: those are surveyed at each move, with those behind it
    WORK_STOP,  # the one behind the last of them
    TOOL_FIRST,  # first point of the electrode near its tip
    TOOL_STOP,  # the one behind the last of them
    SPOT_RING,  # ring of the last spark's place, -1 if points have moved along since
    STIRRED,  # what `SINCE_RESPACE` was when the electrode moved or metal went last
) = range(26)
FLAGS = 26


class Setting(NamedTuple):
    """Constants of one member of a forecast."""

    thickness: float  # m
    target: float  # m, depth wanted (the thickness for a through hole)
    through: float  # 1 through, 0 blind
    over_travel: float  # m the electrode may go beyond the far face
    swept: float  # m, radius that the running electrode sweeps
    spacing: float  # m between points of a surface
    length: float  # m of electrode that can be used
    time_limit: float  # s
    open_ended: float  # 1 if that is only how long a forecast follows a drilling
    patience: float  # s without a micrometre of progress after which it is given up
    batch: int  # sparks that each simulated spark stands for
    # servo and axis
    tick: float  # s
    filter: float  # s
    open_volts: float  # V
    control: Control
    axis: AxisConstants
    prompt: float  # s: a pulse that ignites sooner is an arc; 0 where a store at the gap gives the discharges
    counted_chart: int  # chart of the map whose entries are the charger's cycles, -1 for none
    # ignition
    liquid: float  # 1 liquid, 0 air (contact)
    exponent: float  # of the hazard
    hazard_scale: float  # 1/s per m² and (V/m)^exponent
    hazard_floor: float  # V below which nothing ignites
    smallest_gap: float  # m
    conductivity: float  # S/m
    mixture: MixtureConstants
    remember: Remember
    strike_field: float  # V/m, contact rigs
    air: AirConstants
    strike_volts: float  # V, least voltage that can make an arc
    arc_makes: float  # 1 if the loop lets a make arc form
    neck_constant: float  # A²s/m⁴
    asperity_radius: float  # m
    bridge_length: float  # m of retreat that draws a metal bridge apart
    loop_ohms: float  # Ω
    capacitance: float  # F
    parting: Parting
    # debris
    debris_scale: float  # c_ref
    debris_cap: float
    flow: Flow
    heat: Heat
    bridging: float  # k_b
    bridge_retract: float  # m, least retreat that clears a bridge of debris
    bridge_burn: float  # s of short in which the generator burns one away
    particle: float  # m
    # removal
    law: RemovalConstants
    removal_chance: float  # quantile of the law at which this member lives
    contact_removal: float  # m³/J, of a spark by contact
    factors: float  # material and polarity
    effect_share: float  # share of sparks that remove
    scatter: float  # sigma of ln(volume), spark to spark
    wear_ratio: float  # electrode volume per workpiece volume
    smear: float  # area that the electrode sweeps over the area of its metal
    width_factor: float  # on the crater's width
    absorbed: float  # share of gap energy that enters the workpiece
    burning: float  # V


class World(NamedTuple):
    """The two surfaces and what was counted on them; arrays used up to `sizes`."""

    work_r: Array
    work_z: Array
    state: Marks
    tool_r: Array
    tool_h: Array
    tool_state: Marks
    sizes: Counts
    near: Counts
    gap: Array
    area: Array
    hazard: Array
    memory: Array
    """Nearness of each ring to the last spark's place; holds between `SPOT_FIRST` and `SPOT_LAST`."""
    leaps: Array
    """Leaps over stretches of the charge map, see `_kernel_leaps`."""
    goes: Marks
    """Where a leap may be made."""
    cap: Array
    way_count: Array
    """(ways,) discharges by what ignited them."""
    class_count: Array
    class_time: Array
    tick_count: Array
    """(classes,) counts at the end of the last tick, and in its first place the seconds spent waiting."""
    spark_rows: Array
    """(room, columns) every spark since the rows were last taken, see `records_kept`; no room, no record."""
    tick_rows: Array
    """(room, columns) every control tick since then."""
