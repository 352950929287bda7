"""What the lines above and beside the samples of a text file say: names, units, time, sample rate."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from gapwright.base.errors import InputRefused
from gapwright.capture.wishes import FileWish
from gapwright.shell.captures.dialect import Dialect, is_number
from gapwright.shell.captures.units import amount, name_and_unit, unit_of

TIME = re.compile(r"(?i)^(?:time|t|zeit|temps|tiempo|tempo|second|seconds|x|x-axis|zeitachse)(?:\b|_).*$")
INDEX = re.compile(r"(?i)^(?:sample|samples|index|n|nr|no|#|point|points|row|i?dx)\.?$")
INTERVAL = re.compile(
    r"(?i)^[#%\s]*(?:(?:sampl\w*|time|horizontal|x)?[ _-]*(?:interval|increment|period|resolution)"
    r"|dt|delta ?t|abtastintervall|tinc|xinc\w*)\b"
)
RATE = re.compile(r"(?i)^[#%\s]*(?:sampl\w*[ _-]*(?:rate|freq\w*)|rate|fs|sr|abtastrate|frequency)\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of numbers: its place in a line, name, and unit with its factor to SI."""

    place: int
    name: str
    unit: str
    factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """Columns by what they are, and the sample rate where the remarks state it."""

    time: Column | None
    channels: tuple[Column, ...]
    rate: float | None
    named_in: int
    """Line that names the columns, from 1; 0 where none does."""
    times_again: tuple[int, ...]
    """Columns, from 1, that hold the same times again, as where each channel has its own."""


def heading_of(dialect: Dialect, wish: FileWish) -> Heading:
    """Names, units and rate of a text file."""
    names, units, line = _labels(dialect)
    columns = [
        Column(place=k, name=name, unit=unit[0] if unit else "", factor=unit[1] if unit else 1.0)
        for k, name, unit in zip(dialect.columns, names, units, strict=True)
    ]
    rate = _stated_rate(dialect)
    time = _time_column(columns, dialect, rate=wish.rate or rate)
    again = [each for each in columns if time is not None and each is not time and each.unit == "s"]
    for each in again:
        _require_same_times(time, each, dialect)
    rest = [each for each in columns if each is not time and each not in again]
    if len(rest) > 1 and _is_index(rest[0], dialect):
        rest = rest[1:]
    return Heading(
        time=time,
        channels=_named(rest),
        rate=rate,
        named_in=line,
        times_again=tuple(each.place + 1 for each in again),
    )


def _require_same_times(time: Column | None, other: Column, dialect: Dialect) -> None:
    """Refuse channels that were not sampled together."""
    if time is None:
        return
    one, two = ([each.factor * value for value in _numbers(each, dialect)] for each in (time, other))
    step = abs(one[1] - one[0]) if len(one) > 1 else 0.0
    if len(one) != len(two) or any(abs(a - b) > 0.01 * step for a, b in zip(one, two, strict=True)):
        raise InputRefused(
            f"channels must be sampled together, but columns {time.place + 1} and {other.place + 1} hold "
            "other times; export them on one clock"
        )


def _labels(dialect: Dialect) -> tuple[list[str], list[tuple[str, float] | None], int]:
    """Names and units from the last lines above the samples; and which line names the columns."""
    wide = [
        (k, [_bare(row[c]) for c in dialect.columns])
        for k, row in enumerate(map(_unmarked, dialect.head))
        if len(row) > dialect.columns[-1]
    ]
    names, line = [""] * len(dialect.columns), 0
    units: list[tuple[str, float] | None] = [None] * len(dialect.columns)
    while wide and not any(wide[-1][1]):
        wide.pop()
    if wide and all(unit_of(text) or not text for text in wide[-1][1]):
        units = [unit_of(text) for text in wide.pop()[1]]
    if wide and not any(is_number(text, dialect.decimal) for text in wide[-1][1]):
        line = wide[-1][0] + 1
        split = [name_and_unit(text) for text in wide[-1][1]]
        names = [name for name, _ in split]
        units = [unit or inside for unit, (_, inside) in zip(units, split, strict=True)]
    return names, units, line


