"""The tree of deliberate errors."""

import inspect

import pytest

from gapwright.base import errors
from gapwright.base.errors import GapwrightError

CLASSES = [
    member
    for _, member in inspect.getmembers(errors, inspect.isclass)
    if member.__module__ == errors.__name__
]


@pytest.mark.parametrize("error", CLASSES)
def test_one_root(error: type[Exception]) -> None:
    assert issubclass(error, GapwrightError)


@pytest.mark.parametrize("error", CLASSES)
def test_the_drawn_tree_names_it_and_it_says_what_it_is(error: type[Exception]) -> None:
    assert error.__name__ in (errors.__doc__ or "")
    assert error.__doc__


@pytest.mark.parametrize("error", [error for error in CLASSES if error is not GapwrightError])
def test_siblings_do_not_catch_each_other(error: type[Exception]) -> None:
    assert error.__bases__ == (GapwrightError,)


def test_message_is_kept() -> None:
    with pytest.raises(GapwrightError, match="^depth must be above 0 m$"):
        raise errors.InputRefused("depth must be above 0 m")
