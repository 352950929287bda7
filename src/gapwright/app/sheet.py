"""A user's file laid out for a form: every value with text, SI number, unit, status, range and fault."""

from dataclasses import dataclass, replace

from gapwright.app.edits import root_record
from gapwright.app.form_fields import Field, Table, walk
from gapwright.rig.faults import Fault
from gapwright.rig.reading import Kind, content_of, faults_of


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFault:
    """One fault of the file, in the words of the command line; `path` is empty for the whole file."""

    path: str
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A whole file, laid out; `leftover` are keys that belong to another kind of the same table."""

    kind: Kind
    name: str
    title: str
    etag: str
    saved: bool
    dropped: bool
    refused: str | None
    faults: tuple[SheetFault, ...]
    leftover: tuple[str, ...]
    tables: tuple[Table, ...]
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Where the text of a sheet comes from."""

    kind: Kind
    name: str
    etag: str
    saved: bool
    dropped: bool


def sheet(text: str, origin: Origin) -> Sheet:
    """Text of a file, laid out with all its faults."""
    content = content_of(text)
    faults = faults_of(origin.kind, text)
    by_path = {fault.path: fault.says for fault in faults}
    found = list(walk(root_record(origin.kind), content, ""))
    return Sheet(
        kind=origin.kind,
        name=origin.name,
        title=str(content.get("name", "")) or origin.name,
        etag=origin.etag,
        saved=origin.saved,
        dropped=origin.dropped,
        refused=_refusal(faults),
        faults=tuple(SheetFault(path=fault.path, says=fault.says) for fault in faults),
        leftover=tuple(fault.path for fault in faults if fault.is_unknown_key),
        tables=tuple(replace(t, problem=by_path.get(t.path)) for t in found if isinstance(t, Table)),
        fields=tuple(replace(f, problem=by_path.get(f.path)) for f in found if isinstance(f, Field)),
    )


def _refusal(faults: tuple[Fault, ...]) -> str | None:
    """What the command line would say of the file, None where it can be used."""
    if not faults:
        return None
    first = min(faults, key=lambda fault: not fault.is_unknown_key)
    more = len(faults) - 1
    return first.says + (f" (and {more} more fault{'s' if more > 1 else ''} in this file)" if more else "")
