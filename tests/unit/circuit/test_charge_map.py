"""The charge map beside the full engine, both ignited by the same chance with the same draws."""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from gapwright.base.errors import InputRefused
from gapwright.base.progress import Stopped
from gapwright.circuit.control.control import Control, FixedOnTime
from gapwright.circuit.control.ignition import Chance
from gapwright.circuit.engine.engine import run
from gapwright.circuit.engine.run import Run
from gapwright.circuit.map.charge_map import (
    FACT_COLUMNS,
    FACTS,
    ChargeMap,
    advance,
    charge_map,
    ignite,
    phase_volts,
    stored_energy,
    stretch_time,
    volts_from_stored,
)
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.stages.generators import (
    CurrentLimited,
    Relaxation,
    SparkLoop,
    StepUp,
    relaxation_network,
    step_up_network,
)

SPARKS = 100
CLEAR = 2.0
"""Voltage, some nodes of the map above zero, from which on what is stored tells the voltage."""
FINE = 8
"""Points between two phases at which the chance of an ignition is taken."""
RATE, REFERENCE, EXPONENT, ZERO_BELOW = 3e3, 60.0, 5.0, 35.0
DRAWS = np.random.default_rng(3).exponential(size=2 * SPARKS)
FELT = 1e-4
"""Share of the drawn energy above which an account must agree."""
CLOSE = 1e-3
DAMPING = "lead damping"
LEAKS = [0.0, 2e-4, 1.3e-3]
LOOP = SparkLoop(
    farads=0.68e-6,
    series_ohms=0.01,
    lead_henries=0.4e-6,
    lead_ohms=0.02,
    contact_ohms=0.02,
    arc_volts=25.0,
    arc_ohms=0.05,
    hold_amperes=0.3,
    bleeder_ohms=1e5,
)


def relaxation() -> tuple[Netlist, Control]:
    return relaxation_network(Relaxation(supply_volts=70.0, charging_ohms=180.0, source_ohms=0.1, loop=LOOP))


