"""How fast a capture is read from text against the library's own parse, and a window of it drawn."""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
import polars as pl  # noqa: E402

from gapwright import wiring  # noqa: E402
from gapwright.app.capture_views import capture_window, open_capture  # noqa: E402
from gapwright.app.captures import CaptureRequest  # noqa: E402
from gapwright.base.progress import silent  # noqa: E402
from gapwright.shell.captures.kept import keep  # noqa: E402
from gapwright.shell.captures.reading import recording_at  # noqa: E402
from speed.capture_speed import tiled  # noqa: E402

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
    """Draw windows of every width anywhere in a kept capture, as the page asks; whether each is quick."""
    kept, draws = folder / "run.capture", np.random.default_rng(2)
    keep(tiled(12, folder), str(kept), sources=())
    begun = time.perf_counter()
    opened = open_capture(CaptureRequest(places=(str(kept),)), wiring.capture_hands(silent))
    took = time.perf_counter() - begun
    print(f"kept capture of {SAMPLES:.0e} samples opened and read in {took:.2f} s")
    slowest = 0.0
    for width in WINDOWS:
        span = width / opened.found.capture.rate
        times = []
        for start in draws.uniform(0.0, max(opened.end_s - span, 1e-9), 20):
            begun = time.process_time()
            capture_window(opened, start=float(start), stop=float(start) + span, columns=COLUMNS)
            times.append(time.process_time() - begun)
        print(
            f"window of {width:>11,} samples, both channels: median {1e3 * np.median(times):.2f} ms, "
            f"longest {1e3 * max(times):.2f} ms"
        )
        slowest = max(slowest, float(np.median(times)))
    return slowest <= MOST_WINDOW_S


def main() -> None:
    """Print the figures; fail where a ratio is missed."""
    with tempfile.TemporaryDirectory() as name:
        good = [reading(Path(name)), drawing(Path(name))]
    sys.exit(0 if all(good) else 1)


if __name__ == "__main__":
    main()
