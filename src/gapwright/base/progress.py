"""Progress of long work, told to whoever listens; and the wish to stop it."""

from typing import Protocol

from gapwright.base.errors import GapwrightError


class Stopped(GapwrightError):
    """The listener asked to stop."""


class Progress(Protocol):
    """Hears how far a piece of work is, and says whether to go on."""

    def __call__(self, done: int, total: int, what: str) -> bool:
        """Tell that `done` of `total` steps of `what` are finished; False asks to stop."""
        ...


def silent(done: int, total: int, what: str) -> bool:  # noqa: ARG001 - the shape of Progress
    """Listen to nothing and never ask to stop."""
    return True


def tell(progress: Progress, done: int, total: int, what: str) -> None:
    """Tell a listener how far it is, and stop if it asks to.

    Raises
    ------
    Stopped
        If it does.
    """
    if not progress(done, total, what):
        raise Stopped("stopped as asked")
