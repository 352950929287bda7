"""Feed a reader of captures with wrong bytes for a bounded time: ``python fuzz/run.py NAME SECONDS``.

Without a name it prints the names.
"""

import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from fuzz.targets import CORPUS, TARGETS


def main() -> None:
    """Run one target; what it finds goes to a folder of its own among the temporary files."""
    if len(sys.argv) == 1:
        print("\n".join(TARGETS))
        return
    import atheris

    name, seconds = sys.argv[1], int(sys.argv[2])
    found = Path(tempfile.gettempdir()) / f"gapwright-fuzz-{name}"
    found.mkdir(exist_ok=True)
    for module in [key for key in sys.modules if key.startswith("gapwright.shell.captures")]:
        for function in vars(sys.modules[module]).values():
            if callable(function) and getattr(function, "__module__", "") == module:
                instrumented(atheris, function)
    options = [
        f"-max_total_time={seconds}",
        "-max_len=65536",
        "-rss_limit_mb=4096",
        "-timeout=20",
        f"-artifact_prefix={found}/fault-",
        "-print_final_stats=1",
        str(found),
        str(CORPUS / name),
    ]

    def once(content: bytes) -> None:
        TARGETS[name](content)

    atheris.Setup([sys.argv[0], *options], once)
    atheris.Fuzz()


def instrumented(atheris: object, function: object) -> None:
    """Have the fuzzer see which ways through our function were taken, where it can."""
    if isinstance(function, type) or not hasattr(function, "__code__"):
        return
    atheris.instrument_func(function)  # type: ignore[attr-defined]


if __name__ == "__main__":
    main()
