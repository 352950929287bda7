"""Hardness of carbon and alloy steels in other scales, by Rockwell C."""

from collections.abc import Mapping

from gapwright.base.errors import FactMissing
from gapwright.base.source import Fact, Status
from gapwright.facts._reading import Record, data

UNITS: Mapping[str, str] = {"vickers": "HV", "brinell": "HB", "rockwell_a": "HRA", "tensile_strength": "Pa"}
"""Columns of the table and their units."""


def rockwell_c_rows() -> tuple[int, ...]:
    """Rockwell C numbers of the table, hardest first."""
    return tuple(int(number) for number in data("hardness")["hrc"])


def scales_at(rockwell_c: int) -> tuple[str, ...]:
    """Scales in which the table gives a figure for this Rockwell C number.

    Raises
    ------
    FactMissing
        If the table has no such row.
    """
    return tuple(_row(rockwell_c))


def _row(rockwell_c: int) -> Record:
    """Row of the table for a Rockwell C number."""
    table: Record = data("hardness")["hrc"]
    if str(rockwell_c) not in table:
        rows = rockwell_c_rows()
        raise FactMissing(
            f"a Rockwell C number must be a whole number from {min(rows)} to {max(rows)}, got {rockwell_c}"
        )
    row: Record = table[str(rockwell_c)]
    return row


def hardness(rockwell_c: int, scale: str) -> Fact:
    """Hardness of a steel of this Rockwell C number in another scale, from the row of the table.

    `scale` is `vickers`, `brinell`, `rockwell_a` or `tensile_strength` [Pa].
    Rows are not interpolated, and conversions are not to be chained.

    Raises
    ------
    FactMissing
        If the table has no such row or scale, or no figure in that place.

    Examples
    --------
    >>> hardness(60, "vickers").value
    697.0
    """
    table = data("hardness")
    row = _row(rockwell_c)
    if scale not in row:
        raise FactMissing(f"at {rockwell_c} HRC the table gives {', '.join(row)}, got {scale!r}")
    return Fact(
        value=float(row[scale]),
        unit=UNITS[scale],
        source=table["source"],
        status=Status(table["status"]),
        at=f"{rockwell_c} HRC",
        note=table["note"],
    )
