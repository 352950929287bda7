"""What a user may say of a capture that its file does not say: by name, as text or number, each checked."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from gapwright.app.capture_wishes import WISHES, Kind, Part, Wish
from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.base.quantity import printed_quantity, quantity
from gapwright.capture.scaling import Hookup
from gapwright.capture.settings import ReadingSettings
from gapwright.capture.wishes import FileWish

MOST_DIGITS = 6
"""Digits of a whole number."""


def wish_value(key: str, given: Any, *, name: str) -> Any:
    """Value of what was said: a quantity as an SI number, a word as it is; `name` is for a refusal.

    Raises
    ------
    InputRefused
        If it is no such quantity, or none of the words.
    """
    wish = WISHES[key]
    if not isinstance(given, str) or given in wish.words:
        return given
    if wish.unit:
        return quantity(given, wish.unit, name=name)
    if wish.words:
        raise InputRefused(
            f"{name} must be one of {', '.join(wish.words)}, got {given!r}{close_names(given, wish.words)}"
        )
    return _plain_value(wish, given, name)


def _plain_value(wish: Wish, given: str, name: str) -> Any:
    """Number, whole number, switch or text as typed."""
    if wish.kind == "number":
        return quantity(given, "", name=name)
    if wish.kind == "whole":
        text = given.strip()
        if not (text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS):
            raise InputRefused(f"{name} must be a whole number such as {wish.example}, got {given!r}")
        return int(text)
    if wish.kind == "switch":
        if given not in ("true", "false"):
            raise InputRefused(f"{name} must be true or false, got {given!r}")
        return given == "true"
    return given


@dataclass(frozen=True, slots=True, kw_only=True)
class WishField:
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
class WishForm:
    """All values; `refused` says what is wrong with them together."""

    fields: tuple[WishField, ...]
    refused: str | None


def wish_form(said: Mapping[str, str]) -> WishForm:
    """Lay out what may be said, with what was said and what is wrong with it.

    Raises
    ------
    InputRefused
        If something is said that there is not.
    """
    _require_known(said)
    fields = tuple(_field(key, wish, said.get(key, "")) for key, wish in WISHES.items())
    together = None
    if not any(field.problem for field in fields):
        try:
            wish_parts(said)
        except InputRefused as refusal:
            together = str(refusal)
    return WishForm(fields=fields, refused=together)


def _require_known(said: Mapping[str, str]) -> None:
    for key in said:
        if key not in WISHES:
            raise InputRefused(f"there is nothing called {key[:60]!r} to say{close_names(key, list(WISHES))}")


def _field(key: str, wish: Wish, text: str) -> WishField:
    reading, problem = "", None
    if text:
        try:
            value = wish_value(key, text, name=key)
            _checked({key: value})
            if wish.unit and not isinstance(value, str):
                reading = printed_quantity(value, wish.unit)
        except InputRefused as refusal:
            problem = str(refusal)
    return WishField(
        key=key,
        part=wish.part,
        label=wish.label,
        kind=wish.kind,
        unit=wish.unit,
        help=wish.help,
        example=wish.example,
        choices=wish.words,
        text=text,
        reading=reading,
        problem=problem,
    )


def wish_parts(said: Mapping[str, str]) -> dict[Part, dict[str, Any]]:
    """What was said, as values, by what it is about; empty texts say nothing.

    Raises
    ------
    InputRefused
        If a value is wrong, or two cannot both be.
    """
    _require_known(said)
    values = {key: wish_value(key, text, name=key) for key, text in said.items() if text}
    _checked(values)
    parts: dict[Part, dict[str, Any]] = {"file": {}, "hookup": {}, "settings": {}, "meters": {}}
    for key, value in values.items():
        parts[WISHES[key].part][key] = value
    return parts


def _checked(values: Mapping[str, Any]) -> None:
    """Refuse what the records of a reading would refuse."""
    from gapwright.study.measured_ledger import MeterReadings

    makers: tuple[tuple[Part, Any], ...] = (
        ("file", FileWish),
        ("hookup", Hookup),
        ("settings", ReadingSettings),
        ("meters", MeterReadings),
    )
    for part, maker in makers:
        maker(**{key: value for key, value in values.items() if WISHES[key].part == part})
