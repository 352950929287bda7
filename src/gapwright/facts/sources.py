"""Works that numbers and laws refer to by key."""

from functools import cache

from gapwright.base.source import Source, Status
from gapwright.facts._reading import data, missing


@cache
def sources() -> tuple[Source, ...]:
    """Every work that a number or a law of this project refers to, in the order of the file."""
    return tuple(
        Source(key=key, title=record["title"], status=Status(record["status"]))
        for key, record in data("sources").items()
    )


@cache
def source(key: str) -> Source:
    """Work with this key.

    Raises
    ------
    FactMissing
        If no work has this key.

    Examples
    --------
    >>> source("carslaw-jaeger-1959").title
    'Carslaw, H. S. and Jaeger, J. C. (1959), Conduction of Heat in Solids, 2nd edition, Oxford'
    """
    for work in sources():
        if work.key == key:
            return work
    raise missing("the source", key, (work.key for work in sources()), table="sources")
