"""How long 0.2 s of a step-up generator takes, beside a circuit simulator and an integrator of equations.

The circuit: 12 V, 47 µH, a clock of 25 µs, 100 µF, sparks at 60 V. The
simulator is ngspice on tests/reference/decks/step_up.cir, the same circuit
but for what blocked parts let through; its step ceiling gives it 0.5 % in
energy. The integrator is SciPy's Dormand-Prince 8(5,3) at 1e-9 on equations
written by hand, with three meters to our dozens; its events miss the one
ignition between two edges, which costs it 3e-5 of the energy. All three run
the whole 0.2 s in one go on the same machine, ours with the making of its
tables, and their energies must agree before their seconds are compared.
"""

import re
import shutil
import subprocess
import sys
from pathlib import Path
from statistics import median
from time import perf_counter

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from gapwright.circuit.engine import run  # noqa: E402
from tests.step_up_by_hand import integrated  # noqa: E402
from tests.two_generators import ARC_VOLTS, CLOCK, SPAN, STRIKES, step_up  # noqa: E402

OVER_SIMULATOR, OVER_INTEGRATOR = 800.0, 300.0
"""At least so many times faster."""
SIMULATOR_ERROR, INTEGRATOR_ERROR = 0.005, 1e-4
TURNS = 60


def ours() -> tuple[list[float], float, float]:
    """Wall seconds of several whole runs with all meters, energy drawn and energy of the arc's 20 V."""
    netlist, times = step_up(), []
    ran = run(netlist, CLOCK, SPAN, ignition=STRIKES)  # kernels are compiled or read once
    for _ in range(TURNS):
        start = perf_counter()
        ran = run(netlist, CLOCK, SPAN, ignition=STRIKES)
        times.append(perf_counter() - start)
    return times, ran.joules("in"), ARC_VOLTS * float(ran.sparks["charge_c"].sum())


def simulator() -> tuple[float, float, float]:
    """Wall seconds of ngspice, energy drawn and arc energy."""
    place = ROOT / "tests" / "reference" / "decks" / "step_up.cir"
    start = perf_counter()
    done = subprocess.run(
        ["ngspice", "-b", place.name], cwd=place.parent, capture_output=True, text=True, check=True
    )
    seconds = perf_counter() - start
    found = dict(re.findall(r"^(\w+)\s+=\s+(\S+)", done.stdout, re.MULTILINE))
    return seconds, float(found["ein"]), float(found["earc"])


def compared(name: str, seconds: float, times: list[float], least: float) -> bool:
    """Print one line; whether the ratio is reached."""
    ratio = seconds / median(times)
    print(f"{name:<22}{seconds:9.3f} s   {ratio:7.0f} times ours (at least {least:g})")
    return ratio >= least


def agree(theirs: list[float], own: tuple[float, float], limit: float) -> bool:
    """Print how far energies are apart; whether that is near enough."""
    drawn, arc = (theirs[k] / own[k] - 1.0 for k in range(2))
    print(f"{'':<22}drawn {drawn:+.2e}, arc {arc:+.2e} beside ours (at most {limit:g})")
    return max(abs(drawn), abs(arc)) <= limit


def main() -> int:
    """Run all three, ours in between, so that other work on the machine meets all alike."""
    times, drawn, arc = ours()
    hand_seconds, *hand = integrated(SPAN)
    times += ours()[0]
    if shutil.which("ngspice") is None:
        print("ngspice is missing: apt install ngspice")
        return 1
    deck_seconds, *deck = simulator()
    times += ours()[0]
    print(f"{'gapwright':<22}{median(times):9.4f} s   (median of {len(times)}; least {min(times):.4f} s)")
    fine = [
        compared("Dormand-Prince 8(5,3)", hand_seconds, times, OVER_INTEGRATOR),
        agree(hand, (drawn, arc), INTEGRATOR_ERROR),
        compared("ngspice", deck_seconds, times, OVER_SIMULATOR),
        agree(deck, (drawn, arc), SIMULATOR_ERROR),
    ]
    return 0 if all(fine) else 1


if __name__ == "__main__":
    sys.exit(main())
