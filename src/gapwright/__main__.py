"""Start of the command line, which is also where it meets the page."""

import sys
from collections.abc import Callable

from gapwright.app.ports import Doorway
from gapwright.cli.main import run


def serve_bench(folder: str | None, where: Doorway, *, say: Callable[[str], None]) -> None:
    """Serve the page; its server is loaded only now."""
    from gapwright.web.start import serve

    serve(folder, where, say=say)


def main() -> None:
    """Run the command line and leave with its exit code."""
    sys.exit(run(sys.argv[1:], serve=serve_bench))


if __name__ == "__main__":
    main()
