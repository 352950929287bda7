"""How fast a capture is read from text against the library's own parse, and a window of it drawn."""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import polars as pl

from gapwright.capture.pyramid import pyramid_of, window
from gapwright.shell.captures.reading import recording_at

ROWS = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000_000
SAMPLES = 100_000_000
RATE = 10e6
MOST_OVER_PARSE = 1.3
"""Reading, with every check, over the library's parse of the same columns."""
MOST_WINDOW_S = 30e-3
REPEATS = 5
COLUMNS = 2000
WINDOWS = (SAMPLES, 30_000_000, 1_000_000, 500_000, 20_000, 700)


def best(*works: Callable[[], object]) -> list[float]:
    """Shortest of a few runs of each, taken in turn, so that other work meets all alike. [s]"""
    took: list[list[float]] = [[] for _ in works]
    for _ in range(REPEATS):
        for work, times in zip(works, took, strict=True):
            begun = time.perf_counter()
            work()
            times.append(time.perf_counter() - begun)
    return [min(times) for times in took]


def write_text(path: Path) -> None:
    """A capture as text: times, voltage and current."""
    draws = np.random.default_rng(1)
    volts = np.round(draws.normal(40.0, 20.0, ROWS) / 0.1) * 0.1
    amperes = np.round(draws.normal(0.0, 5.0, ROWS) / 0.05) * 0.05
    table = pl.DataFrame({"Time (s)": np.arange(ROWS) / RATE, "Gap (V)": volts, "Loop (A)": amperes})
    table.write_csv(path, float_precision=7)


def bare_parse(path: Path) -> pl.DataFrame:
    """The library's parse of the three columns."""
    kinds = {"Time (s)": pl.Float64, "Gap (V)": pl.Float32, "Loop (A)": pl.Float32}
    return pl.read_csv(path, schema=kinds)


def reading(folder: Path) -> bool:
    """Compare our reading with the parse; whether it is quick enough."""
    path = folder / "run.csv"
    write_text(path)
    size = path.stat().st_size
    parse, ours = best(lambda: bare_parse(path), lambda: recording_at(str(path), {}))
    over = ours / parse
    print(
        f"text of {ROWS:.1e} rows, {size / 1e6:.0f} MB: parse {parse:.2f} s, reading {ours:.2f} s "
        f"({ROWS / ours / 1e6:.1f} million rows a second), ratio {over:.2f} (at most {MOST_OVER_PARSE})"
    )
    return over <= MOST_OVER_PARSE


def drawing(folder: Path) -> bool:
    """Draw windows of every width anywhere in a mapped capture; whether each is quick enough."""
    place = folder / "run.npy"
    draws = np.random.default_rng(2)
    block = draws.normal(0, 500, 1_000_000).astype(np.int16)
    np.save(place, np.tile(block, SAMPLES // block.size))
    codes = np.load(place, mmap_mode="r")
    begun = time.perf_counter()
    pyramid = pyramid_of(codes)
    print(f"extremes of {SAMPLES:.0e} samples made in {time.perf_counter() - begun:.2f} s")
    slowest = 0.0
    for width in WINDOWS:
        starts = draws.integers(0, SAMPLES - width + 1, 20)
        took = []
        for start in starts:
            begun = time.perf_counter()
            window(codes, pyramid, start=int(start), stop=int(start) + width, columns=COLUMNS)
            took.append(time.perf_counter() - begun)
        print(
            f"window of {width:>11,} samples: median {1e3 * np.median(took):.2f} ms, "
            f"longest {1e3 * max(took):.2f} ms"
        )
        slowest = max(slowest, float(np.median(took)))
    return slowest <= MOST_WINDOW_S


def main() -> None:
    """Print the figures; fail where a ratio is missed."""
    with tempfile.TemporaryDirectory() as name:
        good = [reading(Path(name)), drawing(Path(name))]
    sys.exit(0 if all(good) else 1)


if __name__ == "__main__":
    main()
