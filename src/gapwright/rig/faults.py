"""What is wrong with a file, as one line: key path, rule, what was got, what to write."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from gapwright.base.checks import close_names
from gapwright.base.field import Quantity, shown_value
from gapwright.base.quantity import shown
from gapwright.rig.record import FileRecord

Record = type[FileRecord]


def records_in(annotation: object) -> list[Record]:
    """Record types that an annotation mentions."""
    if isinstance(annotation, type) and issubclass(annotation, FileRecord):
        return [annotation]
    return [record for part in get_args(annotation) for record in records_in(part)]


def _tag_key(record: Record, tag: object) -> str:
    """Key by which a record says that it is of this kind; empty if it is not."""
    return next((key for key, field in record.model_fields.items() if tag in get_args(field.annotation)), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """Where an error lies: key path, the record that holds its last key, and the kind of that record."""

    path: list[str]
    holder: Record
    kind: str = ""
    table: FieldInfo | None = None
    """Declaration of the table in which the last key stands, if the user chooses its keys."""

    @property
    def field(self) -> FieldInfo:
        """Declaration of the last key, where the record knows it."""
        return self.table or self.holder.model_fields[self.path[-1]]


def _place(root: Record, location: tuple[int | str, ...]) -> _Place:
    path: list[str] = []
    holders: list[Record] = [root]
    holder = root
    kind = chosen = ""
    table: FieldInfo | None = None  # whose keys the user chooses
    named = False
    for part in location:
        if table is not None and not named:
            path.append(str(part))
            named = True
            continue
        if len(holders) > 1:  # a union names the chosen kind before it goes on
            holders = [record for record in holders if _tag_key(record, part)]
            chosen = f"{_tag_key(holders[0], part)} = {shown(str(part))}"
            continue
        path.append(str(part))
        holder, kind, chosen = holders[0] if holders else holder, chosen, ""
        field = holder.model_fields.get(str(part))
        holders = records_in(field.annotation) if field else holders
        table = field if field is not None and get_origin(field.annotation) is dict else None
        named = False
    return _Place(path=path, holder=holder, kind=kind, table=table if named else None)


def written_path(path: list[str]) -> str:
    """Key path on one line; parts that are not plain keys are quoted."""
    return ".".join(part if part.replace("-", "_").isidentifier() else shown(part) for part in path)


def _quantity_of(field: FieldInfo) -> Quantity | None:
    stack: list[object] = [*field.metadata, field.annotation]
    while stack:
        part = stack.pop()
        if isinstance(part, Quantity):
            return part
        stack.extend([*get_args(part), *getattr(part, "__metadata__", ())])
    return None


def _choices(field: FieldInfo) -> list[str]:
    """What a field may be, where it is one of a few words."""
    return [str(choice) for choice in get_args(field.annotation)]


def _either(choices: list[str]) -> str:
    return " or ".join(shown(choice) for choice in choices)


def _missing(place: _Place, error: ErrorDetails) -> str:  # noqa: ARG001 - the shape of a wording
    field = place.field
    key, quantity = place.path[-1], _quantity_of(field)
    text = quantity.help if quantity else field.description or ""
    missing = f"is missing ({text.rstrip('.')})" if text else "is missing"
    if records_in(field.annotation):
        return f"{missing}; add the table [{written_path(place.path)}]"
    if field.annotation is bool:
        return f"{missing}; write {key} = true or {key} = false"
    example = shown(quantity.example) if quantity else _either(_choices(field)) or shown("...")
    return f"{missing}; write {key} = {example}"


def _unknown_key(place: _Place, error: ErrorDetails) -> str:  # noqa: ARG001 - the shape of a wording
    known = list(place.holder.model_fields)
    near = close_names(place.path[-1][:60], known)
    where = f" with {place.kind}" if place.kind else ""
    return f"is not a known key{where}{near or '; known here are ' + ', '.join(known)}"


def _not_one_of(place: _Place, error: ErrorDetails) -> str:
    choices, given = _choices(place.field), error["input"]
    near = close_names(given[:60], choices) if isinstance(given, str) else ""
    return f"must be {_either(choices)}, got {shown_value(given)}{near}"


def _wrong_kind(place: _Place, error: ErrorDetails) -> str:
    key, choices = _discriminator(place, error)
    given = error["input"].get(key) if isinstance(error["input"], Mapping) else error["input"]
    near = close_names(given[:60], choices) if isinstance(given, str) else ""
    return f"must have {key} = {_either(choices)}, got {shown_value(given)}{near}"


def _no_kind(place: _Place, error: ErrorDetails) -> str:
    key, choices = _discriminator(place, error)
    return f"must say its {key}: write {key} = {_either(choices)}"


def _discriminator(place: _Place, error: ErrorDetails) -> tuple[str, list[str]]:
    """Key by which a table says what it is, and what it may say."""
    key = str(error.get("ctx", {}).get("discriminator", "kind")).strip("'")
    records = records_in(place.field.annotation)
    return key, [choice for record in records for choice in _choices(record.model_fields[key])]


def _refused(place: _Place, error: ErrorDetails) -> str:  # noqa: ARG001 - the shape of a wording
    return str(error.get("ctx", {}).get("message", error["msg"]))


Wording = Callable[[_Place, ErrorDetails], str]


def _plain(rule: str) -> Wording:
    def wording(place: _Place, error: ErrorDetails) -> str:  # noqa: ARG001 - the shape of a wording
        return f"{rule.format(**error.get('ctx', {}))}, got {shown_value(error['input'])}"

    return wording


_WORDINGS: dict[str, Wording] = {
    "missing": _missing,
    "extra_forbidden": _unknown_key,
    "literal_error": _not_one_of,
    "union_tag_invalid": _wrong_kind,
    "union_tag_not_found": _no_kind,
    "refused": _refused,
    "model_type": _plain("must be a table"),
    "model_attributes_type": _plain("must be a table"),
    "dict_type": _plain("must be a table"),
    "bool_type": _plain("must be true or false"),
    "int_type": _plain("must be a whole number"),
    "string_type": _plain("must be text in quotes"),
    "string_too_short": _plain("must not be empty"),
    "string_too_long": _plain("must have at most {max_length} characters"),
    "string_pattern_mismatch": _plain("must be one line of text"),
    "greater_than_equal": _plain("must be at least {ge}"),
    "less_than_equal": _plain("must be at most {le}"),
}


def _line(root: Record, error: ErrorDetails) -> str:
    place = _place(root, error["loc"])
    wording = _WORDINGS.get(error["type"])
    text = wording(place, error) if wording else f"cannot be used: {error['msg']}"
    key = str(error.get("ctx", {}).get("key", ""))
    whole = written_path(place.path) + ("." if place.path and key else "") + key
    return f"{whole or 'the file'} {text}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault of a file: the key path it lies at, empty for the whole file, and the line that says so."""

    path: str
    says: str
    is_unknown_key: bool = False


def all_faults(root: Record, fault: ValidationError) -> tuple[Fault, ...]:
    """Every fault of a file, in the words of `first_fault`."""
    found = []
    for error in fault.errors(include_url=False):
        key = str(error.get("ctx", {}).get("key", ""))
        path = [*_place(root, error["loc"]).path, *([key] if key else [])]
        unknown = error["type"] == "extra_forbidden"
        found.append(Fault(path=".".join(path), says=_line(root, error), is_unknown_key=unknown))
    return tuple(found)


def first_fault(root: Record, fault: ValidationError) -> str:
    """The first fault of a file in words, and how many more there are.

    Unknown keys come first: a misspelt key is the usual cause of a missing one.
    """
    errors = sorted(fault.errors(include_url=False), key=lambda error: error["type"] != "extra_forbidden")
    more = len(errors) - 1
    tail = f" (and {more} more fault{'s' if more > 1 else ''} in this file)" if more else ""
    return _line(root, errors[0]) + tail
