"""Does the hole keep the size that the job asks for: how many members do, and by how much they miss."""

from collections.abc import Sequence
from math import isfinite

import numpy as np

from gapwright.rig.job import Job
from gapwright.study.drilling.one_member import MemberResult


def size_in_words(job: Job, coarse: Sequence[MemberResult]) -> str:
    """How many of the finished holes keep the wanted size at each end; empty where none is finished.

    Parameters
    ----------
    job
        Hole wanted, with its tolerance either way.
    coarse
        Members behind the bands.
    """
    done = [r for r in coarse if r.course.gets_through]
    ends = ("entry", "exit") if job.hole.through else ("entry",)
    found = {end: _diameters(done, end) for end in ends}
    if not done or not all(len(diameters) for diameters in found.values()):
        return ""
    parts = [_end_in_words(job, end, diameters) for end, diameters in found.items()]
    wanted = f"{1e3 * job.hole.diameter:.3g} ± {1e3 * job.hole.tolerance:.2g} mm"
    return f"Of {len(done)} finished holes the wanted {wanted} is kept by {' and '.join(parts)}."


def _diameters(done: Sequence[MemberResult], figure: str) -> list[float]:
    return [r.figure[figure] for r in done if isfinite(r.figure[figure])]


def _end_in_words(job: Job, end: str, diameters: Sequence[float]) -> str:
    """Share that keeps the size at one end, and what the middle one is off by, if it does not."""
    off = np.asarray(diameters) - job.hole.diameter
    kept = np.mean(np.abs(off) <= job.hole.tolerance)
    middle = float(np.median(off))
    way = "wide" if middle > 0.0 else "narrow"
    missed = f" (the middle one is {1e3 * abs(middle):.2g} mm too {way})"
    return f"{100 * kept:.0f} % at the {end}{missed if abs(middle) > job.hole.tolerance else ''}"
