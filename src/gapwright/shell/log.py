"""The log of faults: a traceback goes to a file, the user gets one line."""

import time
import traceback
from pathlib import Path

from platformdirs import user_log_path

from gapwright import __version__

LARGEST_LOG = 1_000_000


def log_place() -> Path:
    """File to which tracebacks go."""
    return user_log_path("gapwright") / "faults.log"


def keep_fault(error: BaseException, arguments: list[str]) -> Path | None:
    """Append a traceback to the log; None if that could not be done."""
    place = log_place()
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        if place.exists() and place.stat().st_size > LARGEST_LOG:
            place.replace(place.with_suffix(".old.log"))
        with place.open("a", encoding="utf-8", errors="backslashreplace") as stream:
            stream.write(
                f"--- {time.strftime('%Y-%m-%d %H:%M:%S%z')} gapwright {__version__} {arguments!r}\n"
            )
            stream.writelines(traceback.format_exception(error))
    except OSError:
        return None
    return place
