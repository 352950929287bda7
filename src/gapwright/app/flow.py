"""Follow the joule: the ledger as stages, each with what came in, what went on and what was lost."""

from dataclasses import dataclass

from gapwright.study.grounds.outcome import Account, Ledger, Role

BESIDE = "auxiliaries"
"""Stage of machines that run beside the joules of the spark: spindle, pump, controller."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One stage of the flow, in joules over the whole drilling."""

    stage: str
    came_in_j: float
    losses: tuple[Account, ...]
    kept: tuple[Account, ...]
    of_which: tuple[Account, ...]
    went_on_j: float

    @property
    def lost_j(self) -> float:
        """Energy that left the flow at this stage."""
        return sum(line.energy_j for line in self.losses)


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """Energy from socket to chip: the stages in order, and what runs beside them."""

    duration_s: float
    entered_j: float
    steps: tuple[Step, ...]
    beside: tuple[Account, ...]

    def watts(self, energy: float) -> float:
        """Mean power of an energy over the drilling."""
        return energy / self.duration_s if self.duration_s > 0 else 0.0


def lines_of(accounts: tuple[Account, ...], stage: str, role: Role) -> tuple[Account, ...]:
    """Ledger lines of one stage and role, in order."""
    return tuple(line for line in accounts if line.stage == stage and line.role is role)


def energy_of(lines: tuple[Account, ...]) -> float:
    """Sum of the energies of ledger lines."""
    return sum(line.energy_j for line in lines)


def flow_of(ledger: Ledger) -> Flow:
    """Ledger as a flow through the stages, in the order in which they first appear."""
    main = tuple(line for line in ledger.accounts if line.stage != BESIDE)
    stages = list(dict.fromkeys(line.stage for line in main))
    steps: list[Step] = []
    arriving = 0.0
    for stage in stages:
        came_in = arriving + energy_of(lines_of(main, stage, Role.IN))
        losses = lines_of(main, stage, Role.OUT)
        kept = lines_of(main, stage, Role.STORED)
        arriving = came_in - energy_of(losses) - energy_of(kept)
        steps.append(
            Step(
                stage=stage,
                came_in_j=came_in,
                losses=losses,
                kept=kept,
                of_which=lines_of(main, stage, Role.OF_WHICH),
                went_on_j=arriving,
            )
        )
    return Flow(
        duration_s=ledger.duration_s,
        entered_j=energy_of(tuple(line for line in main if line.role is Role.IN)),
        steps=tuple(steps),
        beside=lines_of(ledger.accounts, BESIDE, Role.OUT),
    )


def greatest_loss(ledger: Ledger) -> Account:
    """Line that takes the most energy between socket and metal, auxiliaries aside."""
    flow = flow_of(ledger)
    losses = [line for step in flow.steps[:-1] for line in step.losses]
    return max(losses or flow.steps[-1].losses, key=lambda line: line.energy_j)
