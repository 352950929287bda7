"""How long ``gapwright --help`` takes, beside a bare start of the interpreter."""

import subprocess
import sys
from statistics import median
from time import perf_counter

RATIO = 15.0
"""At most so many times the bare start; 0.3 s where the bare start takes 20 ms."""
TURNS = 11


def seconds(*arguments: str) -> float:
    """Wall time of one interpreter, start to end."""
    start = perf_counter()
    subprocess.run([sys.executable, *arguments], capture_output=True, check=True)
    return perf_counter() - start


def main() -> int:
    """Measure both in turn, so that other work on the machine meets both alike."""
    asked, bare = [], []
    seconds("-m", "gapwright", "--help")  # byte code is compiled and files are read once
    for _ in range(TURNS):
        bare.append(seconds("-c", "pass"))
        asked.append(seconds("-m", "gapwright", "--help"))
    ratio = median(asked) / median(bare)
    print(f"bare interpreter    {median(bare):.3f} s (median of {TURNS})")
    print(f"gapwright --help    {median(asked):.3f} s (median of {TURNS}; aim 0.3 s)")
    print(f"ratio               {ratio:.1f} (at most {RATIO:g})")
    return 0 if ratio <= RATIO else 1


if __name__ == "__main__":
    sys.exit(main())
