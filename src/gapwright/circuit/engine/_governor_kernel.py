"""Small state machines that work switches: which of their rules can act now, and what they do.

A governor is in one phase at a time. A phase holds switches closed or open,
the gap in a state, and has rules by which it gives way to another phase: a
quantity crosses a level, a time has passed, a clock ticks, the gap is in a
state, another governor is in a phase.
"""

import math

import numpy as np

from gapwright.base.compiled import compiled_in_place, woven
from gapwright.circuit.engine._event_kernel import NEVER

SENSE, AFTER, ON_CLOCK, GAP_IS, IN_PHASE, NOT_IN_PHASE = range(6)
"""Kinds of rules."""

KIND, NEXT, ROW, SIGN, OTHER = range(5)
"""Columns of the rules: kind, phase that follows, event row and sign, state of the gap or phase looked at."""

GOVERNOR, SETS, CLEARS, FIRST_RULE, END_RULE, RESET = range(6)
"""Columns of the phases: whose it is, bits of the mode it sets and clears, its rules, a state it zeroes."""

SAME_TICK = 1e-9
"""Share of a period within which a tick is the one that has just been."""

ENTERED, DUE = range(2)
"""Columns of a governor's clock: when it entered its phase, when the clock next acts on it."""


@compiled_in_place
def rule_time(kind, level, offset, entered):
    """Time at which a rule by the clock acts on a phase entered at a time; never for other rules."""
    if kind == AFTER:
        return entered + level
    if kind == ON_CLOCK:
        count = math.floor((entered - offset) / level)
        while offset + level * count <= entered + SAME_TICK * level:
            count += 1
        return offset + level * max(count, 0)
    return NEVER


@compiled_in_place
def enter_phase(phases, rules, levels, governors, phase, now, mask, x):
    """Let a governor enter a phase; returns the new mode. `governors` holds phase, clock and stays."""
    current, clock, stays = governors
    g = phases[phase, GOVERNOR]
    if current[g] >= 0:
        stays[current[g]] += now - clock[g, ENTERED]
    current[g], clock[g, ENTERED] = phase, now
    due = NEVER
    for r in range(phases[phase, FIRST_RULE], phases[phase, END_RULE]):
        due = min(due, rule_time(rules[r, KIND], levels[r, 0], levels[r, 1], now))
    clock[g, DUE] = due
    if phases[phase, RESET] >= 0:
        x[phases[phase, RESET]] = 0.0
    return (mask & ~phases[phase, CLEARS]) | phases[phase, SETS]


@compiled_in_place
def arm_rules(phases, rules, levels, current, first, signs, offsets):
    """Sign and offset of each event row that a rule of a present phase watches; others are off."""
    for e in range(first, signs.shape[0]):
        signs[e], offsets[e] = 0.0, 0.0
    for g in range(current.shape[0]):
        phase = current[g]
        for r in range(phases[phase, FIRST_RULE], phases[phase, END_RULE]):
            if rules[r, KIND] == SENSE:
                e = first + rules[r, ROW]
                signs[e], offsets[e] = float(rules[r, SIGN]), -rules[r, SIGN] * levels[r, 0]


@woven
def next_due(clock):
    """Time at which the clock next acts on any governor."""
    due = NEVER
    for g in range(clock.shape[0]):
        due = min(due, clock[g, DUE])
    return due


@compiled_in_place
def settled_phase(phases, rules, levels, current, clock, gap, now):
    """Phase to be entered now by the clock, the gap's state or another governor; -1 if none."""
    for g in range(current.shape[0]):
        phase = current[g]
        for r in range(phases[phase, FIRST_RULE], phases[phase, END_RULE]):
            kind, other = rules[r, KIND], rules[r, OTHER]
            if kind == SENSE:
                continue
            if kind == GAP_IS:
                acts = gap == other
            elif kind == IN_PHASE:
                acts = current[phases[other, GOVERNOR]] == other
            elif kind == NOT_IN_PHASE:
                acts = current[phases[other, GOVERNOR]] != other
            else:
                acts = rule_time(kind, levels[r, 0], levels[r, 1], clock[g, ENTERED]) <= now
            if acts:
                return np.int64(rules[r, NEXT])
    return np.int64(-1)
