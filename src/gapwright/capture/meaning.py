"""What the statistics of a capture mean for the person at the rig, in words.

Every remark rests on a named limit; the limits are common practice, no source.
"""

from dataclasses import dataclass

from gapwright.capture.calibration import Calibration
from gapwright.capture.statistics import CaptureStatistics, Drift

OPEN_TIME, SHORT_TIME, ARC_COUNT = 0.5, 0.1, 0.1
"""Shares from which a gap is too wide, too narrow, or arcing."""
PARTIAL_COUNT, DELAYED_COUNT = 0.5, 0.3
STARVED_RATE = 0.3
"""Discharges by charging time below which the gap is starved, though not open."""
LONG_SHORT = 20e-3
"""A mean short that lasts longer was not seen in time. [s]"""

MAINS = (50.0, 60.0)
"""Frequencies of the mains. [Hz]"""
Case = tuple[CaptureStatistics, Calibration, float | None]
"""What a rule looks at: statistics, levels, and how often the spindle turns where that is known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """Something that a capture means, why, and what to try."""

    key: str
    """`good`, `too wide`, `too narrow`, `starved`, `arcing`, `flushing`, `slow short detector`, ..."""
    text: str
    why: str


def meaning(
    statistics: CaptureStatistics, calibration: Calibration, turning: float | None = None
) -> tuple[Remark, ...]:
    """Remarks on a capture, the weightiest first; one that says so where nothing stands out.

    `turning` is how often the spindle turns in a second, where that is known.
    """
    rules = (_arcing, _too_narrow, _slow_detector, _too_wide, _starved, _flushing, _wall, _periodic)
    found = tuple(
        remark for rule in rules if (remark := rule((statistics, calibration, turning))) is not None
    )
    if found:
        return found
    good = statistics.count_shares["normal"] + statistics.count_shares["contact"]
    why = f"{100 * good:.0f} % of the events are good sparks"
    return (Remark(key="good", text="Nothing stands out: the gap is well kept.", why=why),)


def _drift(statistics: CaptureStatistics, quantity: str) -> Drift | None:
    return next((each for each in statistics.drift if each.quantity == quantity and each.is_real), None)


def _arcing(case: Case) -> Remark | None:
    s = case[0]
    share = s.count_shares["transient arc"] + s.count_shares["stationary arc"]
    if share < ARC_COUNT:
        return None
    longest = int(s.bursts.max()) if s.bursts.size else 0
    text = "The gap is arcing: wait longer between sparks, flush better, or lift the electrode more often."
    why = f"{100 * share:.0f} % of the events are arcs; the longest burst has {longest}"
    return Remark(key="arcing", text=text, why=why)


def _too_narrow(case: Case) -> Remark | None:
    s, c, _ = case
    share = s.time_shares["short"]
    partial = s.count_shares["partial"]
    if share < SHORT_TIME and (c.generator != "capacitor" or partial < PARTIAL_COUNT):
        return None
    text = "The gap is too narrow: raise the set point, feed more slowly, or flush better."
    why = (
        f"the gap is shorted {100 * share:.0f} % of the time, {100 * partial:.0f} % of the events are partial"
    )
    return Remark(key="too narrow", text=text, why=why)


def _slow_detector(case: Case) -> Remark | None:
    s = case[0]
    if not s.counts["short"]:
        return None
    mean = s.time_shares["short"] * s.duration_s / s.counts["short"]
    if mean < LONG_SHORT:
        return None
    text = "Shorts are found too late: read the gap more often, filter it less, or retreat faster."
    return Remark(key="slow short detector", text=text, why=f"a short lasts {1e3 * mean:.0f} ms on average")


def _too_wide(case: Case) -> Remark | None:
    s, c, _ = case
    share = s.time_shares["open"]
    count = s.count_shares["open"] if c.generator == "pulse" else 0.0
    if max(share, count) < OPEN_TIME:
        return None
    text = "The gap is too wide: lower the set point or feed faster."
    return Remark(
        key="too wide", text=text, why=f"the gap is open {100 * max(share, count):.0f} % of the time"
    )


def _starved(case: Case) -> Remark | None:
    s, c, _ = case
    if c.generator != "capacitor" or c.time_constant is None or s.time_shares["open"] >= OPEN_TIME:
        return None
    per_charge = s.rate_hz * c.time_constant.value
    late = s.delayed / max(sum(s.counts.values()), 1)
    if per_charge >= STARVED_RATE or late < DELAYED_COUNT:
        return None
    text = "The store stands charged and waits: the gap could take more sparks. Lower the set point a little."
    why = f"{per_charge:.2f} sparks a charging time; {100 * late:.0f} % of them came late"
    return Remark(key="starved", text=text, why=why)


def _flushing(case: Case) -> Remark | None:
    s = case[0]
    worse = _drift(s, "arc_share") or _drift(s, "short_time_share")
    good = _drift(s, "good_share")
    if worse is None or good is None or worse.change <= 0 or good.change >= 0:
        return None
    text = "Flushing fails as the hole gets deeper: lift more often or further, or raise the pressure."
    why = f"good sparks fell by {-100 * good.change:.0f} % of all, arcs and shorts grew, over this capture"
    return Remark(key="flushing", text=text, why=why)


def _wall(case: Case) -> Remark | None:
    s = case[0]
    if s.energy.median_j > 0 or not s.rate_hz:
        return None
    text = "Energies are not above zero: current may be inverted, or its zero line is off."
    return Remark(key="inverted", text=text, why="the median energy of a discharge is not above 0 J")


def _periodic(case: Case) -> Remark | None:
    s = case[0]
    if not s.periods:
        return None
    near = 1.5 / s.duration_s
    said = ", ".join(
        f"{each.frequency_hz:.4g} Hz{whose(each.frequency_hz, near, case[2])}" for each in s.periods[:3]
    )
    text = "Sparks come and go at a steady rate: compare it with the spindle, the axis steps and the mains."
    return Remark(key="periodic", text=text, why=f"the count of sparks swings at {said}")


def whose(frequency: float, near: float, turning: float | None) -> str:
    """Whose frequency in hertz it is, once or twice, as near as a capture of this length can tell."""
    known = [("the spindle's", turning)] if turning else []
    known += [("the mains'", each) for each in MAINS]
    for name, own in known:
        for times, word in ((1.0, ""), (2.0, "twice ")):
            if abs(frequency - times * own) <= max(near, 0.005 * frequency):
                return f" ({word}{name})"
    return ""
