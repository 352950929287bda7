"""What happens at an event: diodes flip, the gap ignites and goes out, the control takes its next step.

State lives in arrays, so that the event loop can return at any event with a
reason and be called again.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from gapwright.base.compiled import compiled_in_place, woven
from gapwright.circuit.engine._event_kernel import NEVER
from gapwright.circuit.engine._governor_kernel import NEXT, enter_phase

Numbers = NDArray[np.float64]
Counts = NDArray[np.int64]

DONE, NEED_MODE, BUDGET, SPARKS_FULL, KNOTS_FULL, CHATTER, DRAWS_OUT, STOPPED, NO_CHANCE = range(9)
"""Why the loop returned."""

MASK, CONTROL, RISING, EDGE, SPARKS, FORCED, FLIPS, STOP = range(8)
KNOTS, STEPS, LADDER_STEPS, CULPRIT, DRAW, LAST, TURNS = range(8, 15)
STATE_INTS = 15
"""Places in `State.ints`, and how many there are."""

T, T_STOP, T_EDGE, T_READY, ARC_START, BREAKDOWN, PEAK = range(7)
CHARGE, ENERGY, ACTION, HAZARD, T_MARK, T_LADDER = range(7, 13)
STATE_FLOATS = 13
"""Places in `State.floats`, and how many there are."""

NO_CONTROL, SWITCH_ON, SWITCH_OFF, DRAINING, IDLE, WAITING, TIMED_ON, TIMED_OFF = range(8)
"""What the control is doing."""

AT_TURN_OFF, AT_ARC_END, AT_DECISION, AT_EMPTY, AT_IGNITION, AT_PHASE = 1, 2, 4, 8, 16, 32
"""Events at which the loop returns when asked to by `STOP`."""

DIODES, SWITCH_BIT, GAP_BIT, STORE, WATCH_PEAKS, WATCH_KNOTS, MOST_STEPS, GAP_ROW = range(8)
SETUP_INTS = 8
"""Places in `Setup.ints`, and how many there are."""

THRESHOLD, HOLD, RECOVERY, PERIOD, ON_TIME, LIMIT = range(6)
MINIMUM_OFF, HIGHEST, RELEASE, STORE_SCALE, KNOTS_FROM, KNOTS_TO, FORTH, BACK = range(6, 14)
SETUP_FLOATS = 14
"""Places in `Setup.floats`, and how many there are."""

RATE, REFERENCE, EXPONENT, ZERO_BELOW = range(4)
"""Places in `Setup.hazard`."""

SPARK_COLUMNS = 9
"""Start, breakdown voltage, peak current, duration, charge, energy, action, store volts left, ended."""

ARC_MARGIN = 1e-6
"""Rise above the hold current at which a discharge counts as burning. [A]"""
EMPTY = 1e-3
"""Share of the limit below which a coil counts as empty."""
PROGRESS = 1e-12
"""Time within which too many events at once are taken for chatter. [s]"""


class Setup(NamedTuple):
    """What does not change during a run."""

    ints: Counts
    floats: Numbers
    hazard: Numbers
    forced: Numbers
    draws: Numbers
    phases: Counts
    rules: Counts
    levels: Numbers
    watching: Counts
    """Governors; see `_governor_kernel`. `watching` is the rule of each watched quantity."""


class State(NamedTuple):
    """What changes during a run, enough to go on from; and room to work in."""

    x: Numbers
    ints: Counts
    floats: Numbers
    peaks: Numbers
    vectors: Numbers
    integrals: Numbers
    factors: Numbers
    room: Numbers
    squares: Numbers
    current: Counts
    clock: Numbers
    stays: Numbers
    """Phase and clock of each governor, time spent in each phase."""


class Log(NamedTuple):
    """What a run writes down: discharges, and the state at each step for drawing."""

    sparks: Numbers
    knot_times: Numbers
    knot_slots: Counts
    knot_terms: Numbers


@compiled_in_place
def dot(row, q):
    """Row times terms."""
    total = 0.0
    for k in range(q.shape[0]):
        total += row[k] * q[k]
    return total


@compiled_in_place
def gap_of(mask, bit):
    """State of the gap: 0 open, 1 arc, 2 short, 3 arc the other way."""
    return (mask >> bit) & 3


@woven
def is_arc(gap):
    """Whether a discharge burns, either way."""
    return gap == 1 or gap == 3


@woven
def arm(given, limits, ints, floats, signs, offsets):
    """Which events can happen now: sign and offset of each event row.

    `given` and `limits` are the numbers of the set-up, `ints` and `floats`
    those of the state.
    """
    nd = given[DIODES]
    for e in range(nd, nd + 4):
        signs[e], offsets[e] = 0.0, 0.0
    gap = gap_of(ints[MASK], given[GAP_BIT])
    if gap == 0:
        ready = floats[T] >= floats[T_READY]
        least = limits[THRESHOLD] if ready else limits[FORTH]
        if least < NEVER:
            signs[nd], offsets[nd] = -1.0, least
        if limits[BACK] < NEVER and not ready:
            signs[nd + 1], offsets[nd + 1] = 1.0, limits[BACK]
    elif is_arc(gap) and ints[RISING] == 1:
        signs[nd], offsets[nd] = -1.0, limits[HOLD] + ARC_MARGIN
        signs[nd + 1] = 1.0
    elif is_arc(gap):
        signs[nd], offsets[nd] = 1.0, -limits[HOLD]
    control = ints[CONTROL]
    if control == SWITCH_ON:
        signs[nd + 2], offsets[nd + 2] = -1.0, limits[LIMIT]
    elif control == DRAINING:
        signs[nd + 2], offsets[nd + 2] = 1.0, -EMPTY * limits[LIMIT]
        signs[nd + 3], offsets[nd + 3] = 1.0, -limits[RELEASE]
    elif control == WAITING:
        signs[nd + 2], offsets[nd + 2] = 1.0, -limits[LIMIT]
    elif control == IDLE:
        signs[nd + 3], offsets[nd + 3] = 1.0, -limits[RELEASE]


@woven
def set_switch(setup, state, closed):
    """Close or open the controlled switch."""
    bit = np.int64(1) << setup.ints[SWITCH_BIT]
    if closed:
        state.ints[MASK] |= bit
    else:
        state.ints[MASK] &= ~bit


@woven
def ignite(tables, setup, state, q, s):
    """Start a discharge."""
    state.ints[MASK] |= np.int64(1) << setup.ints[GAP_BIT]
    state.ints[RISING] = 1
    f = state.floats
    f[ARC_START], f[BREAKDOWN] = f[T], dot(tables.gap_rows[s, 0], q)
    f[PEAK] = f[CHARGE] = f[ENERGY] = f[ACTION] = f[HAZARD] = 0.0
    state.ints[LAST] = AT_IGNITION


@woven
def extinguish(setup, state, log):
    """End a discharge and write it down."""
    state.ints[MASK] &= ~(np.int64(3) << setup.ints[GAP_BIT])
    state.ints[RISING] = 0
    f = state.floats
    write_spark(setup, state, log, 1.0)
    f[T_READY] = f[T] + setup.floats[RECOVERY]
    f[HAZARD] = 0.0
    state.ints[LAST] = AT_ARC_END


@woven
def write_spark(setup, state, log, ended):
    """Write the present discharge into the log."""
    f = state.floats
    row = log.sparks[state.ints[SPARKS]]
    row[0], row[1], row[2], row[3] = f[ARC_START], f[BREAKDOWN], f[PEAK], f[T] - f[ARC_START]
    row[4], row[5], row[6] = f[CHARGE], f[ENERGY], f[ACTION]
    store = setup.ints[STORE]
    row[7] = state.x[store] / setup.floats[STORE_SCALE] if store >= 0 else 0.0
    row[8] = ended
    state.ints[SPARKS] += 1


@compiled_in_place
def leave_spark(setup, state, log):
    """Write a discharge down that burns at the end of a run."""
    write_spark(setup, state, log, 0.0)


@woven
def decide(tables, setup, state, q, s):
    """Peak-current control at the end of its off-time: on, wait, or stay off because the store is full."""
    nd = setup.ints[DIODES]
    coil, sensed = dot(tables.events[s, nd + 2], q), dot(tables.events[s, nd + 3], q)
    f = setup.floats
    state.floats[T_EDGE] = NEVER
    state.ints[LAST] = AT_DECISION
    if sensed >= f[HIGHEST]:
        full_store(setup, state, coil)
    elif coil >= f[LIMIT]:
        state.ints[CONTROL] = WAITING
    else:
        state.ints[CONTROL] = SWITCH_ON
        set_switch(setup, state, True)


@woven
def full_store(setup, state, coil):
    """Wait until the coil is empty, then until the store has fallen."""
    if coil > EMPTY * setup.floats[LIMIT]:
        state.ints[CONTROL] = DRAINING
    else:
        state.ints[CONTROL] = IDLE
        state.ints[LAST] |= AT_EMPTY


@woven
def turn_off(setup, state):
    """Open the switch at the current limit and wait the least off-time."""
    state.ints[CONTROL] = SWITCH_OFF
    set_switch(setup, state, False)
    state.floats[T_EDGE] = state.floats[T] + setup.floats[MINIMUM_OFF]
    state.ints[TURNS] += 1
    state.ints[LAST] = AT_TURN_OFF


@woven
def timed_edge(tables, setup, state, q, s):
    """End of the least off-time of a current limit."""
    if state.ints[CONTROL] == SWITCH_OFF:
        decide(tables, setup, state, q, s)


@woven
def change_phase(setup, state, phase):
    """Let a governor enter a phase."""
    governors = (state.current, state.clock, state.stays)
    f, ints = state.floats, state.ints
    ints[MASK] = enter_phase(
        setup.phases, setup.rules, setup.levels, governors, phase, f[T], ints[MASK], state.x
    )
    ints[LAST] |= AT_PHASE


@woven
def happen(e, tables, setup, state, log, q, s):
    """Let event `e` happen."""
    nd = setup.ints[DIODES]
    state.ints[LAST] = 0
    state.ints[CULPRIT] = e
    if e < nd:
        state.ints[MASK] ^= np.int64(1) << e
    elif e >= nd + 4:
        change_phase(setup, state, setup.rules[setup.watching[e - nd - 4], NEXT])
    elif e == nd:
        if gap_of(state.ints[MASK], setup.ints[GAP_BIT]) == 0:
            ignite(tables, setup, state, q, s)
        elif state.ints[RISING] == 1:
            state.ints[RISING] = 0
        else:
            extinguish(setup, state, log)
    elif e == nd + 1 and gap_of(state.ints[MASK], setup.ints[GAP_BIT]) == 0:
        ignite(tables, setup, state, q, s)
        state.ints[MASK] |= np.int64(2) << setup.ints[GAP_BIT]
    elif e == nd + 1:
        extinguish(setup, state, log)
    elif e == nd + 2:
        if state.ints[CONTROL] == SWITCH_ON or state.ints[CONTROL] == WAITING:
            turn_off(setup, state)
        else:
            state.ints[CONTROL] = IDLE
            state.ints[LAST] = AT_EMPTY
    elif dot(tables.events[s, nd + 2], q) >= setup.floats[LIMIT]:
        state.ints[CONTROL] = WAITING
        state.ints[LAST] = AT_DECISION
    else:
        state.ints[CONTROL] = SWITCH_ON
        set_switch(setup, state, True)
        state.ints[LAST] = AT_DECISION
