"""Classes of what the gap did, in the words of the trade, each with a confidence and a reason."""

from dataclasses import dataclass
from enum import IntFlag

import numpy as np
from numpy.typing import NDArray
from scipy.special import erf

Numbers = NDArray[np.float64]
Codes = NDArray[np.int64]
Claims = NDArray[np.bool_]

CLASS_NAMES = ("open", "normal", "partial", "transient arc", "stationary arc", "short", "contact")
"""Names of the classes in the order of their codes."""
OPEN, NORMAL, PARTIAL, TRANSIENT, STATIONARY, SHORT, CONTACT = range(len(CLASS_NAMES))

REASONS = (
    "voltage stood ready for ten charging times and nothing fired",
    "the pulse ended without a current",
    "fired after four fifths of the pulse and burned less than a tenth of it",
    "fired at 0.6 of the way from burning to open voltage, or more",
    "fired between 0.15 and 0.6 of the way from burning to open voltage",
    "fired below 0.15 of the way from burning to open voltage: the gap held no voltage",
    "one of five or more arcs among eight discharges in a row",
    "the voltage stayed near burning, longer than charging takes",
    "the voltage while current flowed was that of a touch",
    "the voltage stayed near zero, longer than charging takes",
    "a touch that parted again before the store could charge",
    "ignited after a delay and burned at the usual voltage",
    "ignited at once and burned with the usual unrest",
    "ignited at once and burned quietly or low, but not in a row",
    "ignited after a delay, but burned below four fifths of the usual voltage",
    "ignited after a delay and burned above the usual voltage",
    "ignited at once; no fast unrest could be measured at this sampling rate",
)
"""Reasons for a class, by their codes."""
(
    R_WAITED, R_PULSE_OPEN, R_LATE, R_FULL, R_PARTIAL, R_LOW, R_ROW, R_STANDING, R_TOUCH, R_SHORTED, R_BLOWN,
    R_BURNED, R_AT_ONCE, R_QUIET, R_SAGGED, R_HIGH, R_NO_UNREST,
) = range(len(REASONS))  # fmt: skip


class Flag(IntFlag):
    """Remarks on a spark beside its class."""

    DELAYED = 1
    """A good spark of a capacitor that stood charged for long."""
    COMPLEX = 2
    """Followed the last one so soon that both are parts of one discharge."""
    LATE = 4
    UNUSUAL = 8
    """Burned well above the usual voltage."""
    CLIPPED = 16
    """The recorder reached its end: current, charge and energy are too low."""
    CUT = 32
    """The capture began or ended within it."""


