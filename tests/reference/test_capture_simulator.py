"""A reading of what a circuit simulator that is not ours made of a deck of ours."""

import re
import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from gapwright.capture.reading import understand
from gapwright.capture.recorder import Recorder, recorded
from gapwright.capture.truth import TRUE_SPARK, Truth
from gapwright.circuit.control.control import FixedOnTime, NoControl
from gapwright.circuit.deck.deck import deck
from gapwright.circuit.network.netlist import Netlist
from tests.made_captures import drawn
from tests.two_generators import CLOCK, STRIKES, relaxation, step_up

pytestmark = pytest.mark.ngspice


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What is simulated, for how long, and how fast it is sampled."""

    netlist: Netlist
    control: FixedOnTime | NoControl
    rate: float
    span: float
    open_voltage: float | None
    """None where the store never comes near it."""


RUNS = {
    "relaxation": Run(
        netlist=relaxation(off=1e6, lead_damper=1e3),
        control=NoControl(),
        rate=20e6,
        span=12e-3,
        open_voltage=80.0,
    ),
    "step-up": Run(
        netlist=step_up(off=1e6, coil_damper=1e6, lead_damper=1e3),
        control=CLOCK,
        rate=5e6,
        span=100e-3,
        open_voltage=None,
    ),
}
CLOSE = 0.01
"""The simulator's own error at the steps of this deck is up to half as much."""


def simulated(folder: Path, run: Run) -> tuple[Truth, float, int]:
    """Gap voltage and current that the simulator saved, its own energy of the sparks, and their number."""
    text = deck(
        run.netlist,
        run.control,
        duration=run.span,
        ignition=STRIKES,
        longest_step=1 / run.rate,
    )
    text = re.sub(r"^save ", "save v(gap) ", text, flags=re.MULTILINE)
    text = re.sub(r"^tran \S+ ", f"tran {1 / run.rate:g} ", text, flags=re.MULTILINE)
    saved = "linearize v(gap) i(Vgap_arc)\nwrdata wave.txt v(gap) i(Vgap_arc)\nquit"
    (folder / "rig.cir").write_text(text.replace("\nquit\n", f"\n{saved}\n"))
    done = subprocess.run(
        ["ngspice", "-b", "rig.cir"], cwd=folder, capture_output=True, text=True, timeout=300, check=True
    )
    found = re.search(r"^discharge\s+=\s+(\S+)", done.stdout, re.MULTILINE)
    assert found is not None, done.stdout[-500:]
    wave = np.loadtxt(folder / "wave.txt")
    current = wave[:, 3]
    peaks = int(np.count_nonzero(np.diff((current > 0.2 * current.max()).astype(int)) == 1))
    truth = Truth(
        voltage=wave[:, 1].astype(np.float32),
        current=current.astype(np.float32),
        rate=run.rate,
        events=np.zeros(0, dtype=TRUE_SPARK),
    )
    return truth, float(found.group(1)), peaks


@pytest.mark.parametrize("kind", RUNS)
@pytest.mark.source("circuit-theory", "nodal equations as solved by ngspice on our own decks")
def test_sparks_and_energy_of_a_generator(kind: str, tmp_path: Path) -> None:
    run = RUNS[kind]
    truth, joules, count = simulated(tmp_path, run)
    reading = understand(recorded(truth, Recorder(), rng=drawn(21)))
    assert count > 6
    assert int(np.count_nonzero(reading.sparks.fired)) == count
    assert reading.statistics.energy.total_j == pytest.approx(joules, rel=CLOSE)
    if run.open_voltage is not None:
        assert reading.calibration.open_voltage.value == pytest.approx(run.open_voltage, rel=0.05)
        assert set(reading.sparks.columns()["class"]) == {"normal"}
