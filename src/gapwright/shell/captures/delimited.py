"""Text in columns: we find the dialect, a library reads the body, we check every row on the way."""

import math
import re
import tempfile
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from gapwright.base.errors import InputRefused
from gapwright.base.quantity import printed_quantity, shown
from gapwright.capture.recording import Channel, Recording
from gapwright.capture.timeline import Timeline
from gapwright.capture.wishes import SEPARATORS, FileWish
from gapwright.shell.captures.columns import described, largest_of
from gapwright.shell.captures.container import first_bytes, one_line
from gapwright.shell.captures.dialect import HEAD, LONGEST_LINE, Dialect, dialect_of, is_number, too_long
from gapwright.shell.captures.gathering import Gathering, clock
from gapwright.shell.captures.heading import Column, Heading, heading_of

if TYPE_CHECKING:
    import polars as pl

AT_ONCE = 1 << 19
"""Rows of a piece."""


def text_recording(place: str, path: Path, wish: FileWish) -> Recording:
    """Recording in a text file of columns.

    Raises
    ------
    InputRefused
        If it is not one, or a row breaks its pattern.
    """
    dialect = dialect_of(place, first_bytes(path, HEAD), wish)
    if dialect.separator != " " and not dialect.quoted:
        return _read(place, path, dialect, wish)
    plain = _plain_copy(place, path, dialect)
    try:
        return _read(place, plain, dialect, wish)
    finally:
        plain.unlink()


def _read(place: str, path: Path, dialect: Dialect, wish: FileWish) -> Recording:
    heading = heading_of(dialect, wish)
    if not heading.channels:
        raise InputRefused(f"{place!r} must hold a channel beside the times, got none")
    row = dialect.first_line + 1
    timeline = Timeline(place=place, first_row=row) if heading.time and wish.rate is None else None
    gathering = Gathering(
        place=place,
        names=tuple(column.name for column in heading.channels),
        expected=int(path.stat().st_size / dialect.line_length) + 1000,
        missing=wish.missing,
        first_row=row,
    )
    for piece in _pieces(place, path, dialect, heading, wish):
        kept = gathering.add([piece[_key(column)].to_numpy() for column in heading.channels])
        if timeline is not None and heading.time is not None:
            times = piece[_key(heading.time)].to_numpy()
            factor = heading.time.factor
            times = times if factor == 1.0 else times * factor
            timeline.add(
                times if kept is None else times[kept], rounding=_rounding(dialect, heading.time, times)
            )
    return _recording(dialect, heading, gathering, timeline, wish)


def _recording(
    dialect: Dialect, heading: Heading, gathering: Gathering, timeline: Timeline | None, wish: FileWish
) -> Recording:
    samples = gathering.channels()
    rate, segments = clock(gathering, timeline, wish.rate or (None if timeline else heading.rate))
    channels = tuple(
        Channel(name=column.name, unit=column.unit, codes=codes, scale=column.factor)
        for column, codes in zip(heading.channels, samples, strict=True)
    )
    start = timeline.first if timeline is not None else 0.0
    return Recording(
        channels=described(gathering.place, channels, wish.channels),
        rate=rate,
        start=start if wish.start is None else wish.start,
        segments=segments,
        form="text in columns",
        understood=_told(dialect, heading, gathering, timeline),
    )


def _key(column: Column) -> str:
    return f"c{column.place}"


def _pieces(
    place: str, path: Path, dialect: Dialect, heading: Heading, wish: FileWish
) -> Iterator["pl.DataFrame"]:
    """Pieces of the body, numbers as numbers; the library's refusals in our words."""
    import polars as pl

    used = [*heading.channels, *([heading.time] if heading.time and wish.rate is None else [])]
    kinds: dict[str, type[pl.DataType]] = {f"c{k}": pl.String for k in range(dialect.width)}
    kinds |= {_key(column): pl.Float32 for column in heading.channels}
    if heading.time is not None:
        kinds[_key(heading.time)] = pl.Float64
    scan = pl.scan_csv(
        path,
        has_header=False,
        separator="\t" if dialect.separator == " " else dialect.separator,
        decimal_comma=dialect.decimal == "comma",
        skip_lines=dialect.first_line,
        schema=kinds,
        encoding="utf8-lossy",
        eol_char=dialect.line_end,
        ignore_errors=wish.missing == "gaps",
        quote_char=None,
        glob=False,
    ).select([_key(column) for column in used])
    try:
        pieces = iter(scan.collect_batches(chunk_size=AT_ONCE, maintain_order=True))
        yield from _whole_pieces(place, path, dialect, used, wish, pieces)
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException) as error:
        raise InputRefused(_told_row(place, path, dialect, used, one_line(error))) from None


