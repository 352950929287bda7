"""A number in a data file carries its unit, its source and how sure it is."""

import tomllib
from collections.abc import Iterator
from typing import Any

from gapwright.base.source import Status
from tests.house.code import PACKAGE, report

DATA = PACKAGE / "facts" / "data"


def tables() -> dict[str, dict[str, Any]]:
    """Content of every data file, by its name."""
    return {
        path.stem: tomllib.loads(path.read_text(encoding="utf-8")) for path in sorted(DATA.glob("*.toml"))
    }


def breaches_in(node: Any, place: str, known: set[str], *, vouched: bool = False) -> Iterator[str]:
    """Numbers below `node` that no source vouches for, and records that break the form."""
    if isinstance(node, dict):
        yield from _form(node, place, known)
        vouched = vouched or {"source", "status"} <= set(node)
        for key, inner in node.items():
            yield from breaches_in(inner, f"{place}.{key}", known, vouched=vouched)
    elif isinstance(node, list):
        for index, inner in enumerate(node):
            yield from breaches_in(inner, f"{place}[{index}]", known, vouched=vouched)
    elif isinstance(node, int | float) and not isinstance(node, bool) and not vouched:
        yield f"{place} = {node} has no source and status"


def _form(record: dict[str, Any], place: str, known: set[str]) -> Iterator[str]:
    if "value" in record and "unit" not in record:
        yield f"{place} has no unit"
    if isinstance(record.get("source"), str) and record["source"] not in known:
        yield f"{place}: the source {record['source']!r} is not in sources.toml"
    if isinstance(record.get("status"), str) and record["status"] not in set(Status):
        yield f"{place}: the status {record['status']!r} is none of {', '.join(Status)}"
    if {"low", "value", "high"} <= set(record) and not record["low"] <= record["value"] <= record["high"]:
        yield f"{place}: {record['value']} is not between {record['low']} and {record['high']}"


def test_every_number_has_unit_source_and_status() -> None:
    content = tables()
    known = set(content["sources"])
    breaches = [
        line
        for name, table in content.items()
        if name != "sources"
        for line in breaches_in(table, name, known)
    ]
    assert not breaches, report(breaches, "a number carries unit, source and status:")


def test_every_source_has_a_title_and_a_status() -> None:
    breaches = [
        f"sources.{key}"
        for key, record in tables()["sources"].items()
        if not str(record.get("title", "")).strip() or record.get("status") not in set(Status)
    ]
    assert not breaches, report(breaches, "a source has a title and a status:")


def test_a_bare_number_is_seen() -> None:
    wrong = {
        "tin": {
            "density": {"value": 7.3, "source": "gone", "status": "sure"},
            "melting_point": 505.0,
            "range": {"value": 5, "low": 1, "high": 3, "unit": "m", "source": "book", "status": "computed"},
        }
    }
    assert list(breaches_in(wrong, "metals", {"book"})) == [
        "metals.tin.density has no unit",
        "metals.tin.density: the source 'gone' is not in sources.toml",
        f"metals.tin.density: the status 'sure' is none of {', '.join(Status)}",
        "metals.tin.melting_point = 505.0 has no source and status",
        "metals.tin.range: 5 is not between 1 and 3",
    ]
