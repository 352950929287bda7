"""Speed of the bench's server: ``python speed/bench_speed.py``.

Starts the bench as a user does and talks to its socket. Reports seconds on this
machine; gates ratios and sizes of the same run: a change answered over the
socket against the bare computation of the same change, ten fast keystrokes of
which only a few may be computed, the memory of the server, and 200 sockets
opened and closed that must leave nothing behind.
"""

import json
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter, sleep

import numpy as np
from websockets.sync.client import ClientConnection, connect

from gapwright import wiring
from gapwright.app.bench import Texts, first_look
from gapwright.app.edits import edited

RIG = "second-build"
CHANGES = 40
KEYSTROKES = 10
LARGEST_RATIO = 3.0
"""Redraw over the socket against the bare computation, median against median."""
MOST_COMPUTED = 5
LARGEST_MEGABYTES = 400.0
RELOADS = 200
LARGEST_GROWTH = 0.05


@contextmanager
def served() -> Iterator[tuple[str, int]]:
    """A bench over the demonstration: host with port, and process number."""
    begun = perf_counter()
    command = [sys.executable, "-m", "gapwright", "bench", "--no-browser", "--port", "0"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            said = (process.stdout or sys.stdin).readline()
            found = re.search(r"//([0-9.]+:[0-9]+)/", said)
            if found is None:
                raise SystemExit(f"the bench did not say where it is: {said!r}")
            print(f"the bench listens after {perf_counter() - begun:.1f} s")
            yield found.group(1), process.pid
        finally:
            process.terminate()


def socket(host: str) -> ClientConnection:
    """A socket to the bench, as a script opens it."""
    return connect(f"ws://{host}/api/live", max_size=None, open_timeout=60)


def ask(number: int, *, members: int = 0) -> str:
    """An ask with a store that no ask before had."""
    rig = {"name": RIG, "changes": {"generator.capacitor.capacitance": store(number)}}
    return json.dumps({"ask": number, "rig": rig, "job": {"name": RIG}, "members": members})


def store(number: int) -> str:
    """Capacitance of an ask."""
    return f"{0.30 + 0.001 * number:.3f} uF"


def heard(line: ClientConnection, wanted: Callable[[dict[str, object]], bool]) -> dict[str, object]:
    """The next message that is wanted."""
    while True:
        said: dict[str, object] = json.loads(line.recv(timeout=300))
        if wanted(said):
            return said


def is_glance(number: int) -> Callable[[dict[str, object]], bool]:
    """Whether a message is the glance of an ask."""
    return lambda said: said["message"] == "glance" and said["ask"] == number and said["of"] == "edited"


def megabytes(process: int) -> float:
    """Memory that a process holds now; 0 where the system does not tell."""
    place = Path(f"/proc/{process}/statm")
    return int(place.read_text().split()[1]) * 4096 / 1e6 if place.exists() else 0.0


def over_the_socket(line: ClientConnection) -> list[float]:
    """Seconds from a change to its glance."""
    found = []
    for number in range(1, CHANGES + 1):
        begun = perf_counter()
        line.send(ask(number))
        heard(line, is_glance(number))
        found.append(perf_counter() - begun)
    return found


def by_itself() -> list[float]:
    """Seconds of the bare computation of the same changes."""
    rig, job = (wiring.demo_text(f"{RIG}.{kind}.toml") for kind in ("rig", "job"))
    first_look(Texts(rig=rig, job=job))
    found = []
    for number in range(1, CHANGES + 1):
        text = edited("rig", rig, {"generator.capacitor.capacitance": store(number)})
        begun = perf_counter()
        first_look(Texts(rig=text, job=job))
        found.append(perf_counter() - begun)
    return found


def keystrokes(line: ClientConnection) -> tuple[int, float]:
    """How many of ten fast asks were answered, and seconds from the last key to its answer."""
    first = 1000
    for number in range(first, first + KEYSTROKES):
        line.send(ask(number))
        sleep(0.005)
    begun, answered = perf_counter(), 0
    while True:
        said = heard(line, lambda message: message["message"] == "glance")
        answered += said["of"] == "edited"
        if said["ask"] == first + KEYSTROKES - 1:
            return answered, perf_counter() - begun


def forecasts(host: str) -> list[tuple[str, float]]:
    """Seconds from an ask to each better forecast of eight members."""
    found: list[tuple[str, float]] = []
    with socket(host) as line:
        begun = perf_counter()
        line.send(ask(2000, members=8))
        while not found or found[-1][0] != "done":
            said = heard(line, lambda message: message["message"] == "forecast" and message["of"] == "edited")
            found.append((str(said["grade"]), perf_counter() - begun))
    return found


def reloads(host: str, process: int) -> float:
    """Growth of the server's memory over many sockets that ask and go, as a share."""
    before = 0.0
    for number in range(RELOADS):
        if number == RELOADS // 4:
            before = megabytes(process)
        with socket(host) as line:
            line.send(ask(3000 + number % 8, members=8))
            heard(line, is_glance(3000 + number % 8))
    sleep(1.0)
    return megabytes(process) / before - 1.0 if before else 0.0


def main() -> int:
    """Measure, print, and gate the ratios and sizes."""
    with served() as (host, process):
        begun = perf_counter()
        with socket(host) as line:
            heard(line, lambda said: said["message"] == "preparing" and bool(said["warm"]))
            print(f"warm after {perf_counter() - begun:.1f} s more")
            begun = perf_counter()
            line.send(ask(0))
            heard(line, is_glance(0))
            print(f"first glance: {perf_counter() - begun:.2f} s")
            wired = over_the_socket(line)
            answered, waited = keystrokes(line)
        bare = by_itself()
        found = forecasts(host)
        growth = reloads(host, process)
        held = megabytes(process)
    ratio = float(np.median(wired) / np.median(bare))
    late = float(np.quantile(wired, 0.95))
    print(
        f"change to glance: {1e3 * np.median(wired):.0f} ms, 95 % within {1e3 * late:.0f} ms; "
        f"bare: {1e3 * np.median(bare):.0f} ms; ratio {ratio:.2f}, at most {LARGEST_RATIO}"
    )
    print(
        f"ten fast keys: {answered} answered, at most {MOST_COMPUTED}; the last after {1e3 * waited:.0f} ms"
    )
    print("forecast: " + ", ".join(f"{grade} {seconds:.1f} s" for grade, seconds in found))
    print(
        f"memory: {held:.0f} MB, at most {LARGEST_MEGABYTES:.0f}; {RELOADS} sockets grew it by {growth:+.1%}"
    )
    kept = (
        ratio <= LARGEST_RATIO
        and answered <= MOST_COMPUTED
        and held <= LARGEST_MEGABYTES
        and growth <= LARGEST_GROWTH
    )
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())