def _whole_pieces(
    place: str,
    path: Path,
    dialect: Dialect,
    used: list[Column],
    wish: FileWish,
    pieces: Iterator["pl.DataFrame"],
) -> Iterator["pl.DataFrame"]:
    """Pieces without missing values; empty lines at the very end are none."""
    held: pl.DataFrame | None = None
    for piece in pieces:
        if held is not None:
            # Empty lines were not at the end after all.
            raise InputRefused(_told_row(place, path, dialect, used, "an empty line"))
        missing = any(piece[_key(column)].null_count() for column in used)
        if missing and wish.missing == "refuse":
            trimmed = _without_empty_end(piece)
            if any(trimmed[_key(column)].null_count() for column in used):
                raise InputRefused(_told_row(place, path, dialect, used, "a missing number"))
            held = piece
            piece = trimmed
        yield piece.fill_null(math.nan)


def _without_empty_end(piece: "pl.DataFrame") -> "pl.DataFrame":
    filled = ~piece.select(all_null=_all_null(piece))["all_null"].to_numpy()
    last = int(np.flatnonzero(filled)[-1]) + 1 if filled.any() else 0
    return piece.head(last)


def _all_null(piece: "pl.DataFrame") -> "pl.Expr":
    import polars as pl

    return pl.all_horizontal([pl.col(name).is_null() for name in piece.columns])


def _told_row(place: str, path: Path, dialect: Dialect, used: list[Column], what: str) -> str:
    """Refusal that names the first line which breaks the pattern."""
    separator = "\t" if dialect.separator == " " else dialect.separator
    ending = "\r" if dialect.line_end == "\r" else None
    with path.open(encoding="latin-1", newline=ending) as stream:
        lines = (text for chunk in stream for text in ([chunk] if ending is None else chunk.split("\r")))
        for number, line in enumerate(islice(lines, dialect.first_line, None), dialect.first_line + 1):
            fields = [part.strip().strip('"') for part in line.rstrip("\r\n").split(separator)]
            if len(fields) != dialect.width:
                return (
                    f"{place!r} must have {dialect.width} columns in every line, but line {number} has "
                    f"{len(fields)}; is the file cut off? correct it or give --missing gaps"
                )
            wrong = next((c for c in used if not is_number(fields[c.place], dialect.decimal)), None)
            if wrong is not None:
                return (
                    f"{place!r} must hold a number in every sample, but line {number} has "
                    f"{shown(fields[wrong.place])} in column {wrong.place + 1}; "
                    "cut such lines out or give --missing gaps"
                )
    return f"{place!r} must hold columns of numbers all through, got {what}"


def _rounding(dialect: Dialect, time: Column, times: NDArray[np.float64]) -> float:
    """Distance of two times that the text can tell apart."""
    at = dialect.columns.index(time.place)
    texts = [row[at] for row in dialect.sample if is_number(row[at], dialect.decimal)]
    digits = max((len(re.split(r"[eE]", t)[0].partition(_mark(dialect))[2]) for t in texts), default=0)
    if not any("e" in text.lower() for text in texts):
        return max(10.0**-digits * time.factor, float(np.spacing(largest_of(times))))
    largest = max(largest_of(times) / time.factor, 1e-300)
    return 10.0 ** (math.floor(math.log10(largest)) - digits) * time.factor


def _mark(dialect: Dialect) -> str:
    return "," if dialect.decimal == "comma" else "."


def _plain_copy(place: str, path: Path, dialect: Dialect) -> Path:
    """Copy without quotes, and with one tab for each run of blanks; among the system's temporary files."""
    with path.open("rb") as source, tempfile.NamedTemporaryFile(prefix="gapwright-", delete=False) as target:
        while line := source.readline(LONGEST_LINE + 1):
            if len(line) > LONGEST_LINE:
                raise InputRefused(too_long(place))
            if dialect.commas_in_quotes:
                line = line.replace(b'","', b'";"')
            bare = line.replace(b'"', b"")
            target.write(b"\t".join(bare.split()) + b"\n" if dialect.separator == " " else bare)
    return Path(target.name)


def _told(
    dialect: Dialect, heading: Heading, gathering: Gathering, timeline: Timeline | None
) -> tuple[str, ...]:
    """How the file was read."""
    separator = next(name for name, mark in SEPARATORS.items() if mark == dialect.separator)
    separator = "comma between quotes" if dialect.commas_in_quotes else separator
    remarks = [
        f"{dialect.encoding}, columns parted by {separator}, decimal {dialect.decimal}, "
        f"samples from line {dialect.first_line + 1}"
    ]
    if heading.named_in:
        remarks.append(f"names of the columns from line {heading.named_in}")
    if timeline is not None and heading.time is not None:
        unit = "" if heading.time.unit else ", taken as seconds"
        remarks.append(f"times from column {heading.time.place + 1}{unit}")
    elif heading.rate is not None:
        remarks.append(f"sample rate {printed_quantity(heading.rate, 'Hz')} from the lines above or beside")
    if heading.times_again:
        remarks.append("the same times again in column " + " and ".join(map(str, heading.times_again)))
    if gathering.dropped:
        remarks.append(f"{gathering.dropped} rows without a number are gaps in time")
    return tuple(remarks)
