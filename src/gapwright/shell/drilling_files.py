"""Files of what was kept of a drilling: every spark, and both bodies at chosen depths, a capture."""

import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gapwright.app.documents import as_json
from gapwright.app.records import points_of
from gapwright.base.errors import InputRefused
from gapwright.capture.waveform import Capture
from gapwright.shell.files import require_writable, write_whole
from gapwright.study.drilling.shapes_at_depth import Shapes
from gapwright.study.drilling.spark_log import WORDS, SparkTable
from gapwright.study.grounds.outcome import Forecast

SHAPES = (".json", ".parquet", ".svg", ".png")
CAPTURES = (".csv", ".parquet", "")


def require_sparks_place(place: str) -> None:
    """Refuse a place where no table of sparks can be written.

    Raises
    ------
    InputRefused
        If its name does not end in .parquet, or nothing can be written there.
    """
    if not place.lower().endswith(".parquet"):
        raise InputRefused(f"a table of every spark must be named .parquet, got {place!r}")
    require_writable(place)


def require_shapes_place(place: str) -> None:
    """Refuse a place where no shapes can be written.

    Raises
    ------
    InputRefused
        If the kind of its name is none that shapes are written in, or nothing can be written there.
    """
    if not place.lower().endswith(SHAPES):
        raise InputRefused(f"a file of shapes must be named {', '.join(SHAPES)}, got {place!r}")
    require_writable(place)


def write_every_spark(place: str, sparks: SparkTable, forecast: Forecast) -> None:
    """Write every spark of a drilling as a row, whole or not at all.

    Raises
    ------
    InputRefused
        If nothing can be written there.
    StoreFault
        If writing fails.
    """
    notes = {"rig": forecast.rig, "job": forecast.job, "seed": str(forecast.seed)}
    write_whole(place, parquet(sparks.column, notes))


def write_shapes(place: str, shapes: Shapes) -> None:
    """Write shapes as JSON, as a table, or drawn, by the ending of the name.

    Raises
    ------
    InputRefused
        If nothing can be written there.
    StoreFault
        If writing fails.
    """
    kind = place.lower()
    if kind.endswith(".json"):
        write_whole(place, as_json(shapes) + "\n")
    elif kind.endswith(".parquet"):
        notes = {"rig": shapes.rig, "job": shapes.job, "seed": str(shapes.seed)}
        write_whole(place, parquet(points_of(shapes), notes))
    else:
        from gapwright.shell.figures.canvas import WIDE, figure_bytes
        from gapwright.shell.figures.shapes import sections_at_depths

        write_whole(place, figure_bytes(sections_at_depths(shapes, WIDE), place))


def require_capture_place(place: str) -> None:
    """Refuse a place where no capture can be written.

    Raises
    ------
    InputRefused
        If its name has an ending of another kind, or nothing can be written there.
    """
    ending = Path(place).suffix.lower()
    if ending not in CAPTURES:
        raise InputRefused(
            f"a capture must be named .csv or .parquet, or have no ending for a folder, got {place!r}"
        )
    if not ending and Path(place).exists():
        raise InputRefused(f"{place!r} exists already and is not overwritten; give another folder")
    require_writable(place)


def write_capture(place: str, capture: Capture) -> None:
    """Write a capture as text, as a table, or in the form in which measured ones are kept.

    Raises
    ------
    InputRefused
        If nothing can be written there.
    StoreFault
        If writing fails.
    """
    require_capture_place(place)
    if not Path(place).suffix:
        from gapwright.shell.captures.kept import keep

        keep(capture, place, sources=())
        return
    import polars as pl

    amperes = {} if capture.current is None else {"current [A]": capture.amperes()}
    times = np.arange(capture.count) / capture.rate
    table = pl.DataFrame({"time [s]": times, "voltage [V]": capture.volts(), **amperes})
    stream = io.BytesIO()
    if place.lower().endswith(".csv"):
        table.write_csv(stream, float_precision=9)
    else:
        table.write_parquet(stream, compression="zstd")
    write_whole(place, stream.getvalue())


def parquet(columns: Mapping[str, NDArray[Any]], notes: dict[str, str]) -> bytes:
    """Columns as a Parquet file: words in place of their numbers, and nothing in place of NaN."""
    import polars as pl

    series = [
        pl.Series(name, values).cat.to(pl.Enum(WORDS[name])) if name in WORDS else pl.Series(name, values)
        for name, values in columns.items()
    ]
    stream = io.BytesIO()
    pl.DataFrame(series).fill_nan(None).write_parquet(stream, compression="zstd", metadata=notes)
    return stream.getvalue()
