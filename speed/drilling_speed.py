"""Speed of drilling spark by spark: ``python speed/drilling_speed.py``.

A rig whose craters are 20 µm wide drills with all physics. Reports processor
seconds for a million sparks and peak memory. Gates ratios of the same run: a
spark deep in the hole against one near its entry, and a spark against picking
a place by looking at all cells of a map of 300 by 300.
"""

import os
import resource
import subprocess
import sys
from dataclasses import dataclass, field
from time import process_time

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from gapwright import wiring
from gapwright.base.compiled import compiled_in_place
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.rig.rig import Rig
from gapwright.study.drilling.one_member import FINE, Task, run_member, typical_spark_energy
from gapwright.study.drilling.records_kept import Surface, Wanted
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds.assemble import Bench, bench, removal_law
from gapwright.study.grounds.uncertain import median_member, uncertain_constants

CRATER = 20e-6
SPARKS = 1_000_000
DEEP = 64
"""Sparks for one, so that the same count of simulated sparks reaches deep."""
CELLS = 300
PICKS = 2000
MOST_DEEPENING = 1.5
LEAST_RATIO = 25.0
MOST_MEMORY = 2**30


@dataclass
class Meter:
    """Counts sparks with the processor time at which they came; stops once there are enough."""

    enough: int
    seen: int = 0
    counts: list[int] = field(default_factory=list)
    times: list[float] = field(default_factory=list)
    depths: list[float] = field(default_factory=list)

    def sparks(self, rows: NDArray[np.float64]) -> None:
        """Count rows."""
        if len(rows):
            self.seen += len(rows)
            self.counts.append(self.seen)
            self.times.append(process_time())
            self.depths.append(float(rows[:, 1].max()))

    def ticks(self, rows: NDArray[np.float64]) -> None:
        """Leave ticks."""

    def shape(self, depth: float, work: Surface, tool: Surface) -> None:
        """Leave shapes."""

    def goes_on(self, *_: object) -> bool:
        """Whether more sparks are wanted."""
        return self.seen < self.enough

    def cost(self, first: float, last: float) -> tuple[float, float]:
        """Processor seconds a spark between two shares of all sparks, and the depth there."""
        places = np.array(self.counts)
        inside = np.flatnonzero((places >= first * self.seen) & (places <= last * self.seen))
        a, b = inside[0], inside[-1]
        spent = (self.times[b] - self.times[a]) / (self.counts[b] - self.counts[a])
        return spent, self.depths[b]


def rig_of_small_craters(crater: float) -> Bench:
    """The first build with a store whose typical spark melts craters of this width, at a thick plate."""
    rig = rig_from_text(wiring.demo_text("first-build.rig.toml"), "first-build.rig.toml")
    job = job_from_text(wiring.demo_text("first-build.job.toml"), "first-build.job.toml")
    law = removal_law(bench(rig, job))
    wanted = (crater / law.width_scale) ** (1.0 / law.width_exponent)
    store = rig.generator.capacitor
    for _ in range(3):
        made = bench(with_store(rig, store), job)
        have = typical_spark_energy(charge_map_of(made), made)
        store = store.model_copy(update={"capacitance": store.capacitance * wanted / have})
    work = job.workpiece.model_copy(update={"thickness": 10e-3})
    limits = job.limits.model_copy(update={"time": None, "electrode_length": None})
    return bench(with_store(rig, store), job.model_copy(update={"workpiece": work, "limits": limits}))


def with_store(rig: Rig, store: BaseModel) -> Rig:
    """A rig with another store."""
    return rig.model_copy(update={"generator": rig.generator.model_copy(update={"capacitor": store})})


def drilled(made: Bench, *, batch: int, sparks: int) -> Meter:
    """A drilling that is followed for so many simulated sparks."""
    charge = charge_map_of(made)
    meter = Meter(enough=sparks)
    run_member(
        Task(
            made=made,
            charge=charge,
            member=median_member(uncertain_constants(made.rig, made.job)),
            seed=0,
            batch=batch,
            shown=False,
            spark_energy=typical_spark_energy(charge, made),
            progress=meter.goes_on,
            wanted=Wanted(keeper=meter),
        )
    )
    return meter


@compiled_in_place
def pick(gaps: NDArray[np.float64], hazards: NDArray[np.float64], exponent: float, chance: float) -> int:
    """Place of a spark by looking at every cell: the sum of all hazards first, then the cell."""
    total = 0.0
    for k in range(gaps.size):
        hazards[k] = (1.0 / gaps[k]) ** exponent
        total += hazards[k]
    sought = chance * total
    for k in range(gaps.size):
        sought -= hazards[k]
        if sought <= 0.0:
            return k
    return gaps.size - 1


def seconds_of_a_pick() -> float:
    """Processor seconds to pick one place on a map of all cells."""
    luck = np.random.default_rng(1)
    gaps = luck.uniform(5e-6, 20e-6, CELLS * CELLS)
    hazards = np.zeros_like(gaps)
    pick(gaps, hazards, 5.0, 0.5)
    begun = process_time()
    for chance in luck.random(PICKS):
        pick(gaps, hazards, 5.0, chance)
    return (process_time() - begun) / PICKS


def compile_elsewhere() -> None:
    """Compile in a process of its own, whose memory is not that of drilling."""
    line = [sys.executable, __file__, "compile"]
    subprocess.run(line, check=True, env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)})


def main() -> int:
    """Measure, print, gate the ratios."""
    if sys.argv[1:] == ["compile"]:
        drilled(rig_of_small_craters(CRATER), batch=FINE, sparks=1)
        return 0
    compile_elsewhere()
    made = rig_of_small_craters(CRATER)
    drilled(made, batch=FINE, sparks=20_000)
    fine = drilled(made, batch=FINE, sparks=SPARKS)
    one, depth = fine.cost(0.0, 1.0)
    print(f"{fine.seen} sparks of {1e6 * CRATER:.0f} µm craters, {1e6 * depth:.0f} µm deep")
    print(f"a million sparks take {1e6 * one:.1f} s of one core")
    deep = drilled(made, batch=DEEP, sparks=SPARKS)
    (shallow, above), (low, below) = deep.cost(0.05, 0.2), deep.cost(0.85, 1.0)
    print(
        f"a spark {1e3 * above:.2f} mm deep costs {1e6 * shallow:.2f} µs, "
        f"{1e3 * below:.2f} mm deep {1e6 * low:.2f} µs: {low / shallow:.2f} times "
        f"(at most {MOST_DEEPENING:g})"
    )
    scan = seconds_of_a_pick()
    print(f"a full scan of {CELLS} by {CELLS} cells costs {1e6 * scan:.0f} µs for each spark")
    print(f"that is {scan / one:.0f} times as much (at least {LEAST_RATIO:g})")
    memory = 1024 * resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(f"peak memory {memory / 2**20:.0f} MiB (at most {MOST_MEMORY / 2**20:.0f})")
    return 0 if low <= MOST_DEEPENING * shallow and scan >= LEAST_RATIO * one and memory <= MOST_MEMORY else 1


if __name__ == "__main__":
    sys.exit(main())
