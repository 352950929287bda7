"""Layout of an energy flow: where the band runs and where each loss leaves it.

Everything is in inches in two directions: `along` the flow, and `across` it,
0 at the band's far edge and growing towards the side where losses leave.
"""

from dataclasses import dataclass, replace
from textwrap import wrap

from matplotlib.textpath import TextPath

from gapwright.app.flow import Flow, Step
from gapwright.app.wording import quantity_text, share_text
from gapwright.study.grounds.outcome import Account

LABEL_SIZE = 9.0
LINE_HEIGHT = 0.155
LEAST_WIDTH = 0.014
TURN = 0.13
SEEN_SHARE = 5e-4


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """A loss that leaves the band: near edge along the flow, width, where it begins and ends across."""

    along: float
    width: float
    begin: float
    end: float
    label: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """The band through one stage: from where to where, and its width on arrival."""

    stage: str
    start: float
    stop: float
    width: float
    caption: tuple[str, ...]
    strands: tuple[Strand, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """How strands are set out: side by side with staggered ends, or one under the other."""

    across_start: float
    stagger: bool
    wrap_at: int
    band: float


def text_width(text: str, size: float = LABEL_SIZE) -> float:
    """Width of a printed text in inches."""
    return float(TextPath((0.0, 0.0), text or " ", size=size).get_extents().width) / 72.0


def loss_label(flow: Flow, line: Account, wrap_at: int) -> tuple[str, ...]:
    """What is written at the end of a strand: the account, its power and its share."""
    power = quantity_text(flow.watts(line.energy_j), "W")
    return (*wrap(line.account, wrap_at), f"{power}, {share_text(line.share)}")


def seen_lines(flow: Flow, step: Step) -> list[Account]:
    """Losses of a stage that are wide enough to be drawn."""
    return [line for line in (*step.losses, *step.kept) if line.energy_j > SEEN_SHARE * flow.entered_j]


def strands_of(
    flow: Flow, step: Step, plan: Plan, *, start: float, scale: float
) -> tuple[list[Strand], float]:
    """Strands of one stage, and where the stage ends along the flow."""
    lines = seen_lines(flow, step)
    labels = [loss_label(flow, line, plan.wrap_at) for line in lines]
    ends = staggered_ends(labels, plan) if plan.stagger else [plan.across_start] * len(lines)
    near = step.came_in_j * scale
    along = start + TURN + 0.05
    stop = start + 0.5 if plan.stagger else start + 0.62
    strands = []
    for line, label, end in zip(lines, labels, ends, strict=True):
        width = max(line.energy_j * scale, LEAST_WIDTH)
        near -= line.energy_j * scale
        if not plan.stagger:
            along += max(len(label) * LINE_HEIGHT - width, 0.0) / 2.0
        strands.append(Strand(along=along, width=width, begin=near, end=end, label=label))
        room = 0.05 if plan.stagger else max(len(label) * LINE_HEIGHT - width, 0.0) / 2.0 + 0.09
        reach = max(text_width(text) for text in label) if plan.stagger else width + room
        stop = max(stop, along + max(reach, width) + 0.14)
        along += width + room
    return strands, stop


def staggered_ends(labels: list[tuple[str, ...]], plan: Plan) -> list[float]:
    """Ends across the flow, so that each label passes under the strand beside it."""
    ends: list[float] = []
    across = plan.across_start
    for label in reversed(labels):
        ends.append(across)
        across += len(label) * LINE_HEIGHT + 0.16
    return ends[::-1]


def reaches_of(flow: Flow, plan: Plan) -> list[Reach]:
    """Band and strands of the whole flow, stage by stage; stages that only pass energy on are left out."""
    scale = plan.band / flow.entered_j
    reaches: list[Reach] = []
    start = 0.0
    last = flow.steps[-1]
    for step in flow.steps[:-1]:
        if not seen_lines(flow, step):
            continue
        strands, stop = strands_of(flow, step, plan, start=start, scale=scale)
        caption = (step.stage, quantity_text(flow.watts(step.came_in_j), "W"))
        stop = max(stop, start + max(text_width(text, 10.0) for text in caption) + 0.14)
        width = max(step.came_in_j * scale, LEAST_WIDTH)
        reaches.append(
            Reach(
                stage=step.stage, start=start, stop=stop, width=width, caption=caption, strands=tuple(strands)
            )
        )
        start = stop
    reaches.append(arrival(flow, last, plan, start=start, scale=scale))
    return reaches


def arrival(flow: Flow, last: Step, plan: Plan, *, start: float, scale: float) -> Reach:
    """Last reach: what arrives, with what it is spent on."""
    inside = [replace(line, account=f"of which {line.account}") for line in last.of_which]
    notes = [text for line in (*last.losses, *inside) for text in loss_label(flow, line, plan.wrap_at)]
    caption = (last.stage, quantity_text(flow.watts(last.came_in_j), "W"), *notes)
    length = (
        max(text_width(text) for text in caption) + 0.1
        if plan.stagger
        else max(len(notes) * LINE_HEIGHT, 0.5) + 0.1
    )
    width = max(last.came_in_j * scale, LEAST_WIDTH)
    return Reach(stage=last.stage, start=start, stop=start + length, width=width, caption=caption, strands=())
