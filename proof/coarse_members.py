"""Members in time-lapse against members spark by spark: the same band, within its sampling error.

Drills the demonstration's first build with 32 coarse members and with 4 of the
same members spark by spark, on two threads, and compares each pair: the same
constants, so that only time-lapse differs. Once as it is, and once with an axis
so slow to answer that many of its gap loops are restless. Writes
``proof/coarse_members.md``.
"""

import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from math import log, sqrt
from pathlib import Path
from time import perf_counter

import numpy as np

from gapwright import wiring
from gapwright.app.edits import edited
from gapwright.rig.reading import job_from_text, rig_from_text
from gapwright.study.drilling.one_member import (
    FINE,
    MemberResult,
    Task,
    run_member,
    typical_spark_energy,
)
from gapwright.study.drilling.time_lapse import pace
from gapwright.study.generator.network import charge_map_of
from gapwright.study.grounds.assemble import bench
from gapwright.study.grounds.uncertain import median_member, members, uncertain_constants

HERE = Path(__file__).resolve().parent
MANY, FEW, THREADS = 32, 4, 2
COMPARED = {
    "time": "time",
    "entry": "entry diameter",
    "wear_length": "electrode used",
    "spark_energy": "energy",
}


RIGS = {"as it is": {}, "with a lag of 30 ms": {"axis.lag": "30 ms"}}


def member_tasks(changes: dict[str, str]) -> tuple[Task, list[Task]]:
    """The median member, and all members, in the time-lapse that their loops bear."""
    text = edited("rig", wiring.demo_text("first-build.rig.toml"), changes)
    rig = rig_from_text(text, "first-build.rig.toml")
    job = job_from_text(wiring.demo_text("first-build.job.toml"), "first-build.job.toml")
    made = bench(rig, job)
    charge, constants, lapse = charge_map_of(made), uncertain_constants(rig, job), pace(made)
    first = Task(
        made=made,
        charge=charge,
        member=median_member(constants),
        seed=0,
        batch=lapse.sparks_for_one(median_member(constants)),
        shown=False,
        spark_energy=typical_spark_energy(charge, made),
    )
    drawn = members(constants, count=MANY, seed=0)
    return first, [replace(first, member=each, batch=lapse.sparks_for_one(each)) for each in drawn]


def finished(results: list[MemberResult | None]) -> list[MemberResult]:
    """Results of members that nobody stopped."""
    return [result for result in results if result is not None]


def logs(results: list[MemberResult], name: str) -> np.ndarray:
    """Logarithms of a figure; NaN where a member did not finish."""
    return np.array([log(r.figure[name]) if np.isfinite(r.figure[name]) else np.nan for r in results])


def row(name: str, coarse: list[MemberResult], fine: list[MemberResult]) -> tuple[str, bool]:
    """A line of the summary, and whether the two agree.

    The mean of `FEW` members of a band with spread s is known to s / sqrt(FEW):
    by no more than that may the members in time-lapse and spark by spark differ.
    """
    all_of_them, same, full = (logs(each, name) for each in (coarse, coarse[:FEW], fine))
    spread = float(np.nanstd(all_of_them, ddof=1))
    error = spread / sqrt(FEW)
    shift = float(np.nanmean(full - same))
    fine_enough = abs(shift) <= error
    cells = (
        f"{100.0 * (np.exp(spread) - 1.0):.1f} % | {100.0 * (np.exp(error) - 1.0):.1f} % | "
        f"{100.0 * (np.exp(shift) - 1.0):+.1f} %"
    )
    return f"| {COMPARED[name]} | {cells} | {'yes' if fine_enough else 'NO'} |", fine_enough


def compared(name: str, changes: dict[str, str]) -> tuple[list[str], bool]:
    """Lines about one rig, and whether all its figures agree."""
    begun = perf_counter()
    median, tasks = member_tasks(changes)
    run_member(median)
    ready = perf_counter() - begun
    begun = perf_counter()
    run_member(median)
    first = perf_counter() - begun
    begun = perf_counter()
    with ThreadPoolExecutor(THREADS) as pool:
        coarse = finished(list(pool.map(run_member, tasks)))
        for_coarse = perf_counter() - begun
        fine = finished(list(pool.map(run_member, [replace(task, batch=FINE) for task in tasks[:FEW]])))
    for_all = perf_counter() - begun
    lines = [row(figure, coarse, fine) for figure in COMPARED]
    sparks = sum(r.course.sparks for r in fine)
    paces = ", ".join(f"{n} with {count}" for count, n in Counter(t.batch for t in tasks).most_common())
    return [
        f"## First build of the demonstration, {name}",
        "",
        f"{MANY} members in time-lapse ({paces} sparks for one) and {FEW} of them again spark by",
        f"spark ({sparks} sparks), on {THREADS} threads.",
        "",
        "| figure | spread of the members | sampling error of the few | shift | agrees |",
        "|---|---|---|---|---|",
        *(line for line, _ in lines),
        "",
        f"Ready with map and kernels after {ready:.1f} s; then a first answer in {first:.1f} s,",
        f"{MANY} members in {for_coarse:.0f} s, with {FEW} full ones in {for_all:.0f} s,",
        "on a machine that had other work to do.",
        "",
    ], all(fine_enough for _, fine_enough in lines)


def main() -> int:
    """Drill, compare, write the summary and say how it went."""
    found = [compared(name, changes) for name, changes in RIGS.items()]
    text = "\n".join(
        [
            "# Members in time-lapse against members spark by spark",
            "",
            "The shift is of the same members; it must stay within what so few members can tell of the band.",
            "Written by `proof/coarse_members.py`.",
            "",
            *(line for lines, _ in found for line in lines),
        ]
    )
    (HERE / "coarse_members.md").write_text(text, encoding="utf-8")
    print(text)
    return 0 if all(agree for _, agree in found) else 1


if __name__ == "__main__":
    sys.exit(main())
