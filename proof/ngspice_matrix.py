"""Every kind of generator in a circuit simulator that is not ours: sparking, shorted, switched on.

Each case runs the deck that gapwright writes, unchanged, and compares the
energy drawn from the supply and the energy into the gap with the exact
engine's. The simulator's longest step is made shorter until both agree to
1 %, and the step that it needed is stated. Writes ``proof/ngspice_matrix.md``.
"""

import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage
from time import process_time

from gapwright import wiring
from gapwright.circuit.control.control import Control
from gapwright.circuit.control.ignition import Ignition, Never, Threshold
from gapwright.circuit.deck.deck import deck
from gapwright.circuit.engine.arrays import Start
from gapwright.circuit.engine.engine import run
from gapwright.circuit.engine.run import Run
from gapwright.circuit.network.mna import GapState
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.stages.generators import GAP
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import STRIKES_AT, generator_bench
from gapwright.study.generator.network import network, switched_on

HERE = Path(__file__).resolve().parent
EXAMPLES = HERE.parent / "examples"
STEPS = (1e-7, 5e-8, 2e-8, 1e-8, 5e-9)
"""Longest steps that the simulator is given, in turn. [s]"""
CLOSE = 0.01
PATIENCE = 900
MEASURED = re.compile(r"^(\w+)\s+=\s+(\S+)", re.MULTILINE)
HEADS = (
    *("kind", "scene", "sparks", "time", "longest step", "drawn", "into the gap", "peaks"),
    *("ngspice", "ours", "agrees"),
)
"""Heads of the columns."""
SERIES_SWITCH = """
[generator.series_switch.switch]
on_resistance = "9 mohm"
voltage_rating = "150 V"
current_rating = "100 A"
rise_time = "50 ns"
fall_time = "50 ns"

[generator.series_switch.detector]
threshold = "12 V"
delay = "40 us"
hold_off = "200 us"
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A generator, and how long its scenes run."""

    name: str
    text: str
    sparking: float
    short: float
    start_up: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One scene of one generator, as both programs get it."""

    netlist: Netlist
    control: Control
    span: float
    ignition: Ignition
    start: Start


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the simulator measured, with its longest step and processor time."""

    step: float
    seconds: float
    values: dict[str, float]


def kinds() -> list[Kind]:
    """The rigs: two of the demonstration, one of them with a series switch, and the examples."""
    relaxation = wiring.demo_text("first-build.rig.toml")
    step_up = wiring.demo_text("second-build.rig.toml")
    texts = {name: (EXAMPLES / f"{name}.rig.toml").read_text("utf-8") for name in EXAMPLE_SPANS}
    return [
        Kind(name="relaxation", text=relaxation, sparking=5e-3, short=2e-3, start_up=2e-3),
        Kind(name="step-up", text=step_up, sparking=2e-3, short=2e-3, start_up=4e-3),
        Kind(
            name="step-up with series switch",
            text=step_up + SERIES_SWITCH,
            sparking=2e-3,
            short=1e-3,
            start_up=4e-3,
        ),
        *(
            Kind(name=name, text=text, sparking=spark, short=short, start_up=start)
            for (name, text), (spark, short, start) in zip(texts.items(), EXAMPLE_SPANS.values(), strict=True)
        ),
    ]


EXAMPLE_SPANS = {
    "flyback": (1e-3, 1e-3, 2e-3),
    "iso-pulse": (1e-3, 1e-3, 9e-3),
    "current-source": (1e-3, 1e-3, 9e-3),
    "own-circuit": (2e-3, 2e-3, 2e-3),
}
"""Times of sparking, short and start-up of the examples. [s]"""


def cases(kind: Kind) -> dict[str, Case]:
    """Sparking from a supply that is on; shorted at a full store; switched on with everything empty."""
    made = generator_bench(rig_from_text(kind.text, kind.name))
    netlist, control = network(made)
    on, volts = switched_on(netlist), STRIKES_AT * made.ceiling
    full = run(netlist, control, kind.start_up, initial=on).final
    common = {"netlist": netlist, "control": control}
    held = {name: full[name] for name in (part.name for part in netlist.states)}
    return {
        "sparking": Case(span=kind.sparking, ignition=Threshold(volts=volts), start=on, **common),
        "short": Case(
            span=kind.short, ignition=Never(), start=Start(values=held, gap=GapState.SHORT), **common
        ),
        "start-up": Case(span=kind.start_up, ignition=Never(), start=Start(), **common),
    }


