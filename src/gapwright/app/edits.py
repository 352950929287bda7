"""Changes to a user's file as texts by key path; every other character stays as the user wrote it."""

import re
from collections.abc import Iterator, Mapping, MutableMapping
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import tomlkit
from tomlkit.exceptions import TOMLKitError

from gapwright.base.errors import InputRefused
from gapwright.base.field import Quantity
from gapwright.base.quantity import shown
from gapwright.rig.faults import Record, records_in
from gapwright.rig.job import Job
from gapwright.rig.reading import Kind, plain_text, to_text
from gapwright.rig.rig import Rig

MOST_CHANGES = 400
LONGEST_PATH = 160
LONGEST_CHANGE = 200
PATH = re.compile(r"[A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+){0,7}")
NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,3})?")
WHOLE = re.compile(r"[+-]?[0-9]{1,18}")

Form = Literal["quantity", "number", "choice", "switch", "text", "whole"]
"""How a value is written: a quantity has a unit, a number has none."""


def root_record(kind: Kind) -> Record:
    """Record of a whole file."""
    return Rig if kind == "rig" else Job


def parts_of(annotation: object, metadata: tuple[object, ...] = ()) -> Iterator[object]:
    """All that an annotation is made of, its notes included."""
    yield from metadata
    origin = get_origin(annotation)
    if origin is Annotated:
        inner, *notes = get_args(annotation)
        yield from parts_of(inner, tuple(notes))
    elif origin in (Union, UnionType):
        for part in get_args(annotation):
            yield from parts_of(part)
    else:
        yield annotation


def form_of(annotation: object, metadata: tuple[object, ...]) -> Form:
    """How the value of a field is written."""
    parts = list(parts_of(annotation, metadata))
    quantity = next((part for part in parts if isinstance(part, Quantity)), None)
    if quantity is not None:
        return "quantity" if quantity.unit else "number"
    if any(get_origin(part) is Literal for part in parts):
        return "choice"
    if bool in parts:
        return "switch"
    return "whole" if int in parts else "text"


def _forms(record: Record, prefix: str) -> Iterator[tuple[str, Form]]:
    for key, field in record.model_fields.items():
        if get_origin(field.annotation) is dict:
            continue
        inner = records_in(field.annotation)
        for each in inner:
            yield from _forms(each, f"{prefix}{key}.")
        if not inner:
            yield prefix + key, form_of(field.annotation, tuple(field.metadata))


@cache
def forms(kind: Kind) -> Mapping[str, Form]:
    """How each value of a file is written, by key path, whatever kinds its tables are of."""
    return dict(_forms(root_record(kind), ""))


def typed(text: str, form: Form) -> str | int | float | bool:
    """Value as the file has it; what does not fit its field stays text, for the check to refuse."""
    bare = text.strip()
    if form == "switch" and bare in ("true", "false"):
        return bare == "true"
    if form in ("whole", "number") and WHOLE.fullmatch(bare):
        return int(bare)
    if form == "number" and NUMBER.fullmatch(bare):
        return float(bare)
    return text


def edited(kind: Kind, source: str, changes: Mapping[str, str]) -> str:
    r"""Text of a file with values changed, added, or with an empty text taken out.

    Raises
    ------
    InputRefused
        If the source is not TOML, or a path or text is not one that a file could have.

    Examples
    --------
    >>> edited("job", '[hole] # mine\ncount = 3 # all\n', {"hole.count": "4", "limits.time": "5 min"})
    '[hole] # mine\ncount = 4 # all\n\n[limits]\ntime = "5 min"\n'
    """
    _check(changes)
    document = _document(plain_text(source))
    for path, value in changes.items():
        *tables, key = path.split(".")
        if not value.strip():
            table = _within(document, tables)
            if table is not None and key in table:
                del table[key]
            continue
        _made(document, tables, path)[key] = typed(value, forms(kind).get(path, "text"))
    return tomlkit.dumps(document)


def _document(text: str) -> tomlkit.TOMLDocument:
    try:
        return tomlkit.parse(text)
    except (TOMLKitError, ValueError, RecursionError):
        to_text(text, {})  # refuses it in the words of whoever reads such files
        raise InputRefused(
            "must be TOML, got something else; see `gapwright demo` for files that work"
        ) from None


def _check(changes: Mapping[str, str]) -> None:
    if len(changes) > MOST_CHANGES:
        raise InputRefused(f"there must be at most {MOST_CHANGES} changes at once, got {len(changes)}")
    for path, value in changes.items():
        if len(path) > LONGEST_PATH or not PATH.fullmatch(path):
            raise InputRefused(
                f"a key path must be keys of letters, digits, - and _ with points between, got {shown(path)}"
            )
        if len(value) > LONGEST_CHANGE:
            raise InputRefused(f"{path} must have at most {LONGEST_CHANGE} characters, got {len(value)}")


def _within(document: Any, tables: list[str]) -> Any:
    """Table at a path, None where there is none."""
    table = document
    for name in tables:
        table = table.get(name) if isinstance(table, MutableMapping) else None
    return table if isinstance(table, MutableMapping) else None


def _made(document: Any, tables: list[str], path: str) -> Any:
    """Table at a path, made where it is missing; refused where something else stands there."""
    table = document
    for depth, name in enumerate(tables):
        if name not in table:
            if depth == 0 and len(document.body):
                document.add(tomlkit.nl())
            table[name] = tomlkit.table()
        table = table[name]
        if not isinstance(table, MutableMapping):
            raise InputRefused(f"{path} must lie in a table of the file, but {shown(name)} is none")
    return table
