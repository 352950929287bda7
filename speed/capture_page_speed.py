"""How fast a page looks around in a capture of 100 million samples: ``python speed/capture_page_speed.py``.

Keeps a capture whose samples are mapped, opens it as the bench does, and asks
for windows of every width by the bench's own calls. Reports processor time for
each, and gates what must not grow with the capture: a window against the same
window of a capture a hundredth as long, and the bytes of an answer.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median
from threading import Event

import numpy as np
from starlette.testclient import TestClient

from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.truth_relaxation import CapacitorCourse, capacitor_truth
from gapwright.capture.waveform import Capture
from gapwright.shell.capture_desk import ReadCall
from gapwright.shell.captures.kept import keep
from gapwright.shell.desk import Desk
from gapwright.shell.preparation import Preparation
from gapwright.web.guard import SCHEME, Door
from gapwright.web.server import guarded

BLOCK = 1_000_000
BLOCKS = 100
RATE = 10e6
COLUMNS = 1600
WIDTHS = (1.0, 0.3, 0.01, 5e-3, 2e-4, 1e-5, 1e-7)
"""Windows, as shares of the whole."""
REPEATS = 25
MOST_ZOOM_S = 60e-3
MOST_GROWTH = 4.0
"""A window of the long capture over the same number of columns of a short one."""
MOST_BYTES = 80_000


def block() -> Capture:
    """A stretch of sparks as a recorder of twelve bits saves it."""
    rng = np.random.Generator(np.random.Philox(7))
    truth = capacitor_truth(CapacitorCourse(), count=1000, rate=RATE, rng=rng)
    return recorded(truth, Recorder(bits=12), rng=rng)


def tiled(once: Capture, times: int) -> Capture:
    """The same stretch again and again."""
    if once.current is None:
        raise AssertionError
    return Capture(
        voltage=np.tile(once.voltage[:BLOCK], times),
        voltage_scale=once.voltage_scale,
        voltage_offset=once.voltage_offset,
        current=np.tile(once.current[:BLOCK], times),
        current_scale=once.current_scale,
        current_offset=once.current_offset,
        current_from=once.current_from,
        rate=once.rate,
    )


def processor(work: Callable[[], object]) -> float:
    """Median processor time of some runs. [s]"""
    took = []
    for _ in range(REPEATS):
        begun = time.process_time()
        work()
        took.append(time.process_time() - begun)
    return median(took)


def slowest(client: TestClient, desk: Desk, name: str) -> tuple[float, int]:
    """Slowest of the widths, and the largest answer."""
    read = desk.captures.read(ReadCall(names=(name,)), stop=Event())
    end = read.opened.end_s
    rng = np.random.default_rng(3)
    worst, largest = 0.0, 0
    for width in WIDTHS:
        starts = iter(rng.uniform(0.0, end * (1.0 - width), REPEATS + 1))
        sizes: list[int] = []

        def look(width: float = width, starts: object = starts, sizes: list[int] = sizes) -> None:
            start = float(next(starts))  # type: ignore[call-overload]
            asked = f"start_s={start!r}&stop_s={start + width * end!r}&columns={COLUMNS}"
            reply = client.get(f"/api/readings/{read.reading}/window?{asked}")
            if reply.status_code != 200:
                raise AssertionError(reply.text)
            sizes.append(len(reply.content))

        look()
        took = processor(look)
        print(f"  {name}: window of {width * end:.3g} s: {1e3 * took:.1f} ms, {max(sizes)} bytes")
        worst, largest = max(worst, took), max(largest, *sizes)
    return worst, largest


def main() -> None:
    """Print the figures; fail where a gate is missed."""
    once = block()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "captures").mkdir()
        keep(tiled(once, 1), str(place / "captures" / "short"), sources=())
        keep(tiled(once, BLOCKS), str(place / "captures" / "long"), sources=())
        desk = Desk(place, Preparation(load=lambda: None))
        door = Door(address="127.0.0.1", port=8137)
        client = TestClient(guarded(desk, door), base_url=f"{SCHEME}127.0.0.1:8137")
        short, _ = slowest(client, desk, "short")
        took, largest = slowest(client, desk, "long")
    print(f"slowest window of {BLOCK * BLOCKS:.0e} samples: {1e3 * took:.1f} ms of processor time")
    print(
        f"against a capture of {BLOCK:.0e} samples: {took / short:.2f} times; answers up to {largest} bytes"
    )
    good = [took <= MOST_ZOOM_S, took / short <= MOST_GROWTH, largest <= MOST_BYTES]
    sys.exit(0 if all(good) else 1)


if __name__ == "__main__":
    main()