def ours(case: Case) -> tuple[Run, float]:
    """Our run, with its processor time."""
    begun = process_time()
    ran = run(case.netlist, case.control, case.span, ignition=case.ignition, initial=case.start)
    return ran, process_time() - begun


def theirs(case: Case, step: float, place: Path) -> Found | None:
    """The simulator's measurements at a longest step; None where it gave up."""
    place.write_text(
        deck(
            case.netlist,
            case.control,
            duration=case.span,
            ignition=case.ignition,
            longest_step=step,
            start=case.start,
        ),
        encoding="utf-8",
    )
    before = getrusage(RUSAGE_CHILDREN).ru_utime
    done = subprocess.run(
        ["ngspice", "-b", place.name], cwd=place.parent, capture_output=True, text=True, timeout=PATIENCE
    )
    seconds = getrusage(RUSAGE_CHILDREN).ru_utime - before
    values = {name: float(value) for name, value in MEASURED.findall(done.stdout)}
    return (
        None
        if "aborted" in done.stdout + done.stderr or "drawn" not in values
        else Found(step=step, seconds=seconds, values=values)
    )


def differences(case: Case, ran: Run, found: Found) -> dict[str, float]:
    """How far the simulator's energies are from ours, over ours."""
    gap = ran.joules("out", "short circuit" if case.start.gap is GapState.SHORT else "discharge")
    own = {"drawn": ran.joules("in"), "discharge": gap}
    return {name: found.values[name] / value - 1.0 for name, value in own.items() if value > 0.0}


def row(kind: str, scene: str, case: Case, place: Path) -> tuple[str, bool]:
    """A line of the summary, and whether both programs agree."""
    ran, seconds = ours(case)
    last = "did not run"
    for step in STEPS:
        found = theirs(case, step, place)
        if found is None:
            continue
        apart = differences(case, ran, found)
        peaks = [found.values["store_peak"] / ran.meters[case.netlist.store].highest_voltage - 1.0]
        if apart.get("discharge") is not None:
            peaks.append(found.values["gap_peak"] / ran.meters[GAP].highest_current - 1.0)
        gap = f"{100.0 * apart['discharge']:+.2f} %" if "discharge" in apart else "none"
        cells = (
            f"{1e3 * case.span:g} ms | {1e9 * step:g} ns | {100.0 * apart['drawn']:+.2f} % | {gap} | "
            f"{100.0 * max(peaks, key=abs):+.2f} % | {found.seconds:.1f} s | {1e3 * seconds:.1f} ms"
        )
        agrees = max(abs(value) for value in apart.values()) <= CLOSE
        last = f"| {kind} | {scene} | {len(ran.sparks)} | {cells} | {'yes' if agrees else 'NO'} |"
        if agrees:
            return last, True
    return last, False


def main() -> int:
    """Run all cases, write the summary, and fail where one does not agree."""
    if shutil.which("ngspice") is None:
        print("ngspice is missing: apt install ngspice")
        return 1
    lines, fine = [], True
    with tempfile.TemporaryDirectory() as folder:
        for kind in kinds():
            for scene, case in cases(kind).items():
                line, agrees = row(kind.name, scene, case, Path(folder) / "own.cir")
                print(line, flush=True)
                lines.append(line)
                fine = fine and agrees
    version = subprocess.run(["ngspice", "--version"], capture_output=True, text=True, check=True).stdout
    number = re.search(r"ngspice-[\w.]+", version)
    name = number.group() if number else "ngspice"
    text = "\n".join(
        [
            "# Every kind of generator in a circuit simulator",
            "",
            f"The decks that gapwright writes, run unchanged by {name}, beside",
            f"the exact engine. Both energies must agree to {100.0 * CLOSE:g} %; the step is the longest of",
            f"{', '.join(f'{1e9 * step:g}' for step in STEPS)} ns at which they do. Peaks are those of",
            "the store's voltage and the gap's current, the worse of the two. Seconds are processor time,",
            "ours with the making of all modes. Sparking and short start with the supply on, start-up with",
            "everything empty.",
            "Written by `proof/ngspice_matrix.py`.",
            "",
            f"| {' | '.join(HEADS)} |",
            "|---|---|---|---|---|---|---|---|---|---|---|",
            *lines,
            "",
        ]
    )
    (HERE / "ngspice_matrix.md").write_text(text, encoding="utf-8")
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main())
