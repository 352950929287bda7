"""The demo: three invented rigs, their ledgers side by side, and the one thing to change on each."""

from collections.abc import Sequence
from dataclasses import dataclass

from gapwright.app.flow import Flow, Step, flow_of
from gapwright.app.forecast import Answer, Effort, forecast_texts
from gapwright.app.wording import quantity_text, share_text
from gapwright.study.grounds.outcome import Forecast, Ledger

NAMES = ("dry-start", "first-build", "second-build")
"""The rigs of the demo, in the order in which a person builds them."""

CHANGES = {
    "charging resistor": "a coil and a switch in place of the resistor, which burns half of what it is given",
    "shorts": "what makes it short: finer steps, less backlash and lag, more flushing, a higher set point",
    "leakage": "the water: purer water leaks less",
}
"""What to change first where one account takes the most; common practice, no source."""

STAGE_CHANGES = {
    "charger": "a coil, a switch and a diode with less resistance",
    "store": "a film capacitor, which loses less than one in a thousand of what passes through it",
    "leads": "shorter and thicker leads, go and return side by side",
    "gap": "the gap: flush more, use purer water",
    "spark": "little on the rig: this is heat that the spark itself spreads around",
}
"""The same by stage, where no account is named above."""

UPSTREAM = ("socket", "supply")
"""Stages that are there before any spark: what they take does not depend on the drilling."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoFiles:
    """Texts of one rig and its job."""

    name: str
    rig: str
    job: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """What one stage of one rig takes: power and share of the socket's energy; None without such a stage."""

    power_w: float | None
    share: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRow:
    """One stage across the rigs."""

    stage: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoAnswer:
    """Forecasts of the demo, their stages side by side, and one sentence for each rig."""

    schema: int
    forecasts: tuple[Forecast, ...]
    stages: tuple[StageRow, ...]
    sentences: tuple[str, ...]


def demo(files: Sequence[DemoFiles], *, effort: Effort) -> list[Answer]:
    """Forecast of each rig of the demo."""
    return [
        forecast_texts(
            (f"{each.name}.rig.toml", each.rig), (f"{each.name}.job.toml", each.job), effort=effort
        )
        for each in files
    ]


def compared(answers: Sequence[Answer]) -> DemoAnswer:
    """Forecasts with their ledgers side by side."""
    forecasts = tuple(answer.forecast for answer in answers)
    return DemoAnswer(
        schema=1,
        forecasts=forecasts,
        stages=side_by_side([forecast.ledger for forecast in forecasts]),
        sentences=tuple(spending_sentence(forecast) for forecast in forecasts),
    )


def cell_text(cell: Cell) -> str:
    """Power and share in one cell."""
    if cell.power_w is None or cell.share is None:
        return "-"
    return f"{quantity_text(cell.power_w, 'W')}, {share_text(cell.share)}"


def side_by_side(ledgers: Sequence[Ledger]) -> tuple[StageRow, ...]:
    """What each stage takes, with the rigs as columns and the auxiliaries last."""
    flows = [flow_of(ledger) for ledger in ledgers]
    stages = merged([[step.stage for step in flow.steps if step.losses] for flow in flows])
    rows = [StageRow(stage=stage, cells=tuple(taken(flow, stage) for flow in flows)) for stage in stages]
    beside = StageRow(stage="beside it", cells=tuple(beside_cell(flow) for flow in flows))
    return (*rows, beside)


def merged(orders: Sequence[Sequence[str]]) -> list[str]:
    """Names of several ordered lists in one order that keeps each of theirs."""
    result: list[str] = []
    for names in orders:
        place = 0
        for name in names:
            if name in result:
                place = result.index(name) + 1
            else:
                result.insert(place, name)
                place += 1
    return result


def taken(flow: Flow, stage: str) -> Cell:
    """What one stage takes out of a flow."""
    step = next((step for step in flow.steps if step.stage == stage), None)
    if step is None:
        return Cell(power_w=None, share=None)
    return Cell(power_w=flow.watts(step.lost_j), share=sum(line.share for line in step.losses))


def beside_cell(flow: Flow) -> Cell:
    """What runs beside a flow."""
    return Cell(
        power_w=sum(flow.watts(line.energy_j) for line in flow.beside),
        share=sum(line.share for line in flow.beside),
    )


def handed_on(flow: Flow) -> float:
    """Energy that the supply hands on to the generator."""
    return next((step.came_in_j for step in flow.steps if step.stage not in UPSTREAM), 0.0)


def greatest_step(flow: Flow) -> Step:
    """Stage between supply and metal that takes the most."""
    between = [step for step in flow.steps[:-1] if step.stage not in UPSTREAM]
    return max(between or flow.steps, key=lambda step: step.lost_j)


def spending_sentence(forecast: Forecast) -> str:
    """Which stage spends what the supply of a rig hands on, and the one thing to change first."""
    flow = flow_of(forecast.ledger)
    step, given = greatest_step(flow), handed_on(flow)
    if given <= 0.0 or not step.losses:
        return f"{forecast.rig}: the supply hands nothing on."
    line = max(step.losses, key=lambda loss: loss.energy_j)
    change = CHANGES.get(line.account) or STAGE_CHANGES.get(step.stage, f"the {step.stage}")
    given_text, lost_text = (quantity_text(flow.watts(energy), "W") for energy in (given, step.lost_j))
    return (
        f"{forecast.rig}: of {given_text} that the supply hands on, the {step.stage} takes the most, "
        f"{lost_text} or {share_text(step.lost_j / given)}, mainly {line.account}; "
        f"{share_text(flow.steps[-1].came_in_j / given)} reaches the metal. Change first: {change}."
    )
