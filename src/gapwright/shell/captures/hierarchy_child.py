"""Takes the rows of numbers out of an HDF5 file, in a process of its own: a broken file may stop the library.

``python -m gapwright.shell.captures.hierarchy_child FILE FOLDER`` writes an
array for each dataset into the folder, and a list of them with their attributes.
"""

import json
import sys
from pathlib import Path
from typing import Any

import h5py
import numpy as np

from gapwright.base.errors import InputRefused
from gapwright.shell.captures.columns import MOST_CHANNELS
from gapwright.shell.captures.container import one_line, require_room
from gapwright.shell.captures.rooms import AT_ONCE

LIST = "list.json"
MOST_ITEMS = 10_000
DEEPEST = 8
REFUSED = 2


def extract(path: Path, folder: Path) -> None:
    """Write the datasets that are as long as the longest.

    Raises
    ------
    InputRefused
        If there are none, or they unpack to far more than the file's size.
    """
    with h5py.File(path, "r") as file:
        found = datasets(file)
        require_room("it", path.stat().st_size, sum(each.nbytes for each in found.values()))
        told = []
        for k, (name, dataset) in enumerate(found.items()):
            copy(dataset, folder / f"{k}.npy")
            told.append({"name": name, **attributes(dataset.attrs)})
        wider = [attributes(file.attrs), *(attributes(each.parent.attrs) for each in found.values())]
    (folder / LIST).write_text(json.dumps({"datasets": told, "wider": wider}), encoding="utf-8")


def copy(dataset: Any, place: Path) -> None:
    """Write a dataset as an array, a piece at a time along its longer side."""
    into = np.lib.format.open_memmap(place, "w+", dataset.dtype.newbyteorder("="), dataset.shape)
    across = dataset.ndim == 2 and dataset.shape[1] > dataset.shape[0]
    for first in range(0, max(dataset.shape), AT_ONCE):
        piece = slice(first, first + AT_ONCE)
        which = (slice(None), piece) if across else piece
        into[which] = dataset[which]
    into.flush()


def datasets(file: Any) -> dict[str, Any]:
    """Datasets of numbers in one or two dimensions, by their path; the longest and those as long."""
    found: dict[str, Any] = {}
    waiting, seen = [("", file)], 0
    while waiting:
        path, group = waiting.pop(0)
        for name in group:
            seen += 1
            if seen > MOST_ITEMS:
                raise InputRefused(f"it must hold at most {MOST_ITEMS} items, got more")
            if not isinstance(group.get(name, getlink=True), h5py.HardLink):
                continue
            item = group[name]
            if isinstance(item, h5py.Group) and path.count("/") < DEEPEST:
                waiting.append((f"{path}{name}/", item))
            elif is_row(item):
                found[f"{path}{name}"] = item
    if not found:
        raise InputRefused("it must hold a dataset of numbers, got none")
    longest = max(max(each.shape) for each in found.values())
    return {name: each for name, each in found.items() if max(each.shape) == longest}


def is_row(item: Any) -> bool:
    """Whether an item is a dataset of numbers within this file, of one row or a few."""
    return (
        isinstance(item, h5py.Dataset)
        and item.dtype.kind in "iuf"
        and item.ndim in {1, 2}
        and item.size > 0
        and (item.ndim == 1 or min(item.shape) <= MOST_CHANNELS)
        and item.external is None
        and not item.is_virtual
    )


def attributes(held: Any) -> dict[str, Any]:
    """Attributes that are one number or a short text."""
    found: dict[str, Any] = {"numbers": {}, "texts": {}}
    for key in held:
        value = held[key]
        array = np.asarray(value)
        if array.dtype.kind in "iuf" and array.size == 1:
            found["numbers"][str(key)] = float(array.ravel()[0])
        elif isinstance(value, bytes | str):
            text = value.decode("utf-8", errors="replace") if isinstance(value, bytes) else value
            found["texts"][str(key)] = text[:80]
    return found


def main() -> int:
    """Extract; one line on stderr where that cannot be done."""
    try:
        extract(Path(sys.argv[1]), Path(sys.argv[2]))
    except Exception as error:  # noqa: BLE001 - the library raises whatever comes on broken files
        sys.stderr.write(one_line(error))
        return REFUSED
    return 0


if __name__ == "__main__":
    sys.exit(main())
