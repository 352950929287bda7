"""Spark records as a table for other programs: CSV or Parquet."""

import io

from gapwright.base.errors import InputRefused
from gapwright.capture.sparks import SparkTable
from gapwright.shell.files import require_writable, write_whole

ENDINGS = (".csv", ".parquet")


def require_table_place(place: str) -> None:
    """Refuse a place where no table can be written.

    Raises
    ------
    InputRefused
        If its name ends in neither .csv nor .parquet, or nothing can be written there.
    """
    if not place.lower().endswith(ENDINGS):
        raise InputRefused(f"a table of sparks must be named .csv or .parquet, got {place!r}")
    require_writable(place)


def write_table(place: str, sparks: SparkTable) -> None:
    """Write every spark as a row, whole or not at all.

    Raises
    ------
    InputRefused
        If nothing can be written there.
    StoreFault
        If writing fails.
    """
    import polars as pl

    require_table_place(place)
    table = pl.DataFrame(sparks.columns()).fill_nan(None)
    stream = io.BytesIO()
    if place.lower().endswith(".csv"):
        table.write_csv(stream)
    else:
        table.write_parquet(stream, compression="zstd")
    write_whole(place, stream.getvalue())