def step_up() -> tuple[Netlist, Control]:
    return step_up_network(
        StepUp(
            supply_volts=24.0,
            source_ohms=0.1,
            coil_henries=100e-6,
            coil_ohms=0.1,
            switch_ohms=0.05,
            diode_volts=0.7,
            diode_ohms=0.05,
            drive=CurrentLimited(limit=1.5, minimum_off_time=5e-6, voltage_limit=70.0, hysteresis=2.0),
            loop=replace(LOOP, farads=0.47e-6),
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Generator:
    """A generator with its map."""

    netlist: Netlist
    control: Control
    map: ChargeMap

    def ran(self, leak: float, duration: float) -> Run:
        """The full engine with the same leak, ignited by the same chance."""
        gap = self.netlist.gap
        assert gap is not None
        leaky = self.netlist.with_part(replace(gap, leak_siemens=leak))
        chance = Chance(rate=RATE, reference=REFERENCE, exponent=EXPONENT, zero_below=ZERO_BELOW, draws=DRAWS)
        return run(leaky, self.control, duration, ignition=chance)


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """What the map tells up to a section behind the last discharge that follows from what is stored."""

    energy: dict[tuple[str, str, str], float]
    facts: np.ndarray
    last: float
    duration: float
    closure: float


def chances(course: np.ndarray, duration: float) -> np.ndarray:
    """Hazard of each small part of a stretch, from gap voltages at equal phases."""
    places = np.arange(len(course))
    inside = (np.arange((len(course) - 1) * FINE) + 0.5) / FINE
    volts = np.interp(inside, places, course)
    rates = np.where(volts > ZERO_BELOW, RATE * (np.maximum(volts, 1.0) / REFERENCE) ** EXPONENT, 0.0)
    return rates * duration / len(inside)


def strike(parts: np.ndarray, missing: float) -> float:
    """Phase at which the hazard reaches what is missing; below 0 if it does not."""
    total = np.cumsum(parts)
    k = int(np.searchsorted(total, missing))
    if k == len(parts):
        return -1.0
    return (k + 1.0 - (total[k] - missing) / parts[k]) / len(parts)


def walk(generator: Generator, leak: float) -> Walk:
    """Go from section to section; what is stored decides where a stretch begins."""
    m, chart, volts, t, last, hazard = generator.map.arrays, generator.map.start_chart, 0.0, 0.0, 0.0, 0.0
    signs = np.array([1.0 if meter.role == "in" else -1.0 for meter in generator.map.meters])
    total, facts = np.zeros(len(signs)), list[np.ndarray]()
    course = np.zeros(m.gap_volts.shape[3])
    first = stored = stored_energy(m, chart, volts, leak)
    while len(facts) < SPARKS or volts < CLEAR or m.rederives[chart] == 0:
        energy, told = np.zeros(len(signs)), np.zeros(FACT_COLUMNS)
        phase_volts(m, chart, volts, leak, course)
        length = stretch_time(m, chart, volts, leak)
        parts = chances(course, length)
        at = strike(parts, DRAWS[len(facts)] - hazard) if len(facts) < SPARKS else -1.0
        if at >= 0.0:
            last = t + at * length
            volts, chart, used = ignite(m, chart, volts, leak, at, energy, told)
            facts.append(told[: len(FACTS)])
            hazard = float(chances(told[len(FACTS) + 1 :], told[len(FACTS)]).sum())
        else:
            hazard += float(parts.sum())
            volts, chart, used = advance(m, chart, volts, leak, energy)
        total, t, stored = total + energy, t + used, stored + float(signs @ energy)
        volts = volts_from_stored(m, chart, stored, volts)
    at_end = stored_energy(m, chart, volts, leak)
    keys = [(meter.stage, meter.account, meter.role) for meter in generator.map.meters]
    return Walk(
        energy=dict(zip(keys, total, strict=True)),
        facts=np.array(facts),
        last=last,
        duration=t,
        closure=(float(signs @ total) - (at_end - first)) / float(total[signs > 0.0].sum()),
    )


def side_by_side(generator: Generator, leak: float) -> tuple[Walk, Run]:
    """Map and engine up to as long after the same number of discharges."""
    walked = walk(generator, leak)
    longer = generator.ran(leak, 1.02 * walked.duration)
    after = walked.duration - walked.last
    return walked, generator.ran(leak, float(longer.sparks["time_s"][SPARKS - 1]) + after)


def deviations(walked: Walk, ran: Run) -> dict[str, float]:
    """Relative deviation of every account that is felt."""
    felt = [account for account in ran.accounts if account.joules > FELT * ran.joules("in")]
    return {a.account: walked.energy[a.stage, a.account, a.role] / a.joules - 1.0 for a in felt}


@pytest.fixture(scope="module", params=[relaxation, step_up], ids=["relaxation", "step-up"])
def generator(request: pytest.FixtureRequest) -> Generator:
    netlist, control = request.param()
    return Generator(netlist=netlist, control=control, map=charge_map(netlist, control))


@pytest.mark.parametrize("leak", LEAKS)
def test_every_account_is_that_of_the_engine(
    generator: Generator, leak: float, request: pytest.FixtureRequest
) -> None:
    if generator.netlist.coil and leak == max(LEAKS):
        request.applymarker(
            pytest.mark.xfail(reason="with a leak that takes 6 % the coil's losses are 0.15 % off")
        )
    walked, ran = side_by_side(generator, leak)
    found = deviations(walked, ran)
    found.pop(DAMPING)
    assert len(found) >= 7
    assert max(abs(value) for value in found.values()) <= CLOSE, found


@pytest.mark.parametrize("leak", LEAKS)
def test_the_damping_of_the_lead_is_that_of_the_engine(
    generator: Generator, leak: float, request: pytest.FixtureRequest
) -> None:
    if not generator.netlist.coil and leak > 1e-3:
        request.applymarker(
            pytest.mark.xfail(reason="what the leak keeps in the lead is counted as lost at every section")
        )
    assert abs(deviations(*side_by_side(generator, leak))[DAMPING]) <= CLOSE


@pytest.mark.parametrize("leak", LEAKS)
def test_discharges_come_as_often_as_in_the_engine(generator: Generator, leak: float) -> None:
    walked = walk(generator, leak)
    ran = generator.ran(leak, walked.duration)
    assert abs(len(ran.sparks) - SPARKS) <= 1


@pytest.mark.parametrize("leak", LEAKS)
def test_what_is_stored_closes_the_account(generator: Generator, leak: float) -> None:
    assert abs(walk(generator, leak).closure) <= 1e-9


@pytest.mark.parametrize("leak", LEAKS)
def test_discharges_are_told_as_the_engine_tells_them(generator: Generator, leak: float) -> None:
    walked, ran = side_by_side(generator, leak)
    for column, name in enumerate(FACTS[:5]):
        assert walked.facts[:, column].mean() == pytest.approx(ran.sparks[name].mean(), rel=CLOSE), name


def test_a_map_may_not_be_written_to(generator: Generator) -> None:
    for array in generator.map.arrays:
        assert not array.flags.writeable


def test_a_clocked_generator_has_no_map() -> None:
    netlist, _ = step_up()
    with pytest.raises(InputRefused, match="a fixed on-time has not"):
        charge_map(netlist, FixedOnTime(switch="switch", period=25e-6, on_time=12e-6))


@pytest.mark.parametrize(
    ("given", "message"), [({"nodes": 4}, "16 nodes"), ({"largest_leak": 0.0}, "largest_leak")]
)
def test_a_map_that_is_too_coarse_is_refused(given: dict[str, float], message: str) -> None:
    netlist, control = relaxation()
    with pytest.raises(InputRefused, match=message):
        charge_map(netlist, control, **given)


def test_a_map_stops_when_its_listener_asks() -> None:
    netlist, control = relaxation()
    heard: list[int] = []

    def listener(done: int, total: int, what: str) -> bool:
        heard.append(done)
        assert done < total
        assert what
        return done < 2

    with pytest.raises(Stopped, match="as asked"):
        charge_map(netlist, control, progress=listener)
    assert heard == [0, 1, 2]
