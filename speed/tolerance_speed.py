"""How long a thousand members over the tolerances of a step-up take, 20 ms each, on two processes.

The making of modes is most of the work, so those of all members of a batch are
worked out together. Only ratios gate: modes worked out together must make a
member faster than modes worked out one by one, and every member must come out
the same. Seconds are reported.
"""

import sys
from dataclasses import replace
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median
from time import perf_counter, process_time
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from gapwright.base.progress import silent  # noqa: E402
from gapwright.circuit.engine.batch import worked_together  # noqa: E402
from gapwright.circuit.engine.engine import run  # noqa: E402
from gapwright.circuit.network.elements import Capacitor, Inductor, Resistor  # noqa: E402
from gapwright.circuit.network.netlist import Netlist  # noqa: E402
from gapwright.shell.crews import Processes  # noqa: E402
from tests.two_generators import CLOCK, STRIKES, step_up  # noqa: E402

MEMBERS, SPAN, BATCH, PROCESSES = 1000, 20e-3, 50, 2
COMPARED, ROUNDS = 100, 5
LEAST = 1.5
"""Times that a member on modes worked out together is at least faster than alone."""
SAME = 1e-10


def member(number: int) -> Netlist:
    """Step-up whose coil, store and source differ by up to a fifth; each number always the same."""
    draws = 1.0 + 0.2 * (2.0 * np.random.default_rng(number).random(3) - 1.0)
    parts = []
    for part in step_up().elements:
        match part:
            case Inductor():
                parts.append(replace(part, henries=part.henries * draws[0]))
            case Capacitor():
                parts.append(replace(part, farads=part.farads * draws[1]))
            case Resistor():
                parts.append(replace(part, ohms=part.ohms * draws[2]))
            case _:
                parts.append(part)
    return replace(step_up(), elements=tuple(parts))


def modes_met() -> list[int]:
    """Modes that the middle member meets."""
    return list(run(step_up(), CLOCK, SPAN, ignition=STRIKES).trace.book.masks)


def together(numbers: range, progress: Any = silent) -> list[float]:
    """Energies drawn by some members, their modes worked out together."""
    netlists = [member(number) for number in numbers]
    ready = worked_together(netlists, modes_met())
    return [
        run(netlist, CLOCK, SPAN, ignition=STRIKES, worked=worked).joules("in")
        for netlist, worked in zip(netlists, ready, strict=True)
    ]


def alone(numbers: range) -> list[float]:
    """Energies drawn by some members, one by one."""
    return [run(member(number), CLOCK, SPAN, ignition=STRIKES).joules("in") for number in numbers]


def thousand() -> float:
    """Wall seconds of all members on a few processes, started and with their kernels read."""
    crew, got = Processes(PROCESSES), {}

    def done(index: int, answer: list[float]) -> bool:
        got[index] = answer
        return True

    items = [range(first, first + BATCH) for first in range(0, MEMBERS, BATCH)]
    worked, start = getrusage(RUSAGE_CHILDREN).ru_utime, perf_counter()
    crew(together, items, done)
    seconds = perf_counter() - start
    worked = getrusage(RUSAGE_CHILDREN).ru_utime - worked
    energies = np.array([value for index in sorted(got) for value in got[index]])
    low, high = np.quantile(energies, [0.05, 0.95])
    print(
        f"{MEMBERS} members on {PROCESSES} processes, start included: {seconds:.2f} s by the clock, "
        f"{worked:.2f} s of processor time, {worked / PROCESSES:.2f} s on each"
    )
    print(f"  energy drawn in {1e3 * SPAN:g} ms: {low:.4f} to {high:.4f} J (5th and 95th percentile)")
    return seconds


def both_ways(numbers: range) -> tuple[float, float, float]:
    """Processor seconds of a member with modes worked out together, and alone; how far energies are apart."""
    start = process_time()
    few = together(numbers)
    middle = process_time()
    each = alone(numbers)
    stop = process_time()
    apart = float(np.abs(np.array(few) / np.array(each) - 1.0).max())
    return (middle - start) / len(numbers), (stop - middle) / len(numbers), apart


def main() -> int:
    """Time both ways in turn, by the processor's own time, members never met before, then the thousand."""
    together(range(2)), alone(range(2))
    rounds = [both_ways(range(first, first + COMPARED)) for first in range(0, ROUNDS * COMPARED, COMPARED)]
    batched, single = median(many for many, *_ in rounds), median(one for _, one, _ in rounds)
    ratio, apart = median(one / many for many, one, _ in rounds), max(far for *_, far in rounds)
    print(f"a member alone {1e3 * single:.2f} ms, with its modes worked out together {1e3 * batched:.2f} ms")
    print(
        f"  {ratio:.2f} times faster, the median of {ROUNDS} (at least {LEAST:g}); "
        f"energies {apart:.1e} apart (at most {SAME:g})"
    )
    thousand()
    return 0 if ratio >= LEAST and apart <= SAME else 1


if __name__ == "__main__":
    sys.exit(main())
