"""Tables as files for other programs: CSV and Parquet."""

import csv
import io

from gapwright.app.ports import Cell, Columns


def as_csv(columns: Columns) -> bytes:
    """Table as CSV in UTF-8, decimal points, one heading line; nothing where there is no value."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow([_plain(name) for name in columns])
    writer.writerows([_plain(cell) for cell in row] for row in zip(*columns.values(), strict=True))
    return stream.getvalue().encode("utf-8")


def _plain(cell: Cell) -> Cell:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in "=+-@\t\r" and cell else cell


def as_parquet(columns: Columns) -> bytes:
    """Table as Parquet."""
    import polars

    stream = io.BytesIO()
    frame = polars.DataFrame({name: list(cells) for name, cells in columns.items()}, strict=False)
    frame.write_parquet(stream, compression="zstd")
    return stream.getvalue()
