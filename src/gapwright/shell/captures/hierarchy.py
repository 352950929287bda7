"""Reader of HDF5 files: every row of numbers is a channel; attributes say unit, scale and rate."""

from pathlib import Path
from typing import Any

import numpy as np

from gapwright.base.errors import InputRefused
from gapwright.capture.recording import Recording
from gapwright.capture.wishes import FileWish
from gapwright.shell.captures.arrays import stated_rate
from gapwright.shell.captures.columns import MOST_CHANNELS, Named, Stated, columns_recording
from gapwright.shell.captures.container import require_room

SCALES = ("scale", "scale_factor", "gain")
OFFSETS = ("offset", "add_offset")
UNITS = ("unit", "units")
MOST_ITEMS = 10_000


def hdf5_recording(place: str, path: Path, wish: FileWish) -> Recording:
    """Recording in the datasets of an HDF5 file that are as long as the longest.

    Raises
    ------
    InputRefused
        If it is broken, reaches out to other files, or unpacks to far more than its size.
    """
    import h5py

    try:
        with h5py.File(path, "r") as file:
            found = _datasets(place, file)
            require_room(place, path.stat().st_size, sum(each.nbytes for each in found.values()))
            attributes = {**_numbers(file.attrs)}
            for dataset in found.values():
                attributes = {**_numbers(dataset.parent.attrs), **_numbers(dataset.attrs), **attributes}
            columns = [named for name, each in found.items() for named in _columns(name, each)]
    except InputRefused:
        raise
    except Exception as error:  # noqa: BLE001 - the library raises whatever comes on broken files
        raise InputRefused(
            f"{place!r} must be a whole HDF5 file, got {' '.join(f'{error}'.split())[:120]}"
        ) from None
    return columns_recording(place, columns, Stated(form="HDF5", rate=stated_rate(place, attributes)), wish)


def _datasets(place: str, file: Any) -> dict[str, Any]:
    """Datasets of numbers in one or two dimensions, by their path; the longest and those as long."""
    import h5py

    found: dict[str, Any] = {}
    waiting, seen = [("", file)], 0
    while waiting:
        path, group = waiting.pop(0)
        for name in group:
            seen += 1
            if seen > MOST_ITEMS:
                raise InputRefused(f"{place!r} must hold at most {MOST_ITEMS} items, got more")
            if not isinstance(group.get(name, getlink=True), h5py.HardLink):
                continue
            item = group[name]
            if isinstance(item, h5py.Group) and path.count("/") < 8:
                waiting.append((f"{path}{name}/", item))
            elif _is_row(item):
                found[f"{path}{name}"] = item
    if not found:
        raise InputRefused(f"{place!r} must hold a dataset of numbers, got none")
    longest = max(max(each.shape) for each in found.values())
    return {name: each for name, each in found.items() if max(each.shape) == longest}


def _is_row(item: Any) -> bool:
    import h5py

    return (
        isinstance(item, h5py.Dataset)
        and item.dtype.kind in "iuf"
        and item.ndim in {1, 2}
        and item.size > 0
        and (item.ndim == 1 or min(item.shape) <= MOST_CHANNELS)
        and item.external is None
        and not item.is_virtual
    )


def _columns(name: str, dataset: Any) -> list[Named]:
    values = np.asarray(dataset[()])
    told = dataset.attrs
    unit = next((_text(told[key]) for key in UNITS if key in told), "")
    numbers = _numbers(told)
    scale = next((numbers[key] for key in SCALES if key in numbers), 1.0)
    offset = next((numbers[key] for key in OFFSETS if key in numbers), 0.0)
    if values.ndim == 1:
        return [Named(name=name, values=values, unit=unit, scale=scale, offset=offset)]
    rows = values if values.shape[0] <= values.shape[1] else values.T
    return [
        Named(name=f"{name} {k}", values=row, unit=unit, scale=scale, offset=offset)
        for k, row in enumerate(rows, 1)
    ]


def _numbers(attributes: Any) -> dict[str, float]:
    """Attributes that are one number."""
    found = {}
    for key in attributes:
        value = np.asarray(attributes[key])
        if value.dtype.kind in "iuf" and value.size == 1:
            found[str(key)] = float(value.ravel()[0])
    return found


def _text(value: Any) -> str:
    return value.decode("utf-8", errors="replace") if isinstance(value, bytes) else str(value)
