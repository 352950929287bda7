"""What is wrong with a file, as one line: key path, rule, what was got, what to write."""

from collections.abc import Callable, Mapping
from typing import Any, get_args

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


def _has_tag(record: Record, tag: object) -> bool:
    return any(tag in get_args(field.annotation) for field in record.model_fields.values())


def _place(root: Record, location: tuple[int | str, ...]) -> tuple[list[str], Record | None]:
    """Key path of an error, and the record in which its last key stands."""
    path: list[str] = []
    holders: list[Record] = [root]
    holder: Record | None = root
    for part in location:
        if len(holders) > 1:  # a union names the chosen kind before it goes on
            holders = [record for record in holders if _has_tag(record, part)]
            continue
        path.append(str(part))
        holder = holders[0] if holders else None
        field = holder.model_fields.get(str(part)) if holder else None
        holders = records_in(field.annotation) if field else holders
    return path, holder


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


def _missing(path: list[str], holder: Record | None, error: ErrorDetails) -> str:  # noqa: ARG001 - shape of a wording
    field = holder.model_fields.get(path[-1]) if holder else None
    if field is None:
        return "is missing"
    quantity = _quantity_of(field)
    text = quantity.help if quantity else field.description or ""
    remark = f" ({text.rstrip('.')})" if text else ""
    if quantity:
        return f"is missing{remark}; write {path[-1]} = {shown(quantity.example)}"
    tables = records_in(field.annotation)
    return f"is missing{remark}; add the table [{written_path(path)}]" if tables else f"is missing{remark}"


def _unknown_key(path: list[str], holder: Record | None, error: ErrorDetails) -> str:  # noqa: ARG001
    known = list(holder.model_fields) if holder else []
    near = close_names(path[-1], known)
    return f"is not a known key{near or '; known here are ' + ', '.join(known)}"


def _not_one_of(path: list[str], holder: Record | None, error: ErrorDetails) -> str:
    field = holder.model_fields.get(path[-1]) if holder else None
    choices = [str(choice) for choice in get_args(field.annotation)] if field else []
    given = error["input"]
    near = close_names(given, choices) if isinstance(given, str) else ""
    return f"must be {' or '.join(shown(choice) for choice in choices)}, got {shown_value(given)}{near}"


def _wrong_kind(path: list[str], holder: Record | None, error: ErrorDetails) -> str:  # noqa: ARG001
    context = error.get("ctx", {})
    key = str(context.get("discriminator", "kind")).strip("'")
    choices = [choice.strip("'") for choice in str(context.get("expected_tags", "")).split(", ")]
    given = error["input"].get(key) if isinstance(error["input"], Mapping) else error["input"]
    near = close_names(given, choices) if isinstance(given, str) else ""
    allowed = " or ".join(shown(choice) for choice in choices)
    return f"must have {key} = {allowed}, got {shown_value(given)}{near}"


def _no_kind(path: list[str], holder: Record | None, error: ErrorDetails) -> str:
    key = str(error.get("ctx", {}).get("discriminator", "kind")).strip("'")
    field = holder.model_fields.get(path[-1]) if holder else None
    records = records_in(field.annotation) if field else []
    choices = [str(c) for record in records for c in get_args(record.model_fields[key].annotation)]
    return f"must say its {key}: write {key} = {' or '.join(shown(choice) for choice in choices)}"


def _refused(path: list[str], holder: Record | None, error: ErrorDetails) -> str:  # noqa: ARG001
    return str(error.get("ctx", {}).get("message", error["msg"]))


def _plain(rule: str) -> Callable[[list[str], Record | None, ErrorDetails], str]:
    def wording(path: list[str], holder: Record | None, error: ErrorDetails) -> str:  # noqa: ARG001
        limits = {key: value for key, value in error.get("ctx", {}).items() if key != "error"}
        return f"{rule.format(**limits)}, got {shown_value(error['input'])}"

    return wording


_WORDINGS: dict[str, Callable[[list[str], Record | None, ErrorDetails], str]] = {
    "missing": _missing,
    "extra_forbidden": _unknown_key,
    "literal_error": _not_one_of,
    "union_tag_invalid": _wrong_kind,
    "union_tag_not_found": _no_kind,
    "refused": _refused,
    "model_type": _plain("must be a table"),
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
    path, holder = _place(root, error["loc"])
    wording = _WORDINGS.get(
        error["type"], _plain("cannot be used: " + error["msg"].replace("{", "").replace("}", ""))
    )
    text = wording(path, holder, error)
    key: Any = error.get("ctx", {}).get("key", "")
    whole = written_path(path) + ("." if path and key else "") + str(key)
    return f"{whole or 'the file'} {text}"


def first_fault(root: Record, fault: ValidationError) -> str:
    """The first fault of a file in words, and how many more there are."""
    errors = fault.errors(include_url=False)
    more = len(errors) - 1
    tail = f" (and {more} more fault{'s' if more > 1 else ''} in this file)" if more else ""
    return _line(root, errors[0]) + tail
