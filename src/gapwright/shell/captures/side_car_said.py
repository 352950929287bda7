"""What a side-car says, as texts by key, and a side-car's text with other things said in it.

Keys are those of the options of a command and of the fields of a form. What
is not touched keeps its place and the digits it was written with.
"""

import json
import re
from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import BaseModel

from gapwright.app.capture_form import QUESTIONS, said_parts
from gapwright.app.capture_said import UNITS
from gapwright.base.quantity import printed_quantity, quantity
from gapwright.shell.captures.side_car import SideCar, SideHookup, SideSettings, bare

NEW = {"file": "capture samples", "schema": 1}
NUMBER = "\ue000"
"""Stands before and behind the digits of a number while its side-car is in hand."""
_NUMBER = re.compile(f'"{NUMBER}([^"{NUMBER}]*){NUMBER}"')
INDENT = 1

_PARTS: dict[str, type[BaseModel]] = {"hookup": SideHookup, "settings": SideSettings}
KEYS: dict[str, tuple[str, str]] = {
    **{bare(name): (part, name) for part, model in _PARTS.items() for name in model.model_fields},
    **{name: ("", name) for name in ("separator", "decimal", "skip_lines", "missing")},
    "rate": ("", "rate_hz"),
}
"""Where in a side-car each thing stands that may be said: the part, or the whole, and its key there."""


def said_in(side_car: SideCar | None) -> dict[str, str]:
    """What a side-car says, as texts by key."""
    if side_car is None:
        return {}
    told: dict[str, str] = {}
    for key in QUESTIONS:
        if key in KEYS:
            part, name = KEYS[key]
            holder = getattr(side_car, part) if part else side_car
            value = getattr(holder, name, None)
            if value is not None and value is not False:
                told[key] = _text(key, value)
    return told


def _text(key: str, value: Any) -> str:
    """A value as a person would say it: so that it reads back as the same."""
    if value is True:
        return "true"
    if isinstance(value, str) or key not in UNITS:
        return f"{value:.17g}" if isinstance(value, float) else str(value)
    printed = printed_quantity(value, UNITS[key])
    exact = f"{value!r} {UNITS[key]}"
    return printed if quantity(printed, UNITS[key], name=key) == value else exact


def without(side_car: SideCar | None, unsaid: Iterable[str]) -> SideCar | None:
    """A side-car without some of what it says."""
    if side_car is None:
        return None
    for key in unsaid:
        part, name = KEYS[key]
        if not part:
            side_car = side_car.model_copy(update={name: None})
        elif (holder := getattr(side_car, part)) is not None:
            side_car = side_car.model_copy(update={part: holder.model_copy(update={name: None})})
    return side_car


def with_said(text: str | None, before: Mapping[str, str], after: Mapping[str, str]) -> str:
    """Text of a side-car in which things are said otherwise than before; `text` is None for a new one.

    Parameters
    ----------
    text
        The side-car as it stands.
    before
        What it says, by key.
    after
        What it shall say; a key that is left out, or empty, is not said any more.

    Raises
    ------
    InputRefused
        If a value is wrong, or two cannot both be.
    """
    said = {key: value for key, value in after.items() if value}
    values = {key: value for part in said_parts(said).values() for key, value in part.items()}
    whole: dict[str, Any] = (
        dict(NEW) if text is None else json.loads(text, parse_float=_kept, parse_int=_kept)
    )
    for key, (part, name) in KEYS.items():
        if said.get(key, "") != before.get(key, ""):
            holder = whole.setdefault(part, {}) if part else whole
            if key in values:
                holder[name] = values[key]
            else:
                holder.pop(name, None)
            if part and not holder:
                del whole[part]
    plain = json.dumps(whole, indent=INDENT, ensure_ascii=False, allow_nan=False)
    return _NUMBER.sub(r"\1", plain) + "\n"


def _kept(digits: str) -> str:
    """A number as it was written, marked."""
    return f"{NUMBER}{digits}{NUMBER}"
