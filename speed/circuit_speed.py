"""How long 0.2 s of two generators take, beside a circuit simulator and an integrator of equations.

The step-up: 12 V, 47 µH, a clock of 25 µs, 100 µF, sparks at 60 V. The
relaxation generator: 80 V, 220 Ω, 1 µF. The simulator is ngspice on the decks
under tests/reference/decks, the same circuits but for what blocked parts let
through; their step ceilings give it 0.5 % in energy. The integrator is SciPy's
Dormand-Prince 8(5,3) at 1e-9 on equations written by hand, with three meters
to our dozens; its events miss the one ignition between two edges, which costs
it 3e-5 of the energy. All run the whole 0.2 s in one go on the same machine,
ours with the making of its tables, and all are counted by the processor's
time, ours by the least of many runs, so that other work on the machine matters
little. Energies must agree before seconds are compared.
"""

import re
import shutil
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from statistics import median
from time import process_time

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from gapwright.circuit.control.control import Control, NoControl  # noqa: E402
from gapwright.circuit.engine.batch import worked_together  # noqa: E402
from gapwright.circuit.engine.engine import run  # noqa: E402
from gapwright.circuit.engine.modes import ModeBook  # noqa: E402
from gapwright.circuit.network.elements import Diode, Resistor  # noqa: E402
from gapwright.circuit.network.netlist import Netlist  # noqa: E402
from tests.step_up_by_hand import integrated  # noqa: E402
from tests.two_generators import ARC_VOLTS, CLOCK, SPAN, STRIKES, relaxation, step_up  # noqa: E402

OVER_STEP_UP, OVER_RELAXATION, OVER_INTEGRATOR = 1000.0, 5000.0, 500.0
"""At least so many times faster than the simulator on either circuit, and than the integrator."""
SIMULATOR_ERROR, INTEGRATOR_ERROR = 0.005, 1e-4
TURNS = 60
MODES = 128


@dataclass(frozen=True, slots=True, kw_only=True)
class Ours:
    """Processor seconds of several whole runs with all meters, steps, and energies drawn and of the arc."""

    times: list[float]
    steps: int
    drawn: float
    arc: float


def ours(netlist: Netlist, control: Control) -> Ours:
    """Time our runs of a circuit."""
    times: list[float] = []
    ran = run(netlist, control, SPAN, ignition=STRIKES)  # kernels are compiled or read once
    for _ in range(TURNS):
        start = process_time()
        ran = run(netlist, control, SPAN, ignition=STRIKES)
        times.append(process_time() - start)
    arc = ARC_VOLTS * float(ran.sparks["charge_c"].sum())
    return Ours(times=times, steps=ran.steps, drawn=ran.joules("in"), arc=arc)


def simulator(name: str) -> tuple[float, float, float]:
    """Processor seconds of ngspice, energy drawn and arc energy."""
    place = ROOT / "tests" / "reference" / "decks" / f"{name}.cir"
    before = getrusage(RUSAGE_CHILDREN)
    done = subprocess.run(
        ["ngspice", "-b", place.name], cwd=place.parent, capture_output=True, text=True, check=True
    )
    after = getrusage(RUSAGE_CHILDREN)
    seconds = after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime
    found = dict(re.findall(r"^(\w+)\s+=\s+(\S+)", done.stdout, re.MULTILINE))
    return seconds, float(found["ein"]), float(found["earc"])


def compared(name: str, seconds: float, own: Ours, least: float) -> bool:
    """Print one line; whether the ratio is reached."""
    ratio = seconds / min(own.times)
    print(f"  {name:<22}{seconds:9.3f} s   {ratio:7.0f} times ours (at least {least:g})")
    return ratio >= least


def agree(theirs: list[float], own: Ours, limit: float) -> bool:
    """Print how far energies are apart; whether that is near enough."""
    drawn, arc = theirs[0] / own.drawn - 1.0, theirs[1] / own.arc - 1.0
    print(f"  {'':<22}drawn {drawn:+.2e}, arc {arc:+.2e} beside ours (at most {limit:g})")
    return max(abs(drawn), abs(arc)) <= limit


def beside_simulator(name: str, netlist: Netlist, control: Control, least: float) -> tuple[Ours, bool]:
    """Time one circuit in both programs, ours before and after."""
    own = ours(netlist, control)
    seconds, *energies = simulator(name)
    own = replace(own, times=own.times + ours(netlist, control).times)
    middle = median(own.times)
    print(
        f"{name}: {1e3 * min(own.times):.2f} ms (least of {len(own.times)}; median {1e3 * middle:.2f} ms), "
        f"{own.steps} steps of {1e9 * min(own.times) / own.steps:.0f} ns"
    )
    fine = compared("ngspice", seconds, own, least)
    return own, agree(energies, own, SIMULATOR_ERROR) and fine


def many_modes() -> float:
    """Processor seconds in which all tables of 128 modes are made."""
    heading = {"stage": "supply", "account": "heat"}
    extra = []
    for k in range(4):
        extra += [
            Diode(
                name=f"d{k}",
                start="out",
                end=f"n{k}",
                drop_volts=10.0 * k,
                on_ohms=0.1,
                off_ohms=1e7,
                **heading,
            ),
            Resistor(name=f"r{k}", start=f"n{k}", end="0", ohms=1e3 + k, **heading),
        ]
    netlist = replace(step_up(), elements=(*step_up().elements, *extra))
    masks = list(range(MODES))
    start = process_time()
    worked = worked_together([netlist], masks)[0]
    book = ModeBook(netlist, worked=worked)
    for mask in masks:
        book.add(mask)
    return process_time() - start


def main() -> int:
    """Run all, ours in between, so that other work on the machine meets all alike."""
    if shutil.which("ngspice") is None:
        print("ngspice is missing: apt install ngspice")
        return 1
    own, fine = beside_simulator("step_up", step_up(), CLOCK, OVER_STEP_UP)
    edges = own.steps + round(SPAN / CLOCK.period)
    print(f"  {1e9 * min(own.times) / edges:.0f} ns for each of {edges} events: steps, and the diode closing")
    start = process_time()
    hand = list(integrated(SPAN)[1:])
    seconds = process_time() - start
    fine = compared("Dormand-Prince 8(5,3)", seconds, own, OVER_INTEGRATOR) and fine
    fine = agree(hand, own, INTEGRATOR_ERROR) and fine
    fine = beside_simulator("relaxation", relaxation(), NoControl(), OVER_RELAXATION)[1] and fine
    print(f"tables of {MODES} modes: {1e3 * min(many_modes() for _ in range(3)):.1f} ms")
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main())
