"""The values of a user's file as form fields, walked from the records of the file.

A new field of a record is among them by itself.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, get_args, get_origin

from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from gapwright.app.edits import Form, form_of, parts_of
from gapwright.app.stages import stage_of
from gapwright.base.field import Quantity, shown_value
from gapwright.base.quantity import Unread, any_quantity, printed_quantity, read_quantity
from gapwright.facts.liquids import liquid, liquids
from gapwright.facts.materials import material, materials
from gapwright.rig.faults import Record, records_in
from gapwright.rig.materials import ConductorKey, LiquidKey

YOURS = "yours"
"""Status of a value that the file itself gives."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One thing that a field may be."""

    value: str
    help: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of the file."""

    path: str
    label: str
    help: str
    stage: str
    given: bool
    problem: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One value of the file; `value` is in SI units, None where it is unknown."""

    path: str
    table: str
    key: str
    label: str
    stage: str
    type: Form
    unit: str
    text: str | None
    value: int | float | bool | str | None
    reading: str
    given: bool
    required: bool
    default: str | None
    status: str
    range: str
    minimum: float | None
    maximum: float | None
    above: float | None
    below: float | None
    help: str
    example: str
    choices: tuple[Choice, ...]
    problem: str | None = None


def walk(
    record: Record, content: Mapping[str, Any], prefix: str, *, needed: bool = True
) -> Iterator[Table | Field]:
    """Tables and fields of a record, in its order: its own values first, then the tables in it.

    What a table must have is only required where the table itself is `needed`, or is there.
    """
    inner = [(key, field) for key, field in record.model_fields.items() if records_in(field.annotation)]
    for key, field in record.model_fields.items():
        if not records_in(field.annotation):
            found = _field(key, field, content, prefix)
            yield found if needed else replace(found, required=False)
    for key, field in inner:
        given = content.get(key)
        table: Mapping[str, Any] = given if isinstance(given, Mapping) else {}
        path = prefix + key
        records = records_in(field.annotation)
        yield Table(
            path=path,
            label=key.replace("_", " "),
            help=field.description or "",
            stage=stage_of(path),
            given=given is not None,
        )
        if get_origin(field.annotation) is dict:
            for name, own in table.items():
                yield from _own(records, str(name), own, path)
        else:
            wanted = given is not None or (needed and field.is_required())
            yield from _chosen(records, table, path, needed=wanted)


def _own(records: list[Record], name: str, given: object, path: str) -> Iterator[Table | Field]:
    """Table below one whose keys the user chooses."""
    here = f"{path}.{name}"
    told = records[0].__doc__ or "" if len(records) == 1 else ""
    yield Table(path=here, label=name, help=told, stage=stage_of(here), given=True)
    yield from _chosen(records, given if isinstance(given, Mapping) else {}, here, needed=True)


def _chosen(
    records: list[Record], table: Mapping[str, Any], path: str, *, needed: bool
) -> Iterator[Table | Field]:
    """What is in a table that may be of several kinds: the kind it says it is, else the first."""
    if len(records) == 1:
        yield from walk(records[0], table, f"{path}.", needed=needed)
        return
    tag = _tag(records)
    chosen = next((r for r in records if table.get(tag) in _words(r.model_fields[tag])), records[0])
    choices = tuple(choice for record in records for choice in _choices(record.model_fields[tag]))
    for part in walk(chosen, table, f"{path}.", needed=needed):
        if isinstance(part, Field) and part.path == f"{path}.{tag}":
            yield replace(part, choices=choices)
        else:
            yield part


def _tag(records: list[Record]) -> str:
    """Key by which a table says of which kind it is: its words are others in every record."""
    for key in records[0].model_fields:
        words = [_words(record.model_fields[key]) for record in records if key in record.model_fields]
        told = [word for each in words for word in each]
        if len(words) == len(records) and all(words) and len(told) == len(set(told)):
            return key
    raise TypeError("tables of several kinds must say of which they are")


def _words(field: FieldInfo) -> tuple[str, ...]:
    """Words that a field may be, where it is one of a few."""
    parts = [part for part in parts_of(field.annotation) if get_origin(part) is not None]
    return tuple(str(word) for part in parts for word in get_args(part) if isinstance(word, str))


