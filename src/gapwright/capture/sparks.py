"""Spark records: one row for each discharge, open wait and standing short, ready for a table."""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gapwright.capture.classify import CLASS_NAMES, REASONS, Codes, Flag, Numbers

FLAG_NAMES = {flag: (flag.name or "").lower() for flag in Flag}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SparkTable:
    """All events of a capture in the order of time; NaN where an event has no such quantity."""

    first: Codes
    """Sample at which it began; counted over the whole capture."""
    end: Codes
    """Sample after its last."""
    start_s: Numbers
    delay_s: Numbers
    """Ignition delay: time with voltage before the discharge."""
    charging_s: Numbers
    """Time since the last discharge ended."""
    breakdown_voltage_v: Numbers
    burning_voltage_v: Numbers
    peak_current_a: Numbers
    duration_s: Numbers
    charge_c: Numbers
    energy_j: Numbers
    remaining_voltage_v: Numbers
    ripple_v: Numbers
    class_code: Codes
    confidence: Numbers
    reason_code: Codes
    flag_bits: Codes

    @property
    def count(self) -> int:
        """How many events there are."""
        return int(self.first.size)

    @property
    def fired(self) -> NDArray[np.bool_]:
        """Events in which a discharge flowed; the peak of one without a recorded current is NaN."""
        answer: NDArray[np.bool_] = self.peak_current_a != 0.0
        return answer

    def taken(self, which: NDArray[Any]) -> "SparkTable":
        """Table of some of the events, by claim or by number."""
        return SparkTable(**{each.name: getattr(self, each.name)[which] for each in fields(self)})

    def columns(self) -> dict[str, NDArray[Any]]:
        """Columns by name, units at the end of the names, classes, reasons and flags in words."""
        kept = {
            each.name: getattr(self, each.name)
            for each in fields(self)
            if each.name not in ("first", "end", "class_code", "reason_code", "flag_bits")
        }
        confidence = kept.pop("confidence")
        words = np.array([flag_words(bits) for bits in range(2 * max(Flag))])
        return kept | {
            "class": np.array(CLASS_NAMES)[self.class_code],
            "confidence": confidence,
            "reason": np.array(REASONS)[self.reason_code],
            "flags": words[self.flag_bits],
        }


def flag_words(bits: int) -> str:
    """Flags in words, with blanks between."""
    return " ".join(name for flag, name in FLAG_NAMES.items() if bits & flag)