def _unmarked(row: Sequence[str]) -> Sequence[str]:
    """Fields of a line without a mark of remarks that stands alone before them."""
    return row[1:] if row and row[0] in {"#", "%"} else row


def _bare(text: str) -> str:
    return text.lstrip("#%").strip()


def _named(columns: Sequence[Column]) -> tuple[Column, ...]:
    """Columns with a name for each; a missing or repeated name becomes a number."""
    seen: set[str] = set()
    answer = []
    for k, column in enumerate(columns, 1):
        name = column.name[:80] if column.name and column.name not in seen else f"channel {k}"
        seen.add(name)
        answer.append(Column(place=column.place, name=name, unit=column.unit, factor=column.factor))
    return tuple(answer)


def _numbers(column: Column, dialect: Dialect) -> list[float]:
    """First values of a column."""
    at = dialect.columns.index(column.place)
    return [float(row[at].replace(",", ".")) for row in dialect.sample if is_number(row[at], dialect.decimal)]


def _steps(column: Column, dialect: Dialect) -> list[float]:
    values = _numbers(column, dialect)
    return [b - a for a, b in pairwise(values)]


def _time_column(columns: Sequence[Column], dialect: Dialect, *, rate: float | None) -> Column | None:
    """The column of times: by its unit, its name, or its even steps where nothing is named."""
    for column in columns:
        if column.unit == "s":
            return column
    first = columns[0]
    if TIME.match(first.name) and first.unit == "":
        return first
    steps = sorted(_steps(first, dialect))
    if first.name or len(columns) < 2 or not steps:
        return None
    usual = steps[len(steps) // 2]
    even = usual > 0.0 and sum(abs(step - usual) < 0.1 * usual for step in steps) > 0.8 * len(steps)
    return first if even and (rate is None or abs(usual * rate - 1.0) < 0.1) else None


def _is_index(column: Column, dialect: Dialect) -> bool:
    """Whether a column only counts its rows."""
    steps = _steps(column, dialect)
    counts = bool(steps) and all(step == 1.0 for step in steps)
    return counts and (column.name == "" or bool(INDEX.match(column.name)))


def _remarks(dialect: Dialect) -> Iterator[tuple[str, list[str]]]:
    """Each key that stands above or beside the samples, with the fields after it."""
    for row in (*dialect.head, *dialect.beside):
        inside = row if row in dialect.head else row[: dialect.columns[0]]
        fields = [field for field in inside if field.strip("#%")]
        if len(fields) == 1 or (fields and re.search(r"\w[:=]", fields[0])):
            fields = [part.strip() for part in re.split(r"[:=]", " ".join(fields), maxsplit=1)]
        if len(fields) > 1:
            yield fields[0].rstrip(":= "), fields[1:]


def _stated_rate(dialect: Dialect) -> float | None:
    """Sample rate that a remark states, by a rate or an interval."""
    for key, values in _remarks(dialect):
        inside = name_and_unit(key)[1]
        unit = "s" if inside and inside[0] == "s" else ""
        scale = inside[1] if inside and inside[0] == "s" else 1.0
        found = amount(values[0], values[1] if len(values) > 1 else unit) or amount(values[0], unit)
        if found is None or found[0] <= 0.0:
            continue
        if found[1] == "Hz" or (RATE.match(key) and found[1] == ""):
            if RATE.match(key):
                return found[0]
        elif INTERVAL.match(key):
            return 1.0 / (found[0] * (scale if len(values) == 1 and not _has_unit(values[0]) else 1.0))
    return None


def _has_unit(text: str) -> bool:
    return bool(re.search(r"[A-Za-zµμ]\s*$", text)) and not re.search(r"[eE][+-]?\d+\s*$", text)
