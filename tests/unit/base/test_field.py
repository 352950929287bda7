"""A number in a file: limits, schema, and what a refusal says."""

from typing import Annotated

import pytest
from pydantic import BaseModel, ValidationError

from gapwright.base.field import FROM_FILE, Quantity, shown_value
from gapwright.base.source import Status


class Part(BaseModel):
    length: Annotated[float, Quantity("m", above=0, below=1, example="1 mm", help="How long.")]
    share: Annotated[float, Quantity("", at_least=0, at_most=1, status=Status.FROM_MEMORY)] = 0.5


def message(**given: object) -> str:
    with pytest.raises(ValidationError) as refusal:
        Part.model_validate(given, context=FROM_FILE)
    return str(refusal.value.errors()[0]["ctx"]["message"])


def test_text_becomes_an_si_float() -> None:
    part = Part.model_validate({"length": "2 mm", "share": "60 %"}, context=FROM_FILE)
    assert (part.length, part.share) == (0.002, 0.6)


def test_from_python_a_float_is_in_si_units() -> None:
    assert Part(length=0.002).length == 0.002


def test_in_a_file_a_bare_number_is_read_back_and_refused() -> None:
    assert message(length=47) == '= 47 has no unit; it would mean 47 m; write "47 m" or, say, "1 mm"'
    assert message(length=1) == '= 1 has no unit; it would mean 1 m; write "1 m"'


def test_a_pure_number_needs_no_quotes() -> None:
    assert Part.model_validate({"length": "1 mm", "share": 1}, context=FROM_FILE).share == 1.0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("0 m", 'must be above 0 m, got "0 m"; give a value such as "1 mm"'),
        ("1 m", 'must be below 1 m, got "1 m"; give a value such as "1 mm"'),
        (float("nan"), 'must be a finite number, got nan; give a value such as "1 mm"'),
        (
            10**400,
            'must be a finite number, got a whole number of more than 18 digits; give a value such as "1 mm"',
        ),
        (True, 'must be a quantity such as "1 mm", got true'),
        ([1], 'must be a quantity such as "1 mm", got a list'),
        ({"a": 1}, 'must be a quantity such as "1 mm", got a table'),
    ],
)
def test_values_outside_the_rules_are_refused(given: object, said: str) -> None:
    assert message(length=given) == said


def test_without_an_example_the_refusal_gives_none() -> None:
    assert message(length="1 mm", share=2) == "must be at most 1, got 2"
    assert message(length="1 mm", share=-1) == "must be at least 0, got -1"
    assert message(length="1 mm", share=[]) == "must be a quantity, got a list"


def test_the_schema_tells_unit_limits_help_and_status() -> None:
    properties = Part.model_json_schema()["properties"]
    assert properties["length"] == {
        "title": "Length",
        "type": "string",
        "description": "How long.",
        "x-unit": "m",
        "x-exclusiveMinimum": 0,
        "x-exclusiveMaximum": 1,
        "examples": ["1 mm"],
    }
    assert properties["share"]["type"] == ["number", "string"]
    assert properties["share"]["x-status"] == "from memory"


def test_records_give_back_plain_floats() -> None:
    assert Part(length=0.002).model_dump() == {"length": 0.002, "share": 0.5}


def test_any_value_is_shown_on_one_line() -> None:
    values: list[object] = ["a\n", {}, [], False, 3, 10**20, 2.5]
    assert [shown_value(value) for value in values] == [
        '"a\\n"',
        "a table",
        "a list",
        "false",
        "3",
        "a whole number of more than 18 digits",
        "2.5",
    ]
