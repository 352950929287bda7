"""A form of what a user says of a capture: each value read back, and what is wrong with it beside it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from gapwright.app.capture_questions import PARTS, Kind, Part, Question
from gapwright.app.capture_said import UNITS, WORDS, said_value
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.base.quantity import printed_quantity, quantity
from gapwright.capture.scaling import Hookup
from gapwright.capture.settings import ReadingSettings
from gapwright.capture.wishes import FileWish

MOST_DIGITS = 6
"""Digits of a whole number."""

QUESTIONS: Mapping[str, tuple[Part, Question]] = {
    key: (part, question) for part, questions in PARTS.items() for key, question in questions.items()
}
"""All that may be said, by its key."""


def value_of(key: str, text: str) -> Any:
    """Value of a text, under its key.

    Raises
    ------
    InputRefused
        If it is no such quantity, or none of the words.
    """
    if key in UNITS or key in WORDS:
        return said_value(key, text, key)
    kind = QUESTIONS[key][1].kind
    if kind == "number":
        return quantity(text, "", name=key)
    if kind == "whole":
        plain = text.strip()
        if not (plain.isascii() and plain.isdigit() and len(plain) <= MOST_DIGITS):
            raise InputRefused(f"{key} must be a whole number such as 12, got {text!r}")
        return int(plain)
    if kind == "switch":
        if text not in ("true", "false"):
            raise InputRefused(f"{key} must be true or false, got {text!r}")
        return text == "true"
    return text


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidField:
    """One value of the form: as typed, read back, and what is wrong with it."""

    key: str
    part: Part
    label: str
    kind: Kind
    unit: str
    help: str
    example: str
    choices: tuple[str, ...]
    text: str
    reading: str
    problem: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidForm:
    """All values; `refused` says what is wrong with them together."""

    fields: tuple[SaidField, ...]
    refused: str | None


def said_form(said: Mapping[str, str]) -> SaidForm:
    """Lay out what may be said, with what was said and what is wrong with it.

    Raises
    ------
    InputRefused
        If something is said that there is not.
    """
    _require_known(said)
    fields = tuple(
        _field(key, part, question, said.get(key, "")) for key, (part, question) in QUESTIONS.items()
    )
    together = None
    if not any(field.problem for field in fields):
        try:
            said_parts(said)
        except InputRefused as refusal:
            together = str(refusal)
    return SaidForm(fields=fields, refused=together)


def _require_known(said: Mapping[str, str]) -> None:
    for key in said:
        if key not in QUESTIONS:
            raise InputRefused(
                f"there is nothing called {key[:60]!r} to say{close_names(key, list(QUESTIONS))}"
            )


def _field(key: str, part: Part, question: Question, text: str) -> SaidField:
    unit, reading, problem = UNITS.get(key, ""), "", None
    if text:
        try:
            value = value_of(key, text)
            _checked({key: value})
            if unit and not isinstance(value, str):
                reading = printed_quantity(value, unit)
        except InputRefused as refusal:
            problem = str(refusal)
    return SaidField(
        key=key,
        part=part,
        label=question.label,
        kind=question.kind,
        unit=unit,
        help=question.help,
        example=question.example,
        choices=WORDS.get(key, ()),
        text=text,
        reading=reading,
        problem=problem,
    )


def said_parts(said: Mapping[str, str]) -> dict[Part, dict[str, Any]]:
    """What was said, as values, by what it is about; empty texts say nothing.

    Raises
    ------
    InputRefused
        If a value is wrong, or two cannot both be.
    """
    _require_known(said)
    values = {key: value_of(key, text) for key, text in said.items() if text}
    _checked(values)
    parts: dict[Part, dict[str, Any]] = {"file": {}, "hookup": {}, "settings": {}, "meters": {}}
    for key, value in values.items():
        parts[QUESTIONS[key][0]][key] = value
    return parts


def _checked(values: Mapping[str, Any]) -> None:
    """Refuse what the records of a reading would refuse."""
    from gapwright.study.captures.meter_readings import MeterReadings

    makers: tuple[tuple[Part, Any], ...] = (
        ("file", FileWish),
        ("hookup", Hookup),
        ("settings", ReadingSettings),
        ("meters", MeterReadings),
    )
    for part, maker in makers:
        maker(**{key: value for key, value in values.items() if QUESTIONS[key][0] == part})
