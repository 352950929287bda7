"""What the verbs need from the world, one verb per port."""

from collections.abc import Callable, Sequence
from typing import Any, Protocol


class TextSource(Protocol):
    """Gives the text of a file the user named."""

    def __call__(self, place: str) -> str:
        """Text at `place`; raises InputRefused if it cannot be had."""
        ...


class Spread(Protocol):
    """Runs one function over many items, perhaps on several cores, and keeps their order."""

    def __call__(self, function: Callable[[Any], Any], items: Sequence[Any]) -> list[Any]:
        """Answers of `function` for each of `items`, in order."""
        ...


def one_after_another(function: Callable[[Any], Any], items: Sequence[Any]) -> list[Any]:
    """Answers of `function` for each of `items`, on one core."""
    return [function(item) for item in items]
