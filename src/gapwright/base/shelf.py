"""A shelf that keeps the latest few of something; several threads may use it."""

from collections import OrderedDict
from collections.abc import Hashable
from threading import Lock
from typing import Generic, TypeVar

K = TypeVar("K", bound=Hashable)
V = TypeVar("V")


class Shelf(Generic[K, V]):
    """The latest few of something, by key; the one not asked for longest goes first."""

    def __init__(self, most: int) -> None:
        self._most, self._kept, self._lock = most, OrderedDict[K, V](), Lock()

    def get(self, key: K) -> V | None:
        """What is kept under a key, None if it is not."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def put(self, key: K, value: V) -> None:
        """Keep something."""
        with self._lock:
            self._kept[key] = value
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
