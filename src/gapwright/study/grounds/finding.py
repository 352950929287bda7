"""One finding about a generator: which part, what it reaches, the limit, the margin, the remedy."""

from dataclasses import dataclass

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Number
from gapwright.study.grounds.outcome import Caution, Degree

ANY = "any"
"""Scene of a finding that does not come from one scene."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What one part goes through, in `unit`, against a limit where there is one.

    `margin` is the share of the limit that is left, below 0 beyond it; None without a limit.
    """

    part: str
    quantity: str
    scene: str
    found: Number
    limit: Number | None
    unit: str
    margin: Number | None
    within: bool
    degree: Degree
    text: str
    remedy: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A quantity of a part in a scene, and what it is held against."""

    part: str
    quantity: str
    scene: str
    found: Number
    unit: str
    limit: Number | None = None
    at_least: bool = False
    """Whether the limit is the least allowed, not the most."""


def margin_of(held: Held) -> Number | None:
    """Share of the limit that is left; below 0 beyond it, None without a limit.

    Examples
    --------
    >>> margin_of(Held(part="coil", quantity="peak current", scene="short", found=2.4, limit=3.0, unit="A"))
    0.2
    """
    if held.limit is None:
        return None
    if held.at_least:
        return (held.found - held.limit) / max(abs(held.limit), 1e-300)
    if held.limit == 0.0:
        return 0.0 if held.found <= 0.0 else -1.0
    return round(1.0 - held.found / held.limit, 6) + 0.0  # what a run rounds is not beyond a limit


def finding(held: Held, *, text: str = "", remedy: str, source: str, beyond: Degree = Degree.CARE) -> Finding:
    """Put a quantity and its limit into a finding.

    Parameters
    ----------
    held
        The quantity and its limit.
    text
        What it means, in a sentence; made from the numbers if not given.
    remedy
        What to do about it.
    source
        Where the limit comes from.
    beyond
        How grave it is beyond the limit.
    """
    margin = margin_of(held)
    within = margin is None or margin >= 0.0
    return Finding(
        part=held.part,
        quantity=held.quantity,
        scene=held.scene,
        found=held.found,
        limit=held.limit,
        unit=held.unit,
        margin=margin,
        within=within,
        degree=Degree.NOTE if within else beyond,
        text=text or _plain_text(held, within=within),
        remedy=remedy,
        source=source,
    )


def _plain_text(held: Held, *, within: bool) -> str:
    found = printed_quantity(held.found, held.unit)
    start = f"The {held.part}'s {held.quantity} reaches {found}"
    if held.limit is None:
        return f"{start}."
    limit = printed_quantity(held.limit, held.unit)
    side = "at least" if held.at_least else "at most"
    return f"{start}; {side} {limit} is allowed{'' if within else ', so it is beyond its limit'}."


def of_caution(caution: Caution, held: Held) -> Finding:
    """A caution that a drilling would raise as well, as a finding about one part.

    Its first sentence says what is found, the rest what to do.
    """
    margin = margin_of(held)
    text, _, remedy = caution.text.partition(". ")
    return Finding(
        part=held.part,
        quantity=held.quantity,
        scene=held.scene,
        found=held.found,
        limit=held.limit,
        unit=held.unit,
        margin=margin,
        within=caution.degree is Degree.NOTE and (margin is None or margin >= 0.0),
        degree=caution.degree,
        text=text.removesuffix(".") + ".",
        remedy=remedy or "Nothing to do.",
        source=caution.source,
    )
