"""Keeps a server lean: memory that is free goes back to the system, where its library allows it."""

import contextlib
import ctypes
import sys

MOST_ARENAS = -8
"""Number of the setting for how many heaps threads may have."""
ARENAS = 2


def keep_lean() -> None:
    """Have all threads share two heaps: each heap of its own keeps what it once needed."""
    if sys.platform == "linux":
        with contextlib.suppress(OSError, AttributeError):
            ctypes.CDLL(None).mallopt(MOST_ARENAS, ARENAS)


def give_back() -> None:
    """Give free memory back to the system."""
    if sys.platform == "linux":
        with contextlib.suppress(OSError, AttributeError):
            ctypes.CDLL(None).malloc_trim(0)
