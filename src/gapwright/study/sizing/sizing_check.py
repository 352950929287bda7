"""Candidates on the bench of the exact engine: a rig file of each, run over the tolerances of its parts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, log2

import numpy as np
import tomlkit
from scipy.stats import qmc

from gapwright.base.errors import GapwrightError
from gapwright.base.progress import Progress, silent
from gapwright.base.units import Hertz, Seconds, Volts
from gapwright.circuit.control.control import Control
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.engine.batch import worked_together
from gapwright.circuit.engine.engine import Start, run
from gapwright.circuit.engine.modes import Worked
from gapwright.circuit.engine.run import Run
from gapwright.circuit.network.netlist import Netlist
from gapwright.circuit.stages.generators import COIL
from gapwright.rig.reading import rig_from_text
from gapwright.rig.record import FileRecord
from gapwright.rig.rig import Rig
from gapwright.study.generator.generator_alone import generator_bench, spark_rate
from gapwright.study.generator.network import network, switched_on
from gapwright.study.generator.scenes import STRIKES_AT
from gapwright.study.sizing.sizing_parts import text
from gapwright.study.sizing.sizing_stores import Candidate

TOLERANCES = {
    "supply.voltage": 0.02,
    "generator.capacitor.capacitance": 0.05,
    "generator.capacitor.tan_delta": 0.3,
    "generator.resistor.resistance": 0.05,
    "generator.coil.inductance": 0.20,
    "generator.coil.resistance": 0.1,
    "generator.switch.on_resistance": 0.3,
    "generator.diode.drop": 0.15,
    "generator.peak_current": 0.08,
    "generator.minimum_off_time": 0.01,
    "generator.voltage_limit": 0.02,
    "leads.inductance": 0.2,
    "leads.contact_resistance": 0.5,
}
"""Tolerances of parts, supply and leads, as shares either way; from memory."""
SPARKS = 25
"""Sparks for each member."""
WARM_UP = 5
"""Sparks that are not counted."""
LONGEST = 20e-3
"""Time that a member is run at most [s]."""

Row = dict[str, float]


def rig_text(candidate: Candidate, base: str, *, name: str) -> str:
    """Rig file of a candidate: a base file whose generator, name and lead inductance are replaced."""
    document = tomlkit.parse(base)
    document["name"] = name
    if "generator" in document:
        del document["generator"]
    leads = document["leads"]
    leads["inductance"] = text(candidate.lead_inductance, "H")
    document["generator"] = _table(candidate.generator)
    return tomlkit.dumps(document)


def _table(values: Mapping[str, object]) -> tomlkit.items.Table:
    """Table whose plain values come before its inner tables."""
    table = tomlkit.table()
    plain = {key: value for key, value in values.items() if not isinstance(value, Mapping)}
    for key, value in plain.items():
        table.add(key, value)
    for key, value in values.items():
        if isinstance(value, Mapping):
            table.add(key, _table(value))
    return table


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberTask:
    """Some members of one candidate: everything that their answers depend on."""

    rig: str
    first: int
    count: int
    members: int
    seed: int
    rate_hz: float
    strikes_v: Volts


def altered(record: FileRecord, path: str, share: float) -> FileRecord:
    """Copy of a file record with one number multiplied by 1 + share."""
    head, _, rest = path.partition(".")
    inner = getattr(record, head)
    changed = altered(inner, rest, share) if rest else inner * (1.0 + share)
    return record.model_copy(update={head: changed})


def spread_of(rig: Rig) -> dict[str, float]:
    """Tolerances of those values that this rig has."""
    return {key: share for key, share in TOLERANCES.items() if _value(rig, key) is not None}


def _value(rig: Rig, key: str) -> object:
    place: object = rig
    for name in key.split("."):
        place = getattr(place, name, None)
        if place is None:
            return None
    return place


def toleranced(rig: Rig, *, members: int, seed: int) -> list[Rig]:
    """Copies of a rig, every value somewhere in its tolerance, spread evenly; the first is the rig itself."""
    spread = spread_of(rig)
    points = qmc.Sobol(len(spread), scramble=True, rng=seed).random_base2(max(0, ceil(log2(members))))
    made = [rig]
    for point in points[: members - 1]:
        copy: FileRecord = rig
        for (key, share), chance in zip(spread.items(), point, strict=True):
            copy = altered(copy, key, share * (2.0 * float(chance) - 1.0))
        made.append(copy)  # type: ignore[arg-type]
    return made


def checked(task: MemberTask, progress: Progress = silent) -> list[Row]:
    """Figures of some members of a candidate, in order; their modes are worked out together."""
    rigs = toleranced(rig_from_text(task.rig, "candidate"), members=task.members, seed=task.seed)
    circuits = [network(generator_bench(rig)) for rig in rigs[task.first : task.first + task.count]]
    masks = _modes_met(network(generator_bench(rigs[0])), strikes=task.strikes_v, rate=task.rate_hz)
    together = worked_together([netlist for netlist, _ in circuits], masks)
    rows = []
    for number, (circuit, worked) in enumerate(zip(circuits, together, strict=True), start=task.first):
        if not progress(number, task.members, "members"):
            break
        rows.append(_member(circuit, strikes=task.strikes_v, rate=task.rate_hz, worked=worked))
    return rows


Circuit = tuple[Netlist, Control]


def figures_of(rig: Rig, *, strikes: Volts, rate: Hertz) -> Row:
    """Figures of one rig whose gap strikes at a voltage; without a spark the rate is 0."""
    return _member(network(generator_bench(rig)), strikes=strikes, rate=rate, worked={})


def _modes_met(circuit: Circuit, *, strikes: Volts, rate: Hertz) -> list[int]:
    """Modes that the first few sparks of a circuit meet."""
    netlist, control = circuit
    ran = run(
        netlist,
        control,
        WARM_UP / rate,
        ignition=Threshold(volts=strikes),
        initial=switched_on(netlist),
    )
    return list(ran.trace.book.masks)


def _member(circuit: Circuit, *, strikes: Volts, rate: Hertz, worked: Mapping[int, Worked]) -> Row:
    """Figures of one circuit: a few sparks to settle, then those that count."""
    netlist, control = circuit
    strike, cycle = Threshold(volts=strikes), 1.0 / rate
    try:
        first = run(
            netlist,
            control,
            WARM_UP * cycle,
            ignition=strike,
            initial=switched_on(netlist),
            worked=worked,
        )
        span: Seconds = min(SPARKS * cycle, LONGEST)
        again = Start(values=first.final)
        ran = run(netlist, control, span, ignition=strike, initial=again, worked=worked)
    except GapwrightError:
        return {"rate_hz": 0.0}
    return _figures(ran, first)


def _figures(ran: Run, first: Run) -> Row:
    done = ran.sparks[ran.sparks["ended"]]
    row = {"rate_hz": spark_rate(ran)}
    if COIL in ran.meters:
        row["coil_peak_a"] = max(each.meters[COIL].highest_current for each in (first, ran))
    if len(done) == 0:
        return row | {"rate_hz": 0.0}
    kept = ran.joules("in") - (ran.stored_after - ran.stored_before)
    arcs = ran.joules("out", "discharge")
    return row | {
        "energy_j": float(np.mean(done["energy_j"])),
        "peak_current_a": float(np.max(done["peak_a"])),
        "left_voltage_v": float(np.min(done["store_v"])),
        "duration_s": float(np.mean(done["duration_s"])),
        "arc_share": arcs / kept if kept > 0.0 else 0.0,
    }


def member_tasks(
    texts: Sequence[str], *, members: int, seed: int, rate: float, batch: int = 16
) -> list[tuple[int, MemberTask]]:
    """Tasks of all candidates, each with the candidate's number."""
    made = []
    for number, rig in enumerate(texts):
        strikes = STRIKES_AT * rig_from_text(rig, "candidate").open_voltage
        for first in range(0, members, batch):
            task = MemberTask(
                rig=rig,
                first=first,
                count=min(batch, members - first),
                members=members,
                seed=seed,
                rate_hz=rate,
                strikes_v=strikes,
            )
            made.append((number, task))
    return made
