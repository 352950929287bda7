"""Whether the beginning of a file looks like samples, told by its bytes and never by its name."""

import re

HEAD = 1 << 16
"""Bytes that are looked at."""
FORMS: tuple[tuple[int, bytes, str], ...] = (
    (0, b"\x93NUMPY", "an array of samples"),
    (0, b"PAR1", "a table of samples"),
    (0, b"\x89HDF\r\n\x1a\n", "a hierarchy of samples"),
    (8, b"WAVE", "a sound file of samples"),
    (0, b"PK\x03\x04", "an archive"),
    (0, b"\x1f\x8b", "an archive"),
)
"""Where in a file which bytes stand, and what it is then; open standards."""
ROW = re.compile(r"[\s\"]*[+-]?[\d.,]+(?:[eE][+-]?\d+)?[\s\"]*(?:[,;|\t ][\s\"]*[\d.,+\-eE\"]*\s*)*")
ENOUGH = 0.8
"""Share of the later lines that must be numbers."""
TEXT_ONLY = re.compile(rb"[^\x00-\x08\x0e-\x1a\x1c-\x1f]*")


def samples_form(head: bytes) -> str | None:
    """What the samples in a file stand in, None where it does not look like samples."""
    for at, magic, form in FORMS:
        if head[at : at + len(magic)] == magic:
            return form
    if TEXT_ONLY.fullmatch(head) and _is_columns(head.removeprefix(b"\xef\xbb\xbf").decode("latin-1")):
        return "columns of numbers"
    return None


def _is_columns(text: str) -> bool:
    """Whether nearly all later lines are rows of numbers, each longer than one sign."""
    lines = [line for line in text.splitlines() if line.strip()]
    if len(lines) > 2:
        lines = lines[len(lines) // 2 : -1]
    rows = [line for line in lines if len(line) < 4000 and ROW.fullmatch(line)]
    return bool(lines) and len(rows) >= ENOUGH * len(lines)
