"""Progress on stderr: one line that is written over, only where a person watches."""

import sys

FIRST = "first look"


class Line:
    """One line of progress; silent without a terminal or when asked to be."""

    def __init__(self, *, quiet: bool) -> None:
        self.quiet = quiet
        self.seen = not quiet and sys.stderr.isatty()
        self.written = 0

    def __call__(self, done: int, total: int, what: str) -> bool:
        """Show how far it is; never asks to stop. A first look stays on its own line."""
        if what.startswith(FIRST) and not self.quiet:
            self.clear()
            sys.stderr.write(what + "\n")
            sys.stderr.flush()
        elif self.seen:
            text = f"{what}: {done} of {total}"
            sys.stderr.write("\r" + text.ljust(self.written))
            sys.stderr.flush()
            self.written = len(text)
        return True

    def clear(self) -> None:
        """Take the line away."""
        if self.seen and self.written:
            sys.stderr.write("\r" + " " * self.written + "\r")
            sys.stderr.flush()
            self.written = 0
