"""Rig and job files: text in, record out. Nothing here touches a disk."""

import tomllib
from collections.abc import Iterator, Mapping, MutableMapping
from typing import Any, Literal, TypeVar

import tomlkit
from pydantic import ValidationError

from gapwright.base.errors import InputRefused
from gapwright.base.field import FROM_FILE, shown_value
from gapwright.base.quantity import shown
from gapwright.rig.faults import Fault, all_faults, first_fault, written_path
from gapwright.rig.job import Job
from gapwright.rig.record import WholeFile
from gapwright.rig.rig import Rig

SCHEMA = 1
"""Number of the file form that is written; older ones are read through upgrades, newer ones refused."""

LONGEST_FILE = 200_000
"""Characters that a rig or job file may have."""

Kind = Literal["rig", "job"]
R = TypeVar("R", bound=WholeFile)


def rig_from_text(text: str | bytes, origin: str = "rig file") -> Rig:
    """Rig described by the text of a rig file; `origin` names the file in a refusal.

    Raises
    ------
    InputRefused
        If the text is not a rig file that can be used; one line with file, key, rule and what was got.
    """
    return _record(Rig, "rig", text, origin)


def job_from_text(text: str | bytes, origin: str = "job file") -> Job:
    """Job described by the text of a job file; `origin` names the file in a refusal.

    Raises
    ------
    InputRefused
        If the text is not a job file that can be used; one line with file, key, rule and what was got.
    """
    return _record(Job, "job", text, origin)


def _record(record: type[R], kind: Kind, text: str | bytes, origin: str) -> R:
    try:
        content = _content(plain_text(text))
        _check_heading(content, kind)
        try:
            made = record.model_validate(content, context=FROM_FILE)
        except ValidationError as fault:
            raise InputRefused(first_fault(record, fault)) from None
    except InputRefused as fault:
        raise InputRefused(f"{origin}: {fault}") from None
    return made.with_text(dict(_written_values(content, ())))


def faults_of(kind: Kind, text: str | bytes) -> tuple[Fault, ...]:
    """Every fault of a file at once, for checks while it is being written; none if it is sound."""
    try:
        content = _content(plain_text(text))
        _check_heading(content, kind)
    except InputRefused as fault:
        return (Fault(path="", says=str(fault)),)
    record: type[WholeFile] = Rig if kind == "rig" else Job
    try:
        record.model_validate(content, context=FROM_FILE)
    except ValidationError as fault:
        return all_faults(record, fault)
    return ()


def content_of(text: str | bytes) -> dict[str, Any]:
    """Tables and values of a file, checked for nothing but that it is TOML; empty where it is not."""
    try:
        return _content(plain_text(text))
    except InputRefused:
        return {}


def plain_text(text: str | bytes) -> str:
    """Text of a file, decoded from UTF-8; binary content is refused with its place.

    Raises
    ------
    InputRefused
        If the content is not UTF-8 text, contains a NUL, or is too long.
    """
    if isinstance(text, bytes):
        try:
            decoded = text.decode("utf-8-sig")
        except UnicodeDecodeError as fault:
            line, column = _line_and_column(text[: fault.start].decode("utf-8", errors="replace"))
            raise InputRefused(
                f"must be text in UTF-8, got byte 0x{text[fault.start]:02x} at line {line}, column {column}; "
                "save the file as UTF-8"
            ) from None
    else:
        decoded = text.removeprefix("\ufeff")
    if "\x00" in decoded:
        line, column = _line_and_column(decoded[: decoded.index("\x00")])
        raise InputRefused(
            f"must be text, got a binary file (NUL at line {line}, column {column}); name a TOML file"
        )
    if len(decoded) > LONGEST_FILE:
        raise InputRefused(
            f"must have at most {LONGEST_FILE} characters, got {len(decoded)}; name a TOML file"
        )
    return decoded


def _line_and_column(before: str) -> tuple[int, int]:
    lines = before.split("\n")
    return len(lines), len(lines[-1]) + 1


def _content(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        reason = "".join(
            c if c.isprintable() else c.encode("unicode_escape").decode() for c in str(fault)[:200]
        )
        raise InputRefused(
            f"must be TOML, got something else: {reason}; see `gapwright demo` for files that work"
        ) from None
    except ValueError:
        raise InputRefused("must be TOML, got a number that is too long; see `gapwright demo`") from None
    except RecursionError:
        raise InputRefused(
            "must be TOML, got lists or tables nested too deeply; see `gapwright demo`"
        ) from None


def _check_heading(content: dict[str, Any], kind: Kind) -> None:
    """Check the first keys and take them out."""
    if "file" not in content:
        raise InputRefused(f'file is missing; begin with file = "{kind}" and schema = {SCHEMA}')
    given = content.pop("file")
    if given != kind:
        raise InputRefused(f'file must be "{kind}", got {shown_value(given)}; name a {kind} file here')
    if "schema" not in content:
        raise InputRefused(f"schema is missing; write schema = {SCHEMA} below file")
    schema = content.pop("schema")
    if type(schema) is not int or schema != SCHEMA:
        newer = "; a newer gapwright may" if isinstance(schema, int) and schema > SCHEMA else ""
        raise InputRefused(
            f"schema must be {SCHEMA}, all that this gapwright reads, got {shown_value(schema)}{newer}"
        )


def to_text(source: str, changes: Mapping[str, str | int | float | bool]) -> str:
    r"""Text of a file with some values changed, every other character as the user wrote it.

    `changes` maps key paths such as ``generator.coil.inductance`` to new
    values, quantities as text. A key that is missing is added to its table.

    Raises
    ------
    InputRefused
        If the text is not TOML or a path leads through something that is not a table.

    Examples
    --------
    >>> to_text('[supply] # mine\nvoltage = "70 V" # full\n', {"supply.voltage": "60 V"})
    '[supply] # mine\nvoltage = "60 V" # full\n'
    """
    _content(source)
    document = tomlkit.parse(source)
    for path, value in changes.items():
        *tables, key = path.split(".")
        table: Any = document
        for name in tables:
            table = table.get(name)
            if not isinstance(table, MutableMapping):
                raise InputRefused(f"{path} must lie in a table of the file, got none called {shown(name)}")
        table[key] = value
    return tomlkit.dumps(document)


def _written_values(table: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for key, value in table.items():
        here = (*path, key)
        if isinstance(value, Mapping):
            yield from _written_values(value, here)
        else:
            yield written_path(list(here)), value if isinstance(value, str) else shown_value(value)
