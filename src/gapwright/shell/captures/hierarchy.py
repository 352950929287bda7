"""Reader of HDF5 files: every row of numbers is a channel; attributes say unit, scale and rate.

The library reads in a process of its own, since a broken file can stop it for good.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from gapwright.base.errors import InputRefused
from gapwright.capture.recording import Recording
from gapwright.capture.wishes import FileWish
from gapwright.shell.captures.arrays import columns_of, stated_rate
from gapwright.shell.captures.columns import Named, Stated, columns_recording

CHILD = "gapwright.shell.captures.hierarchy_child"
PATIENCE_S = 8.0
BYTES_IN_A_SECOND = 20e6
"""Slowest unpacking that is waited for."""
SCALES = ("scale", "scale_factor", "gain")
OFFSETS = ("offset", "add_offset")
UNITS = ("unit", "units")


def hdf5_recording(place: str, path: Path, wish: FileWish) -> Recording:
    """Recording in the datasets of an HDF5 file that are as long as the longest.

    Raises
    ------
    InputRefused
        If it is broken, or unpacks to far more than its size.
    """
    with tempfile.TemporaryDirectory(prefix="gapwright-", ignore_cleanup_errors=True) as folder:
        _extract(place, path, Path(folder))
        told = json.loads((Path(folder) / "list.json").read_text(encoding="utf-8"))
        columns = [
            named
            for k, each in enumerate(told["datasets"])
            for named in _columns(place, np.load(Path(folder) / f"{k}.npy", mmap_mode="r"), each)
        ]
        numbers: dict[str, Any] = {}
        for each in [*told["datasets"], *told["wider"]]:
            numbers = {**each["numbers"], **numbers}
        stated = Stated(form="HDF5", rate=stated_rate(place, numbers))
        return columns_recording(place, columns, stated, wish)


def _extract(place: str, path: Path, folder: Path) -> None:
    """Have the other process write the arrays of the file into a folder."""
    patience = PATIENCE_S + path.stat().st_size / BYTES_IN_A_SECOND
    try:
        done = subprocess.run(
            [sys.executable, "-m", CHILD, str(path.resolve()), str(folder)],
            capture_output=True,
            text=True,
            errors="replace",
            timeout=patience,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise InputRefused(
            f"{place!r} must be a whole HDF5 file, got one that could not be read in {patience:.0f} s"
        ) from None
    if done.returncode != 0:
        said = done.stderr.strip().splitlines()
        reason = said[-1][:160] if said and done.returncode == 2 else "one at which the library gave up"
        raise InputRefused(f"{place!r} must be a whole HDF5 file, but {reason}")


def _columns(place: str, values: Any, told: dict[str, Any]) -> list[Named]:
    """Channels of one dataset with its unit, scale and offset."""
    numbers, texts = told["numbers"], told["texts"]
    unit = next((texts[key] for key in UNITS if key in texts), "")
    scale = next((numbers[key] for key in SCALES if key in numbers), 1.0)
    offset = next((numbers[key] for key in OFFSETS if key in numbers), 0.0)
    return [
        Named(name=each.name, values=each.values, unit=unit, scale=scale, offset=offset)
        for each in columns_of(place, told["name"], values)
    ]
