"""What the verbs need from the world, one verb per port."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

Cell = str | float | int | bool | None
Columns = Mapping[str, Sequence[Cell]]
"""A table: columns by name; names of numbers end in their SI unit."""


class TextSource(Protocol):
    """Gives the text of a file the user named."""

    def __call__(self, place: str) -> str:
        """Text at `place`; raises InputRefused if it cannot be had."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Doorway:
    """Where the bench is asked to be reached, the token calls must carry, and whether a browser opens."""

    port: int
    address: str
    token: str
    browser: bool


class ServeBench(Protocol):
    """Serves the page over a folder, or over the demonstration, until it is interrupted."""

    def __call__(self, folder: str | None, where: Doorway, *, say: Callable[[str], None]) -> None:
        """Serve; `say` hears the address once it can be opened."""
        ...


class Spread(Protocol):
    """Runs one function over many items, perhaps on several cores, and keeps their order."""

    def __call__(self, function: Callable[[Any], Any], items: Sequence[Any]) -> list[Any]:
        """Answers of `function` for each of `items`, in order."""
        ...


class Crew(Protocol):
    """Runs one function over many items in any order and place, and tells each answer as it comes."""

    def __call__(
        self, function: Callable[..., Any], items: Sequence[Any], done: Callable[[int, Any], bool]
    ) -> bool:
        """Call `done` with place and answer of each item, here; False if `done` asked to stop."""
        ...


class PointStore(Protocol):
    """Keeps finished points of sweeps by the names of their tasks."""

    def load(self, names: Sequence[str]) -> dict[str, tuple[dict[str, float | None], str | None]]:
        """Answers that are kept under these names."""
        ...

    def keep(self, name: str, answer: tuple[dict[str, float | None], str | None]) -> None:
        """Keep one answer for good."""
        ...


def in_turn(function: Callable[..., Any], items: Sequence[Any], done: Callable[[int, Any], bool]) -> bool:
    """Run a function over items one by one, here: the smallest crew."""
    return all(done(index, function(item)) for index, item in enumerate(items))


def one_after_another(function: Callable[[Any], Any], items: Sequence[Any]) -> list[Any]:
    """Answers of `function` for each of `items`, on one core."""
    return [function(item) for item in items]
