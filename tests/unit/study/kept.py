"""A drilling of the first build whose every spark, history and shapes were kept, made once."""

from functools import cache

from gapwright.study.drilling.recorder import Asked
from gapwright.study.forecast.drillings import Drillings, Work, drillings
from tests.unit.study.benches import FIRST, demo

THIN = 0.1e-3
AT = (0.03e-3, 0.06e-3)
ASKED = Asked(every_spark=True, shapes_at=AT, captures=True)


@cache
def kept(name: str = FIRST) -> Drillings:
    """One member and the drilling shown, with everything kept."""
    made = demo(name, job={"workpiece.thickness": THIN})
    return drillings(made.rig, made.job, Work(seed=3, members=1, asked=ASKED))
