"""How fast a capture is read, beside the rate at which numpy can sum both of its rows.

1e8 samples of two channels: a relaxation generator at 25 million samples a
second. One thread in float32 gives all spark records; the same in chunks of
numpy gives fewer of them. 16 and 8 bit samples are mapped from a warm file
and compared with the rate at which their bytes can be summed as whole words.
Seconds are CPU seconds of this process, the least of several turns, taken by
turns so that other work on the machine meets all alike; two threads are wall
seconds and gate only by their answer.
"""

import sys
import tempfile
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402

from gapwright.capture.calibration import Calibration, calibrated  # noqa: E402
from gapwright.capture.reading import spark_records  # noqa: E402
from gapwright.capture.recorder import Recorder, recorded  # noqa: E402
from gapwright.capture.settings import AS_FOUND  # noqa: E402
from gapwright.capture.sparks import SparkTable  # noqa: E402
from gapwright.capture.truth_relaxation import CapacitorCourse, capacitor_truth  # noqa: E402
from gapwright.capture.waveform import Capture, Segments  # noqa: E402
from tests.made_captures import drawn  # noqa: E402

SAMPLES = 100_000_000
TURNS = 5
OF_SUM, OVER_NUMPY, OF_READ = 0.35, 7.0, 0.20
"""Least shares of the rates of sums, and least advantage over chunked numpy."""
CHUNK = 500_000


