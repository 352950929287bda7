"""Single published figures beside the forecast's band: hit, miss, or why it cannot be compared.

Reads every row of the table `published` of the facts. A miss is a finding, kept
as it is. Writes ``proof/published_figures.md``.
"""

import sys
from dataclasses import dataclass, fields
from math import isnan
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from gapwright import wiring
from gapwright.base.progress import silent
from gapwright.facts.sources import source
from gapwright.facts.tables import Row, rows
from proof._published_bands import BANDS, PUBLISHED_INSTEAD, UNUSABLE, Band

HERE = Path(__file__).resolve().parent
MEMBERS = 64
FROM_FORECASTS = "R32"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One row of the summary."""

    name: str
    what: str
    published: str
    ours: str
    verdict: str
    how: str
    source: str


def number(value: float) -> str:
    """A number with three digits."""
    return f"{value:.3g}"


def span(low: float, high: float, unit: str) -> str:
    """A range with its unit, or one number."""
    text = number(low) if low == high else f"{number(low)} to {number(high)}"
    return f"{text} {unit}".strip()


def ends(row: Row) -> tuple[float, float] | None:
    """Published ends of a row in its SI unit; None where it is a text."""
    if row.name in PUBLISHED_INSTEAD:
        return PUBLISHED_INSTEAD[row.name]
    if row.low is not None and row.high is not None:
        return row.low, row.high
    if isinstance(row.value, float | int):
        return float(row.value), float(row.value)
    return None


def judged(found: tuple[float, float] | None, ours: Band) -> str:
    """Hit, miss, or for a figure that only has a sense: agrees or not."""
    if ours.trend is not None:
        return "sense agrees" if ours.trend else "miss: no such trend"
    if found is None:
        raise LookupError("a figure without ends can only be compared by its sense")
    low, high = found
    if low <= ours.high and high >= ours.low:
        return "hit" if low == high or (ours.low <= low and high <= ours.high) else "hit: the ranges overlap"
    return "miss: ours is higher" if ours.low > high else "miss: ours is lower"


def compared(row: Row, ours: Band) -> Line:
    """A row that can be compared."""
    found = ends(row)
    text = str(row.value) if found is None else span(*found, row.unit)
    band = "" if isnan(ours.median) else f"{number(ours.median)} ({span(ours.low, ours.high, '')})"
    return Line(
        name=row.name,
        what=f"{row.property}{f'; {row.at}' if row.at else ''}",
        published=text,
        ours=band,
        verdict=judged(found, ours),
        how=ours.how,
        source=source(row.source).title,
    )


def not_compared(row: Row, reason: str) -> Line:
    """A row that cannot be compared, and why."""
    found = ends(row)
    text = str(row.value) if found is None else span(*found, row.unit)
    return Line(
        name=row.name,
        what=row.property,
        published=text,
        ours="",
        verdict="not usable",
        how=reason,
        source=source(row.source).title,
    )


def rate_of_forecasts() -> Band:
    """Removal of the drilling demonstration rigs: the lowest and the highest end of their bands."""
    answers = wiring.demo_answers(seed=0, members=MEMBERS, progress=silent)[1:]
    rates = [answer.forecast.removal_rate_m3_per_s for answer in answers]
    low = min(r.low for r in rates if r.low is not None)
    high = max(r.high for r in rates if r.high is not None)
    middle = sum(r.median for r in rates if r.median is not None) / len(rates)
    return Band(
        low=low, median=middle, high=high, how=f"both drilling rigs of the demonstration, {MEMBERS} members"
    )


def lines(*, forecasts: bool = True) -> list[Line]:
    """Every published figure, in the order of the table; `forecasts` runs whole drillings where needed."""
    found = []
    for row in rows("published"):
        if row.name in UNUSABLE:
            found.append(not_compared(row, UNUSABLE[row.name]))
        elif row.name == FROM_FORECASTS:
            found += [compared(row, rate_of_forecasts())] if forecasts else []
        else:
            found.append(compared(row, BANDS[row.name]()))
    return found


def summary(found: list[Line]) -> str:
    """The table as text."""
    verdicts = [line.verdict for line in found]
    hits = sum(v.startswith(("hit", "sense")) for v in verdicts)
    misses = sum(v.startswith("miss") for v in verdicts)
    body = [f"| {' | '.join(getattr(line, field.name) for field in fields(line))} |" for line in found]
    return "\n".join(
        [
            "# Single published figures beside the forecast's band",
            "",
            f"{hits} hits, {misses} misses, {len(found) - hits - misses} that cannot be compared. Ours is",
            "the median with the 5th and 95th percentile over the forecast's uncertain constants.",
            "Nothing is fitted to these figures; a miss stands as it is. A published range is hit where the",
            "two ranges overlap.",
            "Written by `proof/published_figures.py`.",
            "",
            "| name | what | published | ours | verdict | how, or why not | source |",
            "|---|---|---|---|---|---|---|",
            *body,
            "",
        ]
    )


def main() -> int:
    """Compare, write the summary and print it; a miss is a finding, not a fault."""
    text = summary(lines())
    (HERE / "published_figures.md").write_text(text, encoding="utf-8")
    print(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
