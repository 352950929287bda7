"""Every spark of a drilling, kept compactly column by column."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gapwright.base.units import CubicMetres, Joules, Metres, Seconds
from gapwright.study.drilling.records_kept import SPARK_COLUMNS, SURFACES, WAYS, Surface
from gapwright.study.grounds import _drilling_state as state

Column = NDArray[Any]

WORDS: Mapping[str, tuple[str, ...]] = {"class": state.CLASSES, "surface": SURFACES, "way": WAYS}
"""Columns that hold a word, by the number of the word."""

WIDTHS = dict.fromkeys(SPARK_COLUMNS, np.float32) | {
    "time_s": np.float64,
    "batch": np.uint16,
    **dict.fromkeys(WORDS, np.uint8),
}
"""How wide each column is kept: seven digits do for all but the clock."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SparkTable:
    """Every spark of one drilling, in order of time; SI numbers, each row for `batch` sparks."""

    column: Mapping[str, Column]

    def __len__(self) -> int:
        """Rows that there are."""
        return len(self.column["time_s"])

    @property
    def count(self) -> int:
        """Sparks that the rows stand for."""
        return int(self._batch.sum())

    @property
    def volume(self) -> CubicMetres:
        """Metal that all of them took from the workpiece."""
        return float(np.dot(self.column["volume_m3"].astype(np.float64), self._batch))

    @property
    def energy(self) -> Joules:
        """Energy of all of them in the gap."""
        return float(np.dot(self.column["energy_j"].astype(np.float64), self._batch))

    @property
    def last(self) -> Seconds:
        """When the last one ignited; 0 without any."""
        return float(self.column["time_s"][-1]) if len(self) else 0.0

    @property
    def _batch(self) -> NDArray[np.float64]:
        return self.column["batch"].astype(np.float64)


class SparkLog:
    """Takes every spark of a drilling as it goes on."""

    def __init__(self) -> None:
        """Begin with none."""
        self._parts: dict[str, list[Column]] = {name: [] for name in SPARK_COLUMNS}

    def sparks(self, rows: NDArray[np.float64]) -> None:
        """Take rows about sparks."""
        for place, name in enumerate(SPARK_COLUMNS):
            self._parts[name].append(rows[:, place].astype(WIDTHS[name]))

    def ticks(self, rows: NDArray[np.float64]) -> None:
        """Leave ticks to others."""

    def shape(self, depth: Metres, work: Surface, tool: Surface) -> None:
        """Leave shapes to others."""

    def table(self) -> SparkTable:
        """All that was taken so far."""
        return SparkTable(
            column={
                name: np.concatenate(parts) if parts else np.zeros(0, dtype=WIDTHS[name])
                for name, parts in self._parts.items()
            }
        )