def tiled(bits: int | None, folder: Path) -> Capture:
    """1e8 samples: one true course recorded over and over; counts lie in files and are mapped."""
    course = CapacitorCourse(time_constant=20e-6)
    truth = capacitor_truth(course, count=8000, rate=25e6, rng=drawn(1))
    once = recorded(truth, Recorder(bits=bits), rng=drawn(2))
    if once.current is None:
        raise SystemExit("the truth holds no current")
    times = -(-SAMPLES // once.count)
    rows = {"voltage": once.voltage, "current": once.current}
    for name, codes in rows.items():
        whole = np.tile(codes, times)[:SAMPLES]
        if bits is not None:
            place = folder / f"{name}-{bits}.bin"
            whole.tofile(place)
            whole = np.memmap(place, whole.dtype, "r")
        rows[name] = whole
    return replace(once, **rows, segments=Segments.whole(SAMPLES))


def by_numpy(capture: Capture, calibration: Calibration) -> float:
    """Joules by chunks of numpy: discharges, their sums, peaks and voltages before, but no waits."""
    edges, total = calibration.edges, 0.0
    if capture.current is None:
        raise SystemExit("the capture holds no current")
    for a in range(0, SAMPLES, CHUNK):
        v, i = capture.voltage[a : a + CHUNK], capture.current[a : a + CHUNK] - np.float32(edges.zero)
        flows = np.abs(i) > edges.on
        step = np.diff(flows.astype(np.int8), prepend=0, append=0)
        start, end = np.flatnonzero(step == 1), np.flatnonzero(step == -1)
        near = start[1:] - end[:-1] > edges.hold
        start, end = start[np.append(True, near)], end[np.append(near, True)]
        ready = np.maximum.accumulate(np.where(v >= edges.ready, np.arange(v.size), -1))
        spans = np.stack([start, np.minimum(end, v.size - 1)], axis=1).ravel()
        energy = np.add.reduceat(v * i, spans)[::2]
        charge, burning = np.add.reduceat(i, spans)[::2], np.add.reduceat(v, spans)[::2]
        peak = np.maximum.reduceat(i, spans)[::2]
        total += float(energy.sum())
        if not charge.size == burning.size == peak.size == ready[start].size:
            raise SystemExit("each discharge must have all its sums")
    return total / capture.rate


def least(jobs: dict[str, Callable[[], Any]], turns: int = TURNS) -> dict[str, float]:
    """Least CPU seconds of each job, taken by turns."""
    best = dict.fromkeys(jobs, float("inf"))
    for _ in range(turns):
        for name, job in jobs.items():
            begin = process_time()
            job()
            best[name] = min(best[name], process_time() - begin)
    return best


def told(name: str, ratio: float, wanted: float) -> bool:
    """Print one gate; whether it is met."""
    print(f"{name:<58}{ratio:8.2f}   (at least {wanted:g})")
    return ratio >= wanted


def same(one: SparkTable, other: SparkTable) -> bool:
    """Whether two tables are the same to the bit."""
    names = ("first", "end", "energy_j", "charge_c", "class_code", "breakdown_voltage_v", "flag_bits")
    return all(np.array_equal(getattr(one, n), getattr(other, n), equal_nan=n.endswith("_v")) for n in names)


def floats(folder: Path) -> tuple[list[bool], float]:
    """float32 against sums and numpy, then two threads; gates met, and seconds of the reading."""
    capture = tiled(None, folder)
    known = calibrated(capture, AS_FOUND)
    if capture.current is None:
        raise SystemExit("the capture holds no current")
    table = spark_records(capture, known)
    jobs: dict[str, Callable[[], Any]] = {
        "sum": lambda: (capture.voltage.sum(), capture.current.sum()),
        "ours": lambda: spark_records(capture, known),
    }
    seconds = least(jobs) | least({"numpy": lambda: by_numpy(capture, known)}, 1)
    duty = float(table.duration_s[table.fired].sum()) / capture.duration
    rate = np.count_nonzero(table.fired) / capture.duration
    print(f"{SAMPLES:.0e} samples, {rate:.0f} discharges a second of capture, duty {100 * duty:.1f} %")
    for name, s in seconds.items():
        print(f"  float32 {name:<8}{s:8.3f} s   {SAMPLES / s / 1e6:8.0f} million samples/s")
    print(f"  {table.count / seconds['ours'] / 1e6:.2f} million events/s")
    fine = [
        told("float32, one thread, of the sum of both rows", seconds["sum"] / seconds["ours"], OF_SUM),
        told("float32, one thread, over numpy in chunks", seconds["numpy"] / seconds["ours"], OVER_NUMPY),
    ]
    with ThreadPoolExecutor(2) as pool:
        both = replace(AS_FOUND, threads=2)
        begin = perf_counter()
        halves = spark_records(capture, known, both, run=pool.map)
        two = perf_counter() - begin
        begin = perf_counter()
        spark_records(capture, known)
        one = perf_counter() - begin
    print(f"  two threads: {one / two:.2f} times one by the wall clock (reported, depends on other work)")
    return [
        *fine,
        told("two threads give the same bits (1 is yes)", float(same(table, halves)), 1.0),
    ], seconds["ours"]


def counts(bits: int, folder: Path, float_seconds: float) -> list[bool]:
    """Mapped counts against their read limit."""
    capture = tiled(bits, folder)
    known = calibrated(capture, AS_FOUND)
    if capture.current is None:
        raise SystemExit("the capture holds no current")
    words = [row[: SAMPLES // 8 * 8].view(np.int64) for row in (capture.voltage, capture.current)]
    seconds = least(
        {"read": lambda: [word.sum() for word in words], "ours": lambda: spark_records(capture, known)}
    )
    name = capture.voltage.dtype.name
    for each, s in seconds.items():
        print(f"  {name} {each:<8}{s:8.3f} s   {SAMPLES / s / 1e6:8.0f} million samples/s")
    if bits == 8:
        return [told("int8, mapped, over float32", float_seconds / seconds["ours"], 1.0)]
    return [told("int16, mapped, of its read limit", seconds["read"] / seconds["ours"], OF_READ)]


def main() -> int:
    """Run all; 0 if every gate is met."""
    with tempfile.TemporaryDirectory() as name:
        fine, seconds = floats(Path(name))
        fine += counts(12, Path(name), seconds)
        fine += counts(8, Path(name), seconds)
    return 0 if all(fine) else 1


if __name__ == "__main__":
    sys.exit(main())
