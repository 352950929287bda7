"""Kernel: classes of pulses, which hang on how long a pulse waited. All numbers in SI units."""

from gapwright.base.compiled import compiled_in_place
from gapwright.study.drilling._kernel_electric import F_DURATION
from gapwright.study.drilling._kernel_spark import EIGHT, STANDS
from gapwright.study.grounds._drilling_state import (
    ARCS,
    C_NORMAL,
    C_STATIONARY,
    C_TRANSIENT,
    SPARK_ROWS,
    WAITED,
    Array,
    Counts,
    Setting,
    World,
)

STILL = 5  # arcs of the last eight pulses from which on an arc stands still
CLASS_COLUMN = 8  # of a row about a spark


@compiled_in_place
def class_of_pulse(s: Setting, w: World, num: Array, flag: Counts, facts: Array, took: float) -> None:
    """Count a pulse that ignited at once among the arcs; `took` is the time booked with its class [s].

    Every pulse breaks down from the open voltage, so that its delay alone tells
    a spark from an arc.
    """
    if s.liquid == 0.0 or facts[F_DURATION] > STANDS or num[WAITED] >= s.prompt:
        return
    flag[ARCS] |= 1
    arcs, bits = 0, flag[ARCS] & EIGHT
    while bits > 0:
        arcs += bits & 1
        bits >>= 1
    kind = C_STATIONARY if arcs >= STILL else C_TRANSIENT
    w.class_count[C_NORMAL] -= s.batch
    w.class_count[kind] += s.batch
    w.class_time[C_NORMAL] -= took * s.batch
    w.class_time[kind] += took * s.batch
    n = flag[SPARK_ROWS]
    if 0 < n <= w.spark_rows.shape[0]:
        w.spark_rows[n - 1, CLASS_COLUMN] = kind
