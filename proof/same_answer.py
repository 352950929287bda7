"""Same seed, same bytes: on one core or all, with kernels from the cache or compiled anew.

Forecasts each rig of the demonstration as a user would and compares what is
printed, byte by byte. Writes ``proof/same_answer.md``.
"""

import hashlib
import os
import platform
import subprocess
import sys
import tempfile
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

MEMBERS = "16"
RIGS = ("dry-start", "first-build", "second-build")
HERE = Path(__file__).resolve().parent


def one_core() -> None:
    """Leave this process a single core; runs between fork and start."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})


def answer(
    files: Path, rig: str, *, seed: str = "7", cache: str = "", before: Callable[[], None] | None = None
) -> str:
    """Hash of what a forecast prints."""
    names = [str(files / f"{rig}.{kind}.toml") for kind in ("rig", "job")]
    options = ["--json", "--quiet", "--seed", seed, "--members", MEMBERS]
    surroundings = {**os.environ, **({"GAPWRIGHT_KERNEL_CACHE": cache} if cache else {})}
    done = subprocess.run(
        [sys.executable, "-m", "gapwright", "forecast", *names, *options],
        capture_output=True,
        env=surroundings,
        preexec_fn=before,
        check=True,
    )
    return hashlib.sha256(done.stdout).hexdigest()[:12]


def row(files: Path, rig: str) -> tuple[str, bool]:
    """A line of the summary, and whether it is as it must be."""
    with tempfile.TemporaryDirectory() as empty:
        found = {
            "all cores": answer(files, rig),
            "again": answer(files, rig),
            "one core": answer(files, rig, before=one_core),
            "kernels anew": answer(files, rig, cache=empty),
        }
    other = answer(files, rig, seed="8")
    fine = len(set(found.values())) == 1 and other not in found.values()
    cells = " | ".join([*found.values(), other])
    return f"| {rig} | {cells} | {'yes' if fine else 'NO'} |", fine


def main() -> int:
    """Compare, write the summary and say how it went."""
    with tempfile.TemporaryDirectory() as folder:
        write = [sys.executable, "-m", "gapwright", "demo", "--write", folder]
        subprocess.run(write, capture_output=True, check=True)
        rows = [row(Path(folder), rig) for rig in RIGS]
    tools = ", ".join(f"{name} {version(name)}" for name in ("gapwright", "numpy", "scipy", "numba"))
    text = "\n".join(
        [
            "# Same seed, same bytes",
            "",
            f"`gapwright forecast --json --members {MEMBERS}`, first digits of the hash of what it printed.",
            "Written by `proof/same_answer.py` with",
            f"{tools}, Python {platform.python_version()}, {platform.machine()}.",
            "",
            "| rig | all cores | again | one core | kernels anew | other seed | as it must be |",
            "|---|---|---|---|---|---|---|",
            *(line for line, _ in rows),
            "",
        ]
    )
    (HERE / "same_answer.md").write_text(text, encoding="utf-8")
    print(text)
    return 0 if all(fine for _, fine in rows) else 1


if __name__ == "__main__":
    sys.exit(main())
