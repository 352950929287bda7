"""Checks that refuse a value in one line: name, rule, what was got."""

import math
from collections.abc import Iterable
from difflib import get_close_matches

from gapwright.base.errors import InputRefused


def require_finite(name: str, value: float, unit: str) -> None:
    """Refuse NaN and infinity.

    Raises
    ------
    InputRefused
        If `value` is not a finite number.
    """
    if not math.isfinite(value):
        raise InputRefused(f"{name} must be a finite number of {unit or 'units'}, got {value}")


def require_positive(name: str, value: float, unit: str) -> None:
    """Refuse anything that is not a finite number above 0.

    Raises
    ------
    InputRefused
        If `value` is not finite or not above 0.
    """
    require_finite(name, value, unit)
    if value <= 0:
        raise InputRefused(f"{name} must be above 0 {unit}".rstrip() + f", got {value:g} {unit}".rstrip())


def require_not_negative(name: str, value: float, unit: str) -> None:
    """Refuse anything that is not a finite number of at least 0.

    Raises
    ------
    InputRefused
        If `value` is not finite or below 0.
    """
    require_finite(name, value, unit)
    if value < 0:
        raise InputRefused(f"{name} must be at least 0 {unit}".rstrip() + f", got {value:g} {unit}".rstrip())


def require_between(name: str, value: float, low: float, high: float, unit: str) -> None:
    """Refuse a value outside the closed range from `low` to `high`.

    Raises
    ------
    InputRefused
        If `value` is not finite or outside the range.
    """
    require_finite(name, value, unit)
    if not low <= value <= high:
        raise InputRefused(
            f"{name} must be between {low:g} and {high:g} {unit}".rstrip()
            + f", got {value:g} {unit}".rstrip()
        )


def close_names(name: str, known: Iterable[str]) -> str:
    """Names near to `name`, as the end of a message; empty if none is near.

    The near names are listed, never chosen.
    """
    near = get_close_matches(name, list(known), n=3, cutoff=0.6)
    return f"; did you mean {' or '.join(repr(n) for n in near)}?" if near else ""
