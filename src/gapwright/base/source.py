"""Where a number comes from and how sure it is."""

from dataclasses import dataclass
from enum import StrEnum

from gapwright.base.errors import InputRefused


class Status(StrEnum):
    """How sure a number is; shown beside it wherever that matters."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    COMPUTED = "computed"
    CALIBRATED = "calibrated"
    MEASURED = "measured"


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A work that can be cited: author, year, journal or standard; never an address of a copy."""

    key: str
    title: str
    status: Status

    def __post_init__(self) -> None:
        """Refuse a source that names nothing."""
        if not self.key or not self.title:
            raise InputRefused("a source must have a key and a title, got an empty one")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One number with unit, conditions, spread, source and status.

    `value` is in SI units; `unit` is that SI unit. `low` and `high` are the
    ends of the range in which the value is believed to lie, where stated.
    """

    value: float
    unit: str
    source: str
    status: Status
    low: float | None = None
    high: float | None = None
    at: str = ""
    note: str = ""
