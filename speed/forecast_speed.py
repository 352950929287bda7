"""Speed of a forecast: ``python speed/forecast_speed.py``.

Reports seconds on this machine for the first build: first look, and 64 members
on two threads, kernels compiled. Gates one ratio of the same run: a member in
time-lapse must cost at most a quarter of the drilling shown, spark by spark.
"""

import sys
from concurrent.futures import ThreadPoolExecutor
from time import perf_counter

from gapwright import wiring
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.study.drilling.one_member import COARSE, FINE, Task, run_member, typical_spark_energy
from gapwright.study.forecast.forecast import forecast
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds.assemble import bench
from gapwright.study.grounds.uncertain import median_member, uncertain_constants

LEAST_RATIO = 4.0
MEMBERS = 64


def member_seconds(task: Task) -> float:
    """Best of three runs of one member [s]."""
    best = float("inf")
    for _ in range(3):
        begun = perf_counter()
        run_member(task)
        best = min(best, perf_counter() - begun)
    return best


def main() -> int:
    """Measure, print, and gate the ratio."""
    rig = rig_from_text(wiring.demo_text("first-build.rig.toml"), "first-build.rig.toml")
    job = job_from_text(wiring.demo_text("first-build.job.toml"), "first-build.job.toml")
    made = bench(rig, job)
    begun = perf_counter()
    charge = charge_map_of(made)
    print(f"charge map, first time in this process: {perf_counter() - begun:.1f} s")
    member = median_member(uncertain_constants(rig, job))
    energy = typical_spark_energy(charge, made)
    tasks = [
        Task(made=made, charge=charge, member=member, seed=0, batch=batch, shown=False, spark_energy=energy)
        for batch in (COARSE, FINE)
    ]
    run_member(tasks[0])
    coarse, fine = (member_seconds(task) for task in tasks)
    print(f"a member in time-lapse: {coarse:.2f} s; the drilling shown: {fine:.2f} s")
    looks: list[float] = []

    def heard(done: int, total: int, what: str) -> bool:
        if what.startswith("first look"):
            looks.append(perf_counter() - begun)
        return True

    begun = perf_counter()
    with ThreadPoolExecutor(2) as pool:
        forecast(
            rig, job, members=MEMBERS, progress=heard, spread=lambda work, items: list(pool.map(work, items))
        )
    print(f"first look after {looks[0]:.1f} s; {MEMBERS} members after {perf_counter() - begun:.1f} s")
    ratio = fine / coarse
    print(f"time-lapse is {ratio:.1f} times as fast (at least {LEAST_RATIO:g})")
    return 0 if ratio >= LEAST_RATIO else 1


if __name__ == "__main__":
    sys.exit(main())
