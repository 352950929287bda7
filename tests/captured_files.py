"""Files of captures for tests, written as a recorder would."""

import io
from functools import cache

import numpy as np
import polars as pl

from tests.made_captures import captured


@cache
def text_capture(count: int = 200, name: str = "resistor") -> bytes:
    """A capture with known sparks as columns of text."""
    made = captured(name, "twelve bits", count=count)
    columns = {
        "Time (s)": np.arange(made.count) / made.rate,
        "Gap (V)": made.volts(),
        "Loop (A)": made.amperes(),
    }
    stream = io.BytesIO()
    pl.DataFrame(columns).write_csv(stream, float_precision=7)
    return stream.getvalue()
