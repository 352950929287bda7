"""Progress of long work, told to whoever listens; and the wish to stop it."""

from typing import Protocol


class Progress(Protocol):
    """Hears how far a piece of work is, and says whether to go on."""

    def __call__(self, done: int, total: int, what: str) -> bool:
        """Tell that `done` of `total` steps of `what` are finished; False asks to stop."""
        ...


def silent(done: int, total: int, what: str) -> bool:  # noqa: ARG001 - the shape of Progress
    """Listen to nothing and never ask to stop."""
    return True
