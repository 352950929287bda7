"""From a wish to a rig file: generators sized, verified on the exact engine, ranked."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from gapwright.app.ports import Crew
from gapwright.base.checks import require_between
from gapwright.base.errors import GapwrightError, InputRefused
from gapwright.base.progress import Progress
from gapwright.base.units import Amperes, Volts
from gapwright.rig.reading import rig_from_text
from gapwright.study.sizing.sizing import Sizing, sizing
from gapwright.study.sizing.sizing_base import sizing_base
from gapwright.study.sizing.sizing_check import Row
from gapwright.study.sizing.sizing_wish import Wish

MOST_MEMBERS = 4096


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeWish:
    """A wish, the rig it is for, and how much work its verification may be."""

    wish: Wish
    like: str
    """Name of the rig file whose supply, leads, electrode and liquid are kept."""
    text: str
    """Text of that file."""
    supply_v: Volts | None = None
    supply_a: Amperes | None = None
    """Supply in place of that of the file."""
    members: int = 64
    seed: int = 0

    def __post_init__(self) -> None:
        """Refuse counts that mean nothing."""
        require_between("--members", self.members, 1, MOST_MEMBERS, "")
        require_between("--seed", self.seed, 0, 2**63 - 1, "")


def size(wanted: SizeWish, *, crew: Crew, progress: Progress) -> Sizing:
    """Generators that give what is wanted, the best first.

    Raises
    ------
    InputRefused
        If the wish or the rig file breaks a rule.
    """
    base = sizing_base(
        wanted.text,
        origin=wanted.like,
        supply=(wanted.supply_v, wanted.supply_a),
        volts=wanted.wish.voltage_v,
    )
    return sizing(
        wanted.wish,
        base,
        origin=wanted.like,
        members=wanted.members,
        seed=wanted.seed,
        work=_in_order(crew, progress),
    )


def _in_order(
    crew: Crew, progress: Progress
) -> Callable[[Callable[..., list[Row]], Sequence[object]], list[list[Row]]]:
    """Have a crew work, and put its answers in order."""

    def work(function: Callable[..., list[Row]], items: Sequence[object]) -> list[list[Row]]:
        answers: dict[int, Any] = {}

        def done(index: int, answer: Any) -> bool:
            answers[index] = answer
            return progress(len(answers), len(items), "members of the candidates, by sixteens")

        if items and not crew(function, items, done):
            raise GapwrightError("stopped as asked")
        return [answers[index] for index in range(len(items))]

    return work


def rig_file_of(found: Sizing, *, rank: int) -> str:
    """Rig file of the candidate at a place in the ranking, which the rig reader accepts.

    Raises
    ------
    InputRefused
        If there is no candidate at that place.
    """
    if not 1 <= rank <= len(found.candidates):
        raise InputRefused(
            f"--take must be between 1 and {len(found.candidates)}, the candidates found, got {rank}"
            if found.candidates
            else f"no candidate was found, so none can be written: {'; '.join(found.unsuitable.values())}"
        )
    text = found.candidates[rank - 1].rig_file
    rig_from_text(text, "the candidate's rig file")
    return text
