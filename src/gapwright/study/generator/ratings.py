"""Ratings of a generator's parts beside what the parts carry: the findings that rest on the rig file."""

from collections.abc import Iterable
from dataclasses import dataclass

from gapwright.base.units import Number
from gapwright.study.grounds.finding import Finding
from gapwright.study.grounds.limit_words import RIG_FILE
from gapwright.study.grounds.remedies import REMEDIES


@dataclass(frozen=True, slots=True, kw_only=True)
class Rating:
    """One limit of a part: what it carries, what it may carry, both in `unit`."""

    part: str
    quantity: str
    found: Number
    allowed: Number
    unit: str
    within: bool


def ratings(found: Iterable[Finding]) -> tuple[Rating, ...]:
    """Findings that hold a part against what its maker allows, in the order of the remedies."""
    rated = {
        (each.part, each.quantity): Rating(
            part=each.part,
            quantity=each.quantity,
            found=each.found,
            allowed=each.limit,
            unit=each.unit,
            within=each.within,
        )
        for each in found
        if each.source == RIG_FILE and each.limit is not None
    }
    return tuple(rated[key] for key in REMEDIES if key in rated)
