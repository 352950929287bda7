"""A limit and its source in words."""

import pytest

from gapwright.facts.limits import limit, limits
from gapwright.study.grounds.limit_words import PRACTICE, by_limit, limit_words, source_words
from gapwright.study.grounds.outcome import Degree


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("touch-wet-dc", "at most 30 V, "),
        ("spindle-insulation", "at least 1 MΩ, "),
        ("stored-energy-caution", "from 1 J, "),
        ("flash-point", "at least 60 °C, "),
        ("flash-margin", "at least 15 K, "),
        ("water-conductivity", "at most 20 µS/cm, "),
        ("hydrogen-share", "from 4 %, "),
    ],
)
def test_number_side_and_subject(key, words):
    assert limit_words(limit(key)) == words + limit(key).title


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("water-conductivity", PRACTICE),
        ("residual-current", "from memory, no work named"),
        ("residual-time", "IEC 60204-1, Electrical equipment of machines"),
        ("liquid-cover", "VDI 3402 and ISO 28881, liquid cover and flash point (from memory)"),
    ],
)
def test_source_and_how_sure(key, words):
    assert source_words(limit(key)).startswith(words)


def test_what_was_read_does_not_say_from_memory():
    assert "memory" not in source_words(limit("residual-time"))


@pytest.mark.parametrize("key", limits())
def test_every_limit_can_be_said(key):
    said = by_limit(Degree.NOTE, "Take care.", key)
    assert said.limit.startswith(limit(key).sense.value)
    assert said.source