NORMAL_FROM, PARTIAL_FROM = 0.6, 0.15
"""Where a discharge of a capacitor is normal and where partial, from burning (0) to open (1)."""
ROW_LENGTH, ROW_ARCS = 8, 5
"""So many arcs among so many discharges in a row are a stationary arc."""
STANDING_CHARGES, OPEN_CHARGES, DELAYED_CHARGES = 3.0, 10.0, 3.0
"""Charging times after which a voltage stands near zero or burning, is open, or a spark is delayed."""
BLOWN_CHARGES = 1.0
"""A touch on a dry rig that recovers within so many charging times has blown its bridge."""
COMPLEX_CHARGES, COMPLEX_SHARE = 0.3, 0.2
AT_ONCE_SHARE, AT_ONCE_SECONDS, AT_ONCE_MOST, AT_ONCE_SAMPLES = 0.02, 0.5e-6, 1e-6, 3
"""A pulse that ignites within these ignited at once; a formative time is at most a microsecond."""
LATE_FROM, LATE_BURN = 0.8, 0.1
UNREST_SHARE = 0.3
"""Unrest of a transient arc over that of a good spark, at least."""
TRANSIENT_BURN, SAGGED_BURN, HIGH_BURN = 0.9, 0.8, 1.35
"""Burning voltages over the usual one."""
UNREST_RATE = 5e6
"""Sampling rate from which the unrest of the burning voltage can be seen. [Hz]"""
UNSURE = 0.6
"""Greatest confidence in the kind of an arc where the unrest cannot be seen."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Verdicts:
    """Class, reason, confidence and flags of each discharge."""

    code: Codes
    reason: Codes
    confidence: Numbers
    flags: Codes


def sureness(distance: Numbers, spread: float | Numbers) -> Numbers:
    """Chance that a feature lies on the side of an edge on which it was measured.

    Parameters
    ----------
    distance
        How far the feature is from the nearest edge, in its own unit.
    spread
        Standard uncertainty of the feature, in the same unit.
    """
    answer: Numbers = 0.5 + 0.5 * erf(np.abs(distance) / (np.sqrt(2.0) * np.maximum(spread, 1e-300)))
    return answer


def flagged(claim: Claims, flag: Flag) -> Codes:
    """Bits of a flag where a claim holds."""
    return claim.astype(np.int64) * int(flag)


def in_rows(arcs: Claims) -> Claims:
    """Arcs that stand among at least five of any eight discharges in a row."""
    n = arcs.size
    if n < ROW_LENGTH:
        return np.zeros(n, dtype=bool)
    total = np.concatenate([[0], np.cumsum(arcs)])
    crowded = (total[ROW_LENGTH:] - total[:-ROW_LENGTH]) >= ROW_ARCS
    # A discharge is in a crowded row if any of the eight rows that hold it is crowded.
    reach = np.concatenate([[0], np.cumsum(crowded)])
    first = np.maximum(np.arange(n) - ROW_LENGTH + 1, 0)
    last = np.minimum(np.arange(n), n - ROW_LENGTH)
    answer: Claims = arcs & (reach[last + 1] - reach[np.minimum(first, n - ROW_LENGTH)] > 0)
    return answer


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Features:
    """What was measured of each discharge, one after the other."""

    share: Numbers
    """Breakdown voltage from burning (0) to open (1)."""
    share_spread: float
    burn: Numbers
    """Voltage in the middle of the burn over the usual one."""
    burn_spread: Numbers
    short_burn: float
    """Edge of a short on that scale."""
    delay: Numbers
    """From the start of a pulse; without meaning for a capacitor. [s]"""
    width: Numbers
    """How long current flowed. [s]"""
    unrest: Numbers
    """Fast unrest of the burning voltage, noise taken out, r.m.s. [V]"""
    unrest_spread: Numbers
    rate: float


def capacitor_verdicts(f: Features, *, dry: bool, blown: Claims) -> Verdicts:
    """Verdicts on the discharges of a capacitor; `blown` says that the gap did not stay shorted."""
    shorted = f.burn < f.short_burn
    arcs = ~shorted & (f.share < PARTIAL_FROM)
    code = np.where(f.share >= NORMAL_FROM, NORMAL, np.where(arcs, TRANSIENT, PARTIAL))
    reason = np.where(f.share >= NORMAL_FROM, R_FULL, np.where(arcs, R_LOW, R_PARTIAL))
    rows = in_rows(arcs)
    code, reason = np.where(rows, STATIONARY, code), np.where(rows, R_ROW, reason)
    code = np.where(shorted, np.where(blown & dry, CONTACT, SHORT), code)
    reason = np.where(shorted, np.where(blown, R_BLOWN, R_TOUCH), reason)
    near = np.minimum(np.abs(f.share - NORMAL_FROM), np.abs(f.share - PARTIAL_FROM))
    touch = sureness(f.burn - f.short_burn, f.burn_spread)
    sure = np.where(shorted, touch, np.minimum(sureness(near, f.share_spread), touch))
    return Verdicts(code=code, reason=reason, confidence=sure, flags=np.zeros(code.size, dtype=np.int64))


def pulse_verdicts(f: Features, *, on_time: float) -> Verdicts:
    """Verdicts on pulses that fired."""
    limit = max(AT_ONCE_SAMPLES / f.rate, AT_ONCE_SECONDS, min(AT_ONCE_SHARE * on_time, AT_ONCE_MOST))
    shorted = f.burn < f.short_burn
    at_once = ~shorted & (f.delay < limit)
    good = ~shorted & ~at_once & (f.burn >= SAGGED_BURN) & (f.burn <= HIGH_BURN)
    usual = float(np.median(f.unrest[good])) if good.any() else 0.0
    seen = f.rate >= UNREST_RATE and usual > 0.0
    restless = (
        (f.unrest >= UNREST_SHARE * usual) & (f.burn >= TRANSIENT_BURN) if seen else f.burn >= TRANSIENT_BURN
    )
    rows = in_rows(at_once & ~restless)
    late = ~shorted & (f.delay > LATE_FROM * on_time) & (f.width < LATE_BURN * on_time)
    sagged = ~shorted & ~at_once & (f.burn < SAGGED_BURN)
    high = ~shorted & ~at_once & (f.burn > HIGH_BURN)
    cases = [late, shorted, rows, at_once & restless, at_once, sagged, high]
    code = np.select(cases, [OPEN, SHORT, STATIONARY, TRANSIENT, TRANSIENT, TRANSIENT, NORMAL], NORMAL)
    arc_reason = R_AT_ONCE if seen else R_NO_UNREST
    reason = np.select(cases, [R_LATE, R_TOUCH, R_ROW, arc_reason, R_QUIET, R_SAGGED, R_HIGH], R_BURNED)
    touch = sureness(f.burn - f.short_burn, f.burn_spread)
    sure = np.minimum(sureness(f.delay - limit, 1.0 / f.rate), touch)
    kind = sureness(f.unrest - UNREST_SHARE * usual, f.unrest_spread) if seen else np.full(code.size, UNSURE)
    sure = np.where(at_once & ~rows, np.minimum(sure, kind), sure)
    sure = np.where(shorted, touch, sure)
    flags = flagged(late, Flag.LATE) | flagged(high, Flag.UNUSUAL)
    return Verdicts(code=code, reason=reason, confidence=sure, flags=flags)
