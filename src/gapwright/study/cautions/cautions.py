"""What to be careful about with a rig and a job: every rule, the gravest first."""

from collections.abc import Callable, Iterator

from gapwright.study.cautions import cautions_bench, cautions_liquid, cautions_parts, cautions_store
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.limit_words import PRACTICE
from gapwright.study.grounds.outcome import Caution, Degree
from gapwright.study.grounds.stress import Stress

Rule = Callable[[Bench, Stress], Iterator[Caution]]

RULES: tuple[Rule, ...] = (
    *cautions_liquid.RULES,
    *cautions_store.RULES,
    *cautions_parts.RULES,
    *cautions_bench.RULES,
)
GRAVEST_FIRST = (Degree.DANGER, Degree.CARE, Degree.NOTE)

LOCAL_CODES = Caution(
    degree=Degree.NOTE,
    text="These remarks replace no law: follow the electrical and fire codes where you live, and have mains "
    "wiring and protection made or checked by somebody licensed for it.",
    limit="always",
    source=PRACTICE,
)
"""Closes every set of cautions."""


def cautions(made: Bench, stress: Stress) -> tuple[Caution, ...]:
    """Cautions that the rules raise for a rig and a job, the gravest first.

    Parameters
    ----------
    made
        Rig and job with their facts.
    stress
        What the drilling asks of parts and person.
    """
    raised = [caution for rule in RULES for caution in rule(made, stress)]
    return (*sorted(raised, key=lambda caution: GRAVEST_FIRST.index(caution.degree)), LOCAL_CODES)
