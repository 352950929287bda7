"""Where a number comes from."""

import dataclasses

import pytest

from gapwright.base.errors import InputRefused
from gapwright.base.source import Fact, Source, Status


def test_the_six_ways_to_know_a_number() -> None:
    assert [str(status) for status in Status] == [
        "published",
        "common practice",
        "from memory",
        "computed",
        "calibrated",
        "measured",
    ]


@pytest.mark.parametrize(("key", "title"), [("", "A book"), ("book-1959", "")])
def test_a_source_names_something(key: str, title: str) -> None:
    with pytest.raises(InputRefused, match="must have a key and a title"):
        Source(key=key, title=title, status=Status.PUBLISHED)


def test_records_do_not_change() -> None:
    fact = Fact(value=401.0, unit="W/(m·K)", source="book", status=Status.PUBLISHED)
    with pytest.raises(dataclasses.FrozenInstanceError):
        fact.value = 4.0  # type: ignore[misc]
    assert dataclasses.replace(fact, value=4.0).value == 4.0
    assert fact.value == 401.0
    assert (fact.low, fact.high, fact.at, fact.note) == (None, None, "", "")


def test_an_unknown_status_is_no_status() -> None:
    with pytest.raises(ValueError, match="sure"):
        Status("sure")
