"""The tree of deliberate errors.

::

    GapwrightError
    ├── InputRefused    what the user gave cannot be used (exit code 2)
    ├── FactMissing     a table has no such row or property
    ├── OutOfRange      a law was asked outside what it can answer
    ├── BalanceFault    an energy account does not close (a fault of ours)
    ├── LinkFault       the rig on the other side of a link
    └── StoreFault      a file or folder could not be read or written

Every message says what was wrong, the rule, what was got and what to do.
Faces print it as one line; any other exception is a bug.
"""


class GapwrightError(Exception):
    """Root of every error raised on purpose."""


class InputRefused(GapwrightError):
    """A value, file or option of the user breaks a stated rule."""


class FactMissing(GapwrightError):
    """A table was asked for a row or property that it does not hold."""


class OutOfRange(GapwrightError):
    """A law was asked outside the range in which it has an answer."""


class BalanceFault(GapwrightError):
    """An energy account does not close within its stated tolerance."""


class LinkFault(GapwrightError):
    """The rig at the other end of a link did not do what was agreed."""


class StoreFault(GapwrightError):
    """A file or folder could not be read or written."""
