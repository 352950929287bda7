"""State of an installation: is everything here that gapwright needs."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing that was looked at: what was found, whether it is needed, and what to do."""

    name: str
    well: bool
    needed: bool
    found: str
    to_do: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Installation:
    """All that was looked at; `complete` when nothing needed is missing."""

    schema: int
    version: str
    complete: bool
    checks: tuple[Check, ...]


def check_installation(probes: Iterable[Check], *, version: str) -> Installation:
    """State of an installation, from what was found."""
    checks = tuple(probes)
    return Installation(
        schema=1,
        version=version,
        complete=all(check.well for check in checks if check.needed),
        checks=checks,
    )
