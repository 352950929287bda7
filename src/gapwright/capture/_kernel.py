"""Kernel: one pass over voltage and current that cuts a capture into waits and discharges.

A row is a wait (from the end of the last discharge) and what ended it: a
discharge, or a fall of the voltage without a current. All state is forgotten
at the end of a row but where it ended, so a pass may begin anywhere and
agrees with any other pass from the first row end that both have.

Codes are compared as they were recorded; only sums are turned into volts and
amperes, later. Blocks in which nothing can happen are looked at with vector
instructions and never sample by sample.
"""

from gapwright.base.compiled import compiled
from gapwright.capture._rows_kernel import (
    AT_READY,
    BEGIN,
    BURNING,
    CUT,
    DISCHARGE,
    FALL,
    FALLEN,
    FELL,
    FULL,
    LAST,
    LONG_RUN,
    LOW,
    MODE,
    N_BACK,
    N_GRACE,
    N_HOLD,
    N_LONGEST,
    POSITION,
    REACHED,
    READY,
    RISE,
    ROWS,
    RUN,
    START,
    T_NEGATIVE_OFF,
    T_NEGATIVE_ON,
    T_OFF,
    T_ON,
    T_READY,
    T_SHORT,
    T_UNREADY,
    close,
)

BLOCK, PART = 64, 16
"""Samples of a wait that are looked at together; where something happens among them, fewer."""


@compiled
def scan(v, i, vt, it, numbers, wide, state, marks, sums, stop):
    """Go on from `state` until `stop` or until the rows are full; gives the reason."""
    n = v.shape[0]
    ready, unready, short = vt[T_READY], vt[T_UNREADY], vt[T_SHORT]
    on, negative_on = it[T_ON], it[T_NEGATIVE_ON]
    off, negative_off = it[T_OFF], it[T_NEGATIVE_OFF]
    hold, grace, longest = numbers[N_HOLD], numbers[N_GRACE], numbers[N_LONGEST]
    room = marks.shape[0]
    p = state[POSITION]
    while p < stop:
        mode = state[MODE]
        if mode == LOW:
            while p + BLOCK <= stop:
                y, x = v[p : p + BLOCK], i[p : p + BLOCK]
                hit = False
                for k in range(BLOCK):
                    hit |= (x[k] > on) | (x[k] < negative_on) | (y[k] >= ready)
                if hit:
                    break
                p += BLOCK
            while p + PART <= stop:
                y, x = v[p : p + PART], i[p : p + PART]
                hit = False
                for k in range(PART):
                    hit |= (x[k] > on) | (x[k] < negative_on) | (y[k] >= ready)
                if hit:
                    break
                p += PART
            end = min(p + PART, stop)
            while p < end:
                if (
                    (i[p] > on or i[p] < negative_on)
                    and p + 1 < n
                    and (i[p + 1] > on or i[p + 1] < negative_on)
                ):
                    state[MODE], state[START], state[LAST] = BURNING, p, p + 1
                    break
                if v[p] >= ready:
                    back = p - 1
                    least = max(state[BEGIN], p - numbers[N_BACK])
                    while back >= least and v[back] >= short:
                        back -= 1
                    state[MODE], state[AT_READY], state[RISE] = READY, p, p - back
                    break
                p += 1
        elif mode == READY:
            while p + BLOCK <= stop:
                y, x = v[p : p + BLOCK], i[p : p + BLOCK]
                hit = False
                for k in range(BLOCK):
                    hit |= (x[k] > on) | (x[k] < negative_on) | (y[k] < unready)
                if hit:
                    break
                p += BLOCK
            while p + PART <= stop:
                y, x = v[p : p + PART], i[p : p + PART]
                hit = False
                for k in range(PART):
                    hit |= (x[k] > on) | (x[k] < negative_on) | (y[k] < unready)
                if hit:
                    break
                p += PART
            end = min(p + PART, stop)
            while p < end:
                if (
                    (i[p] > on or i[p] < negative_on)
                    and p + 1 < n
                    and (i[p + 1] > on or i[p + 1] < negative_on)
                ):
                    state[MODE], state[START], state[LAST] = BURNING, p, p + 1
                    break
                if v[p] < unready:
                    state[MODE], state[FELL] = FALLEN, p
                    break
                p += 1
        elif mode == FALLEN:
            if (i[p] > on or i[p] < negative_on) and p + 1 < n and (i[p + 1] > on or i[p + 1] < negative_on):
                state[MODE], state[START], state[LAST] = BURNING, p, p + 1
            elif v[p] >= ready:
                state[MODE] = READY
            elif p - state[FELL] >= grace:
                if state[ROWS] == room:
                    state[POSITION] = p
                    return FULL
                close(v, i, vt, it, numbers, wide, state, marks, sums, FALL, state[FELL], state[FELL])
                p = state[POSITION]
            else:
                p += 1
        else:
            last = state[LAST]
            while p + LONG_RUN <= stop:
                x = i[p : p + LONG_RUN]
                miss = False
                for k in range(LONG_RUN):
                    miss |= x[k] <= off
                if miss:
                    break
                p += LONG_RUN
                last = p - 1
            while p + RUN <= stop:
                x = i[p : p + RUN]
                miss = False
                for k in range(RUN):
                    miss |= x[k] <= off
                if miss:
                    break
                p += RUN
                last = p - 1
            end = min(p + RUN, stop)
            over = False
            while p < end:
                if i[p] > off or i[p] < negative_off:
                    last = p
                elif p - last >= hold:
                    over = True
                    break
                p += 1
            over |= p - state[START] >= longest
            state[LAST] = last
            if over:
                if state[ROWS] == room:
                    state[POSITION] = p
                    return FULL
                close(v, i, vt, it, numbers, wide, state, marks, sums, DISCHARGE, state[START], last + 1)
                p = state[POSITION]
    state[POSITION] = p
    return REACHED


@compiled
def finish(v, i, vt, it, numbers, wide, state, marks, sums):
    """Write the row that the end of the samples cuts off; there must be room for it."""
    n = v.shape[0]
    if state[MODE] == BURNING:
        close(
            v, i, vt, it, numbers, wide, state, marks, sums, DISCHARGE, state[START], min(state[LAST] + 1, n)
        )
    if state[BEGIN] < n:
        close(v, i, vt, it, numbers, wide, state, marks, sums, CUT, n, n)
