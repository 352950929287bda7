"""The dialect of a text file of samples, found from its first part: separator, decimals, rows, columns."""

import re
from collections import Counter
from dataclasses import dataclass

from gapwright.base.errors import InputRefused
from gapwright.capture.wishes import SEPARATORS, FileWish
from gapwright.shell.captures.units import NUMBER

HEAD = 256 << 10
"""Bytes from which a dialect is found."""
LONGEST_LINE = 64 << 10
TAIL = 64
"""Lines at the end of the head by which columns are told."""
USUAL = 0.6
"""Part of those lines in which a column must be a number."""
MISSING = re.compile(r"(?i)^[+-]?(?:nan|inf(?:inity)?|∞|n/?a|null|none|ol|overload|over|\*+|-+|#+)$")
COMMAS_IN_QUOTES = re.compile(r'^"[^"]*"(?:,"[^"]*")*,"[+-]?\d+,\d[^"]*"')
_NUMBER = {
    "point": re.compile(NUMBER.replace("[.,]", r"\.")),
    "comma": re.compile(NUMBER.replace("[.,]", ",")),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """How the text of a file is laid out."""

    encoding: str
    separator: str
    decimal: str
    """`point` or `comma`."""
    line_end: str
    first_line: int
    """Lines before the first line of samples."""
    width: int
    """Columns of a line."""
    columns: tuple[int, ...]
    """Places of the columns that hold numbers."""
    head: tuple[tuple[str, ...], ...]
    """Fields of the lines before the samples."""
    beside: tuple[tuple[str, ...], ...]
    """Fields of the first lines of samples, other columns included."""
    sample: tuple[tuple[str, ...], ...]
    """Fields in the columns, in the first lines of samples."""
    quoted: bool
    """Whether fields of the samples stand in quotes."""
    commas_in_quotes: bool
    """Whether commas part the fields and their decimals, which quotes tell apart; read as semicolons then."""
    line_length: float
    """Mean bytes of a line of samples."""


def decoded_head(place: str, head: bytes) -> tuple[str, str]:
    """Text of the head and its encoding.

    Raises
    ------
    InputRefused
        If it is binary.
    """
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise InputRefused(f"{place!r} must be text in UTF-8 or Latin-1, got UTF-16; save it as UTF-8")
    if b"\0" in head or sum(byte < 9 or 13 < byte < 32 for byte in head[:4096]) > 2:
        raise InputRefused(
            f"{place!r} must be text, got binary data; name its true kind by its ending or give a side-car"
        )
    try:
        # The head may end within a letter.
        return head.decode("utf-8-sig", errors="strict" if len(head) < HEAD else "ignore"), "UTF-8"
    except UnicodeDecodeError:
        return head.decode("latin-1"), "Latin-1"


def dialect_of(place: str, head: bytes, wish: FileWish) -> Dialect:
    """Dialect of a file by its first bytes; what the user said is taken as given.

    Raises
    ------
    InputRefused
        If there are no columns of numbers in it.
    """
    text, encoding = decoded_head(place, head)
    line_end = "\r" if "\r" in text and "\n" not in text else "\n"
    lines = text.split(line_end)
    if max(len(line) for line in lines) > LONGEST_LINE:
        raise InputRefused(too_long(place))
    if len(head) >= HEAD:
        lines = lines[:-1]
    lines = [line.rstrip("\r") for line in lines]
    in_quotes = sum(bool(COMMAS_IN_QUOTES.match(line)) for line in lines) > 0.5 * len(lines)
    if in_quotes:
        lines = [line.replace('","', '";"') for line in lines]
    separator, decimal = _best_layout(place, lines, wish)
    rows = [fields_of(line, separator) for line in lines]
    columns, width = _number_columns(place, rows, decimal, wish)
    first = _first_line(place, rows, columns, decimal, wish)
    body = [row for row in rows[first:] if len(row) == width][: 4 * TAIL]
    used = lines[first:]
    return Dialect(
        encoding=encoding,
        separator=separator,
        decimal=decimal,
        line_end=line_end,
        first_line=first,
        width=width,
        columns=columns,
        head=tuple(tuple(row) for row in rows[:first]),
        beside=tuple(tuple(row) for row in body),
        sample=tuple(tuple(row[k] for k in columns) for row in body),
        quoted=any('"' in line for line in used),
        commas_in_quotes=in_quotes,
        line_length=max(sum(len(line) + 1 for line in used) / max(len(used), 1), 2.0),
    )


def too_long(place: str) -> str:
    """Refusal of a line that is too long."""
    return f"{place!r} must have lines of at most {LONGEST_LINE} characters, got a longer one"


def fields_of(line: str, separator: str) -> list[str]:
    """Fields of a line, trimmed, quotes taken off."""
    parts = line.split() if separator == " " else line.split(separator)
    return [part.strip().strip('"') for part in parts]


def is_number(text: str, decimal: str) -> bool:
    """Whether a field is a number."""
    return bool(_NUMBER[decimal].fullmatch(text))


def _layouts(wish: FileWish) -> list[tuple[str, str]]:
    separators = [SEPARATORS[wish.separator]] if wish.separator else ["\t", ";", "|", ",", " "]
    decimals = [wish.decimal] if wish.decimal else ["point", "comma"]
    return [(s, d) for s in separators for d in decimals if not (s == "," and d == "comma")]


def _best_layout(place: str, lines: list[str], wish: FileWish) -> tuple[str, str]:
    """Separator and decimal mark by which most of the last lines are numbers."""
    tail = [line for line in lines if line.strip()][-TAIL:]
    best, score = ("", ""), (0.0, 0.0)
    for separator, decimal in _layouts(wish):
        kinds = [[is_number(f, decimal) for f in fields_of(line, separator) if f] for line in tail]
        numbers = sum(map(sum, kinds))
        fields = sum(map(len, kinds))
        found = (round(numbers / fields, 2) if fields else 0.0, numbers)
        if numbers and found > score:
            best, score = (separator, decimal), found
    if not best[0]:
        raise InputRefused(
            f"{place!r} must hold columns of numbers, got none in its first lines; "
            "give --separator and --decimal if it does"
        )
    return best


def _number_columns(
    place: str, rows: list[list[str]], decimal: str, wish: FileWish
) -> tuple[tuple[int, ...], int]:
    """Columns that are numbers in most of the last lines, and the usual count of fields."""
    filled = [row for row in rows[wish.skip_lines or 0 :] if any(row)]
    if not filled:
        raise InputRefused(f"{place!r} must hold samples after the lines that are skipped, got none")
    width = Counter(len(row) for row in filled[-TAIL:]).most_common(1)[0][0]
    tail = [row for row in filled[-TAIL:] if len(row) == width]
    half = tail[len(tail) // 2 :]
    columns = tuple(
        k for k in range(width) if sum(is_number(row[k], decimal) for row in half) >= USUAL * len(half)
    )
    if not columns:
        raise InputRefused(f"{place!r} must hold columns of numbers, got none in its first lines")
    return columns, width


def _first_line(
    place: str, rows: list[list[str]], columns: tuple[int, ...], decimal: str, wish: FileWish
) -> int:
    """Lines before the first one whose columns are all numbers or marks of a missing number."""
    if wish.skip_lines is not None:
        return wish.skip_lines
    for k, row in enumerate(rows):
        if len(row) > columns[-1] and any(is_number(row[c], decimal) for c in columns):
            whole = all(is_number(row[c], decimal) or bool(MISSING.match(row[c])) for c in columns)
            if whole:
                return k
    raise InputRefused(f"{place!r} must hold a line with a number in every column, got none")
