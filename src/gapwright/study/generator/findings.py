"""All findings about a generator, the gravest first."""

from gapwright.study.generator.findings_arcs import arc_findings, stress_of
from gapwright.study.generator.findings_further import further_findings
from gapwright.study.generator.findings_heat import heat_findings
from gapwright.study.generator.findings_loop import loop_findings
from gapwright.study.generator.findings_parts import part_findings
from gapwright.study.generator.findings_start import start_findings
from gapwright.study.generator.scenes import Scenes
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.finding import Finding
from gapwright.study.grounds.outcome import Degree

ORDER = (Degree.DANGER, Degree.CARE, Degree.NOTE)


def findings(made: Bench, seen: Scenes) -> tuple[Finding, ...]:
    """Findings of every rule: the gravest first, then by how little of the limit is left.

    Parameters
    ----------
    made
        Rig with its facts.
    seen
        Scenes of its generator.
    """
    stress = stress_of(made, seen)
    found = [
        *part_findings(made, seen),
        *further_findings(made, seen),
        *start_findings(made, seen),
        *arc_findings(made, seen, stress),
        *loop_findings(made, seen, stress),
        *heat_findings(made, seen),
    ]
    return tuple(sorted(found, key=_rank))


def _rank(found: Finding) -> tuple[int, bool, float]:
    margin = found.margin if found.margin is not None else 1e9
    return ORDER.index(found.degree), found.within, margin
