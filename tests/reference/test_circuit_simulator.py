"""Energies of whole runs against a circuit simulator that is not ours, on decks by hand and decks of ours."""

import re
import subprocess
from dataclasses import dataclass, replace
from importlib.resources import files
from pathlib import Path

import pytest

from gapwright.circuit.control.control import NoControl
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.deck.deck import LONGEST_STEP, deck
from gapwright.circuit.engine.engine import run
from gapwright.circuit.network.elements import Diode, Inductor
from gapwright.circuit.network.magnetics import Piece
from gapwright.rig.reading import rig_from_text
from gapwright.study.generator.generator_alone import generator_bench
from gapwright.study.generator.network import network, switched_on
from tests.two_generators import ARC_VOLTS, CLOCK, SPAN, STRIKES, relaxation, step_up

pytestmark = pytest.mark.ngspice

DECKS = Path(__file__).parent / "decks"
CLOSE = 0.01
"""The simulator's own error at the steps of these decks is up to half as much."""
MEASURED = re.compile(r"^(\w+)\s+=\s+(\S+)", re.MULTILINE)


def measured(place: Path) -> dict[str, float]:
    """What the simulator prints of a deck's measurements."""
    done = subprocess.run(
        ["ngspice", "-b", place.name],
        cwd=place.parent,
        capture_output=True,
        text=True,
        timeout=600,
        check=True,
    )
    return {name: float(value) for name, value in MEASURED.findall(done.stdout)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Energies:
    """Both programs' account of one run. [J]"""

    ours: tuple[float, float]
    theirs: tuple[float, float]


@pytest.fixture(scope="module")
def charger() -> Energies:
    """The step-up deck: 1 MΩ blocks and lies across the coil, 1 kΩ across the lead."""
    ran = run(step_up(off=1e6, coil_damper=1e6, lead_damper=1e3), CLOCK, SPAN, ignition=STRIKES)
    found = measured(DECKS / "step_up.cir")
    return Energies(
        ours=(ran.joules("in"), ARC_VOLTS * ran.meters["gap"].charge), theirs=(found["ein"], found["earc"])
    )


@pytest.fixture(scope="module")
def resistor() -> Energies:
    """The relaxation deck: 1 MΩ across the open gap, 1 kΩ across the lead."""
    ran = run(relaxation(off=1e6, lead_damper=1e3), NoControl(), SPAN, ignition=STRIKES)
    found = measured(DECKS / "relaxation.cir")
    return Energies(
        ours=(ran.joules("in"), ARC_VOLTS * ran.meters["gap"].charge), theirs=(found["ein"], found["earc"])
    )


@pytest.mark.slow
@pytest.mark.source("computed", "ngspice on decks/step_up.cir, Gear's method, ceiling 0.5 µs: energy drawn")
def test_step_up_draws_what_the_simulator_says(charger: Energies) -> None:
    assert charger.ours[0] == pytest.approx(charger.theirs[0], rel=CLOSE)


@pytest.mark.slow
@pytest.mark.source("computed", "ngspice on decks/step_up.cir, Gear's method, ceiling 0.5 µs: arc energy")
def test_step_up_burns_what_the_simulator_says(charger: Energies) -> None:
    assert charger.ours[1] == pytest.approx(charger.theirs[1], rel=CLOSE)


@pytest.mark.slow
@pytest.mark.source(
    "computed", "ngspice on decks/relaxation.cir, trapezoidal rule, ceiling 0.1 µs: energy drawn"
)
def test_relaxation_draws_what_the_simulator_says(resistor: Energies) -> None:
    assert resistor.ours[0] == pytest.approx(resistor.theirs[0], rel=CLOSE)


@pytest.mark.slow
@pytest.mark.source(
    "computed", "ngspice on decks/relaxation.cir, trapezoidal rule, ceiling 0.1 µs: arc energy"
)
def test_relaxation_burns_what_the_simulator_says(resistor: Energies) -> None:
    assert resistor.ours[1] == pytest.approx(resistor.theirs[1], rel=CLOSE)


@pytest.mark.source("computed", "ngspice on the decks that gapwright writes for two demonstration rigs")
@pytest.mark.parametrize(
    ("name", "volts", "span", "ceiling"),
    [("first-build", 55.0, 0.02, LONGEST_STEP), ("second-build", 60.0, 5e-3, 2e-8)],
)
def test_our_own_deck_runs_as_it_is(
    name: str, volts: float, span: float, ceiling: float, tmp_path: Path
) -> None:
    text = files("gapwright").joinpath("shell", "demo", f"{name}.rig.toml").read_text(encoding="utf-8")
    netlist, control = network(generator_bench(rig_from_text(text, name)))
    strikes = Threshold(volts=volts)
    ran = run(netlist, control, span, ignition=strikes)
    place = tmp_path / "own.cir"
    place.write_text(
        deck(netlist, control, duration=span, ignition=strikes, longest_step=ceiling, title=name),
        encoding="utf-8",
    )
    found = measured(place)
    assert len(ran.sparks) > 100
    assert ran.joules("in") == pytest.approx(found["drawn"], rel=CLOSE)
    assert ran.joules("out", "discharge") == pytest.approx(found["discharge"], rel=CLOSE)


EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@pytest.mark.source("computed", "ngspice on the decks that gapwright writes for its examples with governors")
@pytest.mark.parametrize(("name", "ceiling"), [("flyback", 5e-8), ("iso-pulse", 1e-7), ("own-circuit", 1e-8)])
def test_a_deck_with_governors_runs_as_it_is(name: str, ceiling: float, tmp_path: Path) -> None:
    text = (EXAMPLES / f"{name}.rig.toml").read_text(encoding="utf-8")
    netlist, control = network(generator_bench(rig_from_text(text, name)))
    strikes, start, span = Threshold(volts=60.0), switched_on(netlist), 1e-3
    ran = run(netlist, control, span, ignition=strikes, initial=start)
    place = tmp_path / "own.cir"
    place.write_text(
        deck(netlist, control, duration=span, ignition=strikes, longest_step=ceiling, start=start),
        encoding="utf-8",
    )
    found = measured(place)
    assert len(ran.sparks) > 2
    assert ran.joules("in") == pytest.approx(found["drawn"], rel=CLOSE)
    assert ran.joules("out", "discharge") == pytest.approx(found["discharge"], rel=CLOSE)
    assert ran.meters["gap"].highest_current == pytest.approx(found["gap_peak"], rel=CLOSE)


@pytest.mark.source("computed", "ngspice on a charger whose coil saturates and whose diode recovers")
def test_a_saturating_coil_and_a_recovering_diode_run_as_they_are(tmp_path: Path) -> None:
    netlist = step_up()
    coil, diode = netlist.element("coil"), netlist.element("diode")
    assert isinstance(coil, Inductor)
    assert isinstance(diode, Diode)
    bent = netlist.with_part(
        replace(coil, damper_ohms=1e4, pieces=(Piece(amperes=2.0, henries=0.4 * coil.henries),))
    ).with_part(replace(diode, storage_seconds=50e-9))
    ran = run(bent, CLOCK, 2e-3)
    place = tmp_path / "own.cir"
    place.write_text(deck(bent, CLOCK, duration=2e-3, longest_step=1e-8), encoding="utf-8")
    found = measured(place)
    assert ran.meters["coil"].highest_current > 3.0
    assert ran.joules("in") == pytest.approx(found["drawn"], rel=CLOSE)
    store = ran.meters[netlist.store]
    assert store.highest_voltage == pytest.approx(found["store_peak"], rel=CLOSE)
