"""What a client sends about captures, and what it is sent in one piece: columns packed one after another."""

import json
import struct
from typing import Annotated, Any

import numpy as np
from fastapi import Path, Query
from pydantic import Field, StringConstraints

from gapwright.app.capture_form import QUESTIONS
from gapwright.app.capture_views import MOST_COLUMNS
from gapwright.app.capture_window import Packed
from gapwright.web.calls import Call, Chosen

CAPTURE_NAME = r"^[A-Za-z0-9_-]{1,64}(\.[A-Za-z0-9]{1,8}){0,2}$"
LATEST = 1e9
PACKED = "application/vnd.gapwright.columns"
"""Media type of packed columns."""

CaptureName = Annotated[str, StringConstraints(pattern=CAPTURE_NAME, max_length=90)]
CapturePath = Annotated[str, Path(pattern=CAPTURE_NAME, max_length=90, description="Name of a capture.")]
ReadingName = Annotated[str, Path(pattern=r"^[a-f0-9]{24}$", description="Name of a reading.")]
Time = Annotated[float, Query(ge=0, le=LATEST, allow_inf_nan=False, description="In seconds.")]
Columns = Annotated[int, Query(ge=1, le=MOST_COLUMNS)]
Classes = Annotated[
    str, Query(max_length=120, description="Classes with commas between; all where none is named.")
]
MeterText = Annotated[str, StringConstraints(max_length=60)]

Said = Annotated[
    dict[str, Annotated[str, StringConstraints(max_length=200)]],
    Field(
        max_length=60,
        description="What is said of the capture, as texts by name.",
        json_schema_extra={"propertyNames": {"enum": list(QUESTIONS)}},
    ),
]


class MeterTexts(Call):
    """What meters showed meanwhile and how sure they are, as texts; empty where nothing was said."""

    supply_voltage: MeterText = ""
    supply_current: MeterText = ""
    socket_power: MeterText = ""
    auxiliary_power: MeterText = ""
    supply_voltage_uncertainty: MeterText = ""
    supply_current_uncertainty: MeterText = ""
    socket_power_uncertainty: MeterText = ""
    voltage_gain_uncertainty: MeterText = ""
    current_gain_uncertainty: MeterText = ""
    capacitance_uncertainty: MeterText = ""
    supply: Annotated[str, StringConstraints(pattern=f"^$|{CAPTURE_NAME}", max_length=90)] = ""
    """Name of a capture of the supply's voltage and current, in place of its meters."""


class LedgerTexts(MeterTexts):
    """What meters showed, and the forecast to stand beside, if any."""

    answer: Annotated[str, StringConstraints(pattern=r"^([a-f0-9]{24}(-[0-9]{1,5})?)?$")] = ""


class SaidCall(Call):
    """What is said of a capture."""

    said: Said = Field(default_factory=dict)


class KeepWordsCall(SaidCall):
    """What is said of a capture, whole, and the mark of the side-car that was looked at."""

    etag: Annotated[str, StringConstraints(pattern=r"^([a-f0-9]{24})?$")] = ""


class ReadingCall(Call):
    """Files of one run, what is said of them, and the rig that was recorded.

    An empty text says that nothing is said, whatever a side-car says.
    """

    files: Annotated[list[CaptureName], Field(min_length=1, max_length=64)]
    said: Said = Field(default_factory=dict)
    rig: Chosen | None = None


class SetupCall(Call):
    """A rig to hook a recorder up to."""

    rig: Chosen


class MadeCall(Call):
    """A rig and a job whose simulated drilling is recorded."""

    rig: Chosen
    job: Chosen


def packed(columns: Packed, told: dict[str, Any]) -> bytes:
    """Columns in one piece, each at a multiple of eight bytes.

    First the length of the heading as a little-endian 32-bit number, then the
    heading as JSON padded with blanks: `columns` with name, type (``f4`` or
    ``f8``, little-endian), count and place of each from the end of the
    heading, and `told` beside.
    """
    place, pieces, heads = 0, [], []
    for name, values in columns.items():
        kind = "f4" if values.dtype == np.float32 else "f8"
        plain = np.ascontiguousarray(values, dtype=f"<{kind}").tobytes()
        heads.append({"name": name, "type": kind, "count": int(values.size), "at": place})
        pieces.append(plain + b"\0" * (-len(plain) % 8))
        place += len(pieces[-1])
    heading = json.dumps({"columns": heads, **told}).encode()
    heading += b" " * (-(len(heading) + 4) % 8)
    return struct.pack("<I", len(heading)) + heading + b"".join(pieces)


def described_packed() -> dict[int | str, dict[str, Any]]:
    """What a call that gives packed columns says of its answer."""
    content = {PACKED: {"schema": {"type": "string", "format": "binary"}}}
    return {200: {"description": "Columns, packed.", "content": content}}


def class_names(classes: str) -> frozenset[str]:
    """Classes of a list with commas."""
    return frozenset(name.strip() for name in classes.split(",") if name.strip())
