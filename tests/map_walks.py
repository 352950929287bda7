"""Walks through charge maps, ignited by chance, beside the full engine ignited alike."""

from dataclasses import dataclass, field, replace

import numpy as np

from gapwright.circuit.control.control import Control
from gapwright.circuit.control.ignition import Chance, Forced
from gapwright.circuit.engine.engine import Start, run
from gapwright.circuit.engine.run import Run
from gapwright.circuit.map.charge_map import (
    FACT_COLUMNS,
    FACTS,
    ChargeMap,
    advance,
    ignite,
    phase_volts,
    stored_energy,
    stretch_time,
    volts_from_stored,
)
from gapwright.circuit.network.netlist import Netlist

SPARKS = 100
CLEAR = 2.0
"""Voltage, some nodes of the map above zero, from which on what is stored tells the voltage."""
FINE = 8
"""Points between two phases at which the chance of an ignition is taken."""
RATE, REFERENCE, EXPONENT, ZERO_BELOW = 3e3, 60.0, 5.0, 35.0
DRAWS = np.random.default_rng(3).exponential(size=2 * SPARKS)
FELT = 1e-4
"""Share of the drawn energy above which an account must agree."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Generator:
    """A generator with its map."""

    netlist: Netlist
    control: Control
    map: ChargeMap
    start: Start = field(default_factory=Start)
    rate: float = RATE
    """Hazard at the reference voltage. [1/s]"""

    def ran(self, leak: float, duration: float) -> Run:
        """The full engine with the same leak, ignited by the same chance."""
        chance = Chance(
            rate=self.rate, reference=REFERENCE, exponent=EXPONENT, zero_below=ZERO_BELOW, draws=DRAWS
        )
        return run(self.leaky(leak), self.control, duration, ignition=chance, initial=self.start)

    def leaky(self, leak: float) -> Netlist:
        """The circuit with a leak across its gap."""
        gap = self.netlist.gap
        assert gap is not None
        return self.netlist.with_part(replace(gap, leak_siemens=leak))

    def struck(self, walked: "Walk", leak: float) -> Run:
        """The full engine for as long as a walk, ignited when that was."""
        forced = Forced(times=walked.times)
        return run(self.leaky(leak), self.control, walked.duration, ignition=forced, initial=self.start)


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """What the map tells up to a section behind the last discharge that follows from what is stored."""

    energy: dict[tuple[str, str, str], float]
    facts: np.ndarray
    times: np.ndarray
    last: float
    duration: float
    closure: float


def chances(course: np.ndarray, duration: float, rate: float = RATE) -> np.ndarray:
    """Hazard of each small part of a stretch, from gap voltages at equal phases."""
    places = np.arange(len(course))
    inside = (np.arange((len(course) - 1) * FINE) + 0.5) / FINE
    volts = np.interp(inside, places, course)
    rates = np.where(volts > ZERO_BELOW, rate * (np.maximum(volts, 1.0) / REFERENCE) ** EXPONENT, 0.0)
    return rates * duration / len(inside)


def strike(parts: np.ndarray, missing: float) -> float:
    """Phase at which the hazard reaches what is missing; below 0 if it does not."""
    if missing <= 0.0:
        return 0.0
    total = np.cumsum(parts)
    k = int(np.searchsorted(total, missing))
    if k == len(parts):
        return -1.0
    return (k + 1.0 - (total[k] - missing) / parts[k]) / len(parts)


def walk(generator: Generator, leak: float) -> Walk:
    """Go from section to section; what is stored decides where a stretch begins."""
    m, chart, volts = generator.map.arrays, generator.map.start_chart, generator.map.start_volts
    t, last, hazard = 0.0, 0.0, 0.0
    signs = np.array([1.0 if meter.role == "in" else -1.0 for meter in generator.map.meters])
    total, facts, times = np.zeros(len(signs)), list[np.ndarray](), list[float]()
    course = np.zeros(m.gap_volts.shape[3])
    first = stored = stored_energy(m, chart, volts, leak)
    while len(facts) < SPARKS or volts < CLEAR or m.rederives[chart] == 0:
        energy, told = np.zeros(len(signs)), np.zeros(FACT_COLUMNS)
        phase_volts(m, chart, volts, leak, course)
        length = stretch_time(m, chart, volts, leak)
        parts = chances(course, length, generator.rate)
        at = strike(parts, DRAWS[len(facts)] - hazard) if len(facts) < SPARKS else -1.0
        if at >= 0.0:
            last = t + at * length
            times.append(last)
            volts, chart, used = ignite(m, chart, volts, leak, at, energy, told)
            facts.append(told[: len(FACTS)])
            hazard = float(chances(told[len(FACTS) + 1 :], told[len(FACTS)], generator.rate).sum())
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
        times=np.array(times),
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
