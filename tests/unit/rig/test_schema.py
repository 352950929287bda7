"""The JSON Schemas accept what the files hold, and describe every field."""

import tomllib
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest

from gapwright.rig.schema import schema
from tests.unit.rig.samples import sample


def fields(node: Any, name: str = "") -> list[tuple[str, dict[str, Any]]]:
    """Every property of a schema with its name."""
    found = []
    for part in node.get("$defs", {}).values():
        found += fields(part, part["title"])
    return found + [(f"{name}.{key}", field) for key, field in node.get("properties", {}).items()]


@pytest.mark.parametrize("name", ["dry-start", "first-build", "second-build"])
def test_the_demo_files_fit_their_schemas(name: str) -> None:
    for kind in ("rig", "job"):
        jsonschema.Draft202012Validator(schema(kind)).validate(tomllib.loads(sample(f"{name}.{kind}.toml")))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("supply", "voltage"), 70),
        (("supply", "voltag"), "70 V"),
        (("setup", "polarity"), "no"),
        (("schema",), 2),
    ],
)
def test_what_the_reader_refuses_the_schema_refuses(path: tuple[str, ...], value: object) -> None:
    content: Any = tomllib.loads(sample("first-build.rig.toml"))
    table = content
    for key in path[:-1]:
        table = table[key]
    table[path[-1]] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema("rig")).validate(content)


@pytest.mark.parametrize("kind", ["rig", "job"])
def test_every_field_says_what_it_is(kind: Any) -> None:
    silent = [
        name for name, field in fields(schema(kind)) if not field.get("description") and "$ref" not in field
    ]
    assert silent == []


@pytest.mark.parametrize("kind", ["rig", "job"])
def test_every_quantity_has_unit_limits_and_an_example(kind: Any) -> None:
    quantities = [(name, field) for name, field in fields(schema(kind)) if "x-unit" in field]
    assert len(quantities) > 5
    for name, field in quantities:
        assert field["examples"], name
        assert {"x-minimum", "x-exclusiveMinimum"} & field.keys(), name
        assert {"x-maximum", "x-exclusiveMaximum"} & field.keys(), name


def test_every_physical_default_says_how_sure_it_is() -> None:
    unsure = [
        name
        for name, field in fields(schema("rig"))
        if "x-unit" in field
        and "default" in field
        and not str(field["default"]).startswith("0 ")
        and "x-status" not in field
    ]
    assert unsure == []


def test_defaults_are_printed_as_they_would_be_written() -> None:
    named = dict(fields(schema("rig")))
    assert named["Axis.resolution"]["default"] == "10 µm"
    assert named["Switch.rise_time"]["default"] == "50 ns"
    assert "default" not in named["Capacitor.esr"]
    assert named["Axis.max_speed"]["title"] == "max speed"
