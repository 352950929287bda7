"""Limits of safety and of sound practice, each with the rule it comes from."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from gapwright.base.source import Fact, Status
from gapwright.facts._reading import data, fact_from, missing


class Sense(StrEnum):
    """Which side of a limit is the safe one."""

    AT_MOST = "at most"
    AT_LEAST = "at least"
    FROM = "from"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One limit: what it bounds, on which side, and the number with its source.

    With `FROM` a hazard begins at the value; with the other two the value is
    the last one allowed.
    """

    key: str
    title: str
    sense: Sense
    fact: Fact

    @property
    def value(self) -> float:
        """The limit itself, in its unit."""
        return self.fact.value

    @property
    def unit(self) -> str:
        """Unit of the limit."""
        return self.fact.unit

    @property
    def source(self) -> str:
        """Key of the work the limit comes from."""
        return self.fact.source

    @property
    def status(self) -> Status:
        """How sure the limit is."""
        return self.fact.status

    def broken_by(self, value: float) -> bool:
        """Whether `value`, in the unit of the limit, is on the wrong side of it.

        Examples
        --------
        >>> limit("touch-dry-dc").broken_by(60.0), limit("touch-dry-dc").broken_by(70.0)
        (False, True)
        >>> limit("liquid-cover").broken_by(0.02), limit("stored-energy-caution").broken_by(1.0)
        (True, True)
        """
        if self.sense is Sense.AT_MOST:
            return value > self.value
        if self.sense is Sense.AT_LEAST:
            return value < self.value
        return value >= self.value


def limits() -> tuple[str, ...]:
    """Keys of all limits."""
    return tuple(data("limits"))


@cache
def limit(key: str) -> Limit:
    """Limit with this key.

    Raises
    ------
    FactMissing
        If the table holds no such limit; close names are listed.

    Examples
    --------
    >>> limit("liquid-cover").value
    0.04
    """
    table = data("limits")
    if key not in table:
        raise missing("the limit", key, table, table="limits")
    record = table[key]
    return Limit(key=key, title=record["title"], sense=Sense(record["sense"]), fact=fact_from(record))


@cache
def class_1_capacitors() -> tuple[tuple[float, float], ...]:
    """Pairs of capacitance [F] and voltage [V] up to which a charged capacitor is a class 1 source."""
    table = data("es1")
    pairs = zip(table["capacitance"]["value"], table["voltage"]["value"], strict=True)
    return tuple((float(capacitance), float(voltage)) for capacitance, voltage in pairs)
