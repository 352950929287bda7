"""Room for rows of samples: in memory while they are few, else in files that vanish when nobody uses them."""

import tempfile
from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

IN_MEMORY = 256 << 20
"""Bytes of one row above which it lies in a file of the system's temporary folder, and is mapped."""
AT_ONCE = 1 << 20
"""Values that are moved at a time."""


def room(count: int, kind: np.dtype[Any]) -> NDArray[Any]:
    """Zeros for so many values of a kind."""
    if kind.itemsize * count <= IN_MEMORY:
        return np.zeros(count, dtype=kind)
    with tempfile.TemporaryFile(prefix="gapwright-") as stream:
        return np.memmap(stream, dtype=kind, mode="w+", shape=(count,))


def filled(pieces: Iterable[NDArray[Any]], count: int, kind: np.dtype[Any]) -> NDArray[Any]:
    """A row of so many values out of pieces that hold as many, or more."""
    row, done = room(count, kind), 0
    for piece in pieces:
        row[done : done + piece.size] = piece[: count - done]
        done += piece.size
    return row


def in_pieces(values: NDArray[Any]) -> Iterable[NDArray[Any]]:
    """A row a piece at a time."""
    return (values[first : first + AT_ONCE] for first in range(0, values.size, AT_ONCE))


def laid_out(values: NDArray[Any], kind: np.dtype[Any]) -> NDArray[Any]:
    """A row as one piece of memory of a kind: as it lies where it does, else moved a piece at a time."""
    if values.dtype == kind and values.dtype.isnative and values.flags.c_contiguous:
        return np.asarray(values)
    return filled(in_pieces(values), values.size, kind)
