"""Reads the data files of this package and turns their records into facts."""

import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from gapwright.base.checks import close_names
from gapwright.base.errors import FactMissing
from gapwright.base.source import Fact, Status

Record = Mapping[str, Any]


@cache
def data(name: str) -> Record:
    """Contents of the data file `name`, read once."""
    text = files("gapwright.facts").joinpath("data", f"{name}.toml").read_text(encoding="utf-8")
    return MappingProxyType(tomllib.loads(text))


def joined(*names: str) -> Record:
    """Contents of several data files whose keys do not meet."""
    whole: dict[str, Any] = {}
    for name in names:
        whole.update(data(name))
    return MappingProxyType(whole)


def fact_from(record: Record) -> Fact:
    """A record of a data file as a fact."""
    return Fact(
        value=float(record["value"]),
        unit=record["unit"],
        source=record["source"],
        status=Status(record["status"]),
        low=None if "low" not in record else float(record["low"]),
        high=None if "high" not in record else float(record["high"]),
        at=record.get("at", ""),
        note=record.get("note", ""),
    )


def facts_from(records: Record) -> Mapping[str, Fact]:
    """Records of a data file as facts by name, not to be changed."""
    return MappingProxyType({name: fact_from(record) for name, record in records.items()})


def missing(what: str, name: str, known: Iterable[str], *, table: str) -> FactMissing:
    """Error for a name that a table does not hold; near names are listed, never chosen."""
    near = close_names(name, known)
    where = f"the table of {table}" if table else "those that 'gapwright facts' lists"
    hint = f"; list them with: gapwright facts {table}" if table else ""
    return FactMissing(f"{what} must be one of {where}, got {name!r}{near}{hint}")
