"""JSON Schema of rig and job files, so that editors complete and check them."""

from typing import Any

from gapwright.base.quantity import printed_quantity
from gapwright.rig.job import Job
from gapwright.rig.reading import SCHEMA, Kind
from gapwright.rig.rig import Rig

_TITLES = {"rig": "gapwright rig file", "job": "gapwright job file"}


def schema(kind: Kind) -> dict[str, Any]:
    """JSON Schema (2020-12) of a rig or job file.

    Quantities are strings; ``x-unit`` is their SI unit, ``x-minimum`` and its
    kin the limits in it, ``x-status`` how sure the default is.
    """
    record = Rig if kind == "rig" else Job
    document: dict[str, Any] = _tidied(record.model_json_schema())
    heading = {
        "file": {"const": kind, "description": "Kind of file."},
        "schema": {"const": SCHEMA, "description": "Number of the file form."},
    }
    document["properties"] = heading | document["properties"]
    document["required"] = [*heading, *document.get("required", [])]
    return {"$schema": "https://json-schema.org/draft/2020-12/schema"} | document | {"title": _TITLES[kind]}


def _tidied(node: Any) -> Any:
    """Drop the null that TOML does not have, and print defaults as a user would write them."""
    if isinstance(node, list):
        return [_tidied(part) for part in node]
    if not isinstance(node, dict):
        return node
    node = {key: _tidied(part) for key, part in node.items()}
    choices = [part for part in node.get("anyOf", []) if part != {"type": "null"}]
    if len(choices) == 1:
        rest = {key: part for key, part in node.items() if key != "anyOf"}
        node = choices[0] | rest
    if "default" in node and node["default"] is None:
        del node["default"]
    if node.get("x-unit") and isinstance(node.get("default"), float):
        node["default"] = printed_quantity(node["default"], node["x-unit"], digits=6)
    return node