def _choices(field: FieldInfo) -> tuple[Choice, ...]:
    """What a field may be, each with what it is."""
    if _checks(ConductorKey) in field.metadata:
        return tuple(Choice(value=m.key, help=m.title) for m in map(material, materials()) if m.conductive)
    if _checks(LiquidKey) in field.metadata:
        return tuple(Choice(value=each.key, help=each.title) for each in map(liquid, liquids()))
    words = _words(field)
    return tuple(Choice(value=w, help=field.description or "" if len(words) == 1 else "") for w in words)


def _checks(annotation: Any) -> object:
    """The note of a name from a table that looks it up there."""
    return annotation.__metadata__[-1]


def _field(key: str, field: FieldInfo, content: Mapping[str, Any], prefix: str) -> Field:
    given = content.get(key)
    quantity = next(
        (p for p in parts_of(field.annotation, tuple(field.metadata)) if isinstance(p, Quantity)), None
    )
    choices = _choices(field)
    form = "choice" if choices else form_of(field.annotation, tuple(field.metadata))
    unit = quantity.unit if quantity else ""
    usual = None if field.default is PydanticUndefined else field.default
    limits = _limits(field, quantity)
    value, reading = _read(given if given is not None else usual, form, unit)
    return Field(
        path=prefix + key,
        table=prefix.removesuffix("."),
        key=key,
        label=key.replace("_", " "),
        stage=stage_of(prefix + key),
        type=form,
        unit=unit,
        text=None if given is None else given if isinstance(given, str) else shown_value(given),
        value=value,
        reading=reading,
        given=given is not None,
        required=field.is_required(),
        default=_default(usual, unit),
        status=YOURS if given is not None else _status(quantity, usual),
        range=_in_words(limits, unit),
        minimum=limits.get("at least"),
        maximum=limits.get("at most"),
        above=limits.get("above"),
        below=limits.get("below"),
        help=quantity.help if quantity else _help(field),
        example=quantity.example if quantity else "",
        choices=choices,
    )


def _help(field: FieldInfo) -> str:
    """What a field means; one that may be left out says it on the part that may be there."""
    notes = [part for part in parts_of(field.annotation) if isinstance(part, FieldInfo)]
    return field.description or next((note.description for note in notes if note.description), "")


def _status(quantity: Quantity | None, usual: object) -> str:
    """How sure a value is that the file leaves out."""
    return quantity.status.value if quantity and quantity.status and usual is not None else ""


def _default(usual: object, unit: str) -> str | None:
    """Default as a user would write it, None where there is none."""
    if isinstance(usual, float):
        return printed_quantity(usual, unit, digits=6)
    return None if usual is None else shown_value(usual) if not isinstance(usual, str) else usual


def _read(given: object, form: Form, unit: str) -> tuple[float | bool | str | None, str]:
    """A value in SI units, and as it is read back; None where it cannot be read."""
    if isinstance(given, bool) or given is None:
        return given, "" if given is None else shown_value(given)
    if form not in ("quantity", "number"):
        return _read_plain(given)
    if isinstance(given, str):
        try:
            value = read_quantity(given, unit)
        except Unread:
            return None, ""
        return value, printed_quantity(value, unit, digits=4)
    if isinstance(given, float | int) and (form == "number" or isinstance(given, float)):
        return float(given), printed_quantity(float(given), unit, digits=4)
    return None, ""


def _read_plain(given: object) -> tuple[float | str | None, str]:
    """A word, a whole number, or a quantity of a kind that only its text tells."""
    if isinstance(given, int) and abs(given) < 10**15:
        return given, str(given)
    if not isinstance(given, str):
        return None, ""
    try:
        read = any_quantity(given)
    except Unread:
        return given, given
    return read.value, printed_quantity(read.value, read.unit, digits=4)


def _limits(field: FieldInfo, quantity: Quantity | None) -> dict[str, float]:
    """Limits of a value by what they are, in SI units."""
    if quantity is not None:
        found = {
            "above": quantity.above,
            "at least": quantity.at_least,
            "at most": quantity.at_most,
            "below": quantity.below,
        }
    else:
        parts = list(parts_of(field.annotation, tuple(field.metadata)))
        notes = [note for part in parts for note in getattr(part, "metadata", (part,))]
        found = {
            word: next((getattr(note, name) for note in notes if hasattr(note, name)), None)
            for word, name in (("at least", "ge"), ("at most", "le"))
        }
    return {word: float(limit) for word, limit in found.items() if limit is not None}


def _in_words(limits: Mapping[str, float], unit: str) -> str:
    """Limits of a value in words."""
    return ", ".join(f"{word} {printed_quantity(limit, unit, digits=6)}" for word, limit in limits.items())
