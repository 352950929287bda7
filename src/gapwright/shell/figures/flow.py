"""Energy from socket to metal as one band: width is the energy that arrives, losses leave it."""

from collections.abc import Callable

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from gapwright.app.flow import Flow
from gapwright.app.wording import quantity_text
from gapwright.shell.figures.canvas import NARROW, WIDE, bare_axes, blank_figure, styled
from gapwright.shell.figures.strands import LABEL_SIZE, LINE_HEIGHT, TURN, Plan, Reach, Strand, reaches_of
from gapwright.shell.palette import LIGHT

Point = tuple[float, float]
Place = Callable[[float, float], Point]
"""From (along, across) to a place on the paper."""

MEANING = {"gap": "spark", "spark": "spark", "metal": "metal"}
"""Colour of the band by stage; before the gap it is energy on its way to the store."""

CURVE = 0.55


def colour_of(stage: str) -> str:
    """Colour of the band in one stage."""
    return LIGHT[MEANING.get(stage, "store")]


def add_patch(axes: Axes, points: list[Point], codes: list[int], colour: str) -> None:
    """One closed shape without an edge."""
    axes.add_patch(PathPatch(Path(points, codes), facecolor=colour, edgecolor="none"))


def add_strand(axes: Axes, place: Place, strand: Strand) -> None:
    """A loss: leaves the band, turns away from it and ends in a point."""
    near, far = strand.along, strand.along + strand.width
    start, inner, outer = near - TURN, strand.begin + strand.width, strand.begin
    turned = inner + TURN
    tip = strand.end + min(0.5 * strand.width, 0.12)
    shape = [
        (start, inner),
        (start + CURVE * TURN, inner), (near, turned - CURVE * TURN), (near, turned),
        (near, strand.end),
        ((near + far) / 2.0, tip),
        (far, strand.end),
        (far, turned),
        (far, turned - CURVE * (turned - outer)), (far - CURVE * (far - start), outer), (start, outer),
        (start, inner),
    ]  # fmt: skip
    line, curve = Path.LINETO, Path.CURVE4
    codes = [Path.MOVETO, curve, curve, curve, line, line, line, line, curve, curve, curve, Path.CLOSEPOLY]
    add_patch(axes, [place(*point) for point in shape], [int(code) for code in codes], LIGHT["loss"])


def add_reach(axes: Axes, place: Place, reach: Reach, *, ends: bool) -> None:
    """The band through one stage, narrowing where its losses leave."""
    far_edge = [(reach.start, 0.0), (reach.stop, 0.0)]
    near_edge = [(reach.start, reach.width)]
    width = reach.width
    for strand in reach.strands:
        near_edge.append((strand.along - TURN, width))
        width = max(strand.begin, 0.012)
        near_edge.append((strand.along - TURN, width))
    if ends:
        head = min(0.6 * reach.width + 0.06, 0.3)
        shoulder = min(0.25 * reach.width + 0.03, 0.12)
        stop = min(reach.stop - head, reach.start + 0.45)
        far_edge = [(reach.start, 0.0), (stop, 0.0), (stop, -shoulder), (stop + head, width / 2.0)]
        near_edge += [(stop, width), (stop, width + shoulder)]
    else:
        near_edge.append((reach.stop, width))
    points = [place(*point) for point in (*far_edge, *reversed(near_edge))]
    codes = [int(Path.MOVETO)] + [int(Path.LINETO)] * (len(points) - 1) + [int(Path.CLOSEPOLY)]
    add_patch(axes, [*points, points[0]], codes, colour_of(reach.stage))


def beside_text(flow: Flow) -> str:
    """The machines that run beside the flow, in one line."""
    parts = [f"{line.account} {quantity_text(flow.watts(line.energy_j), 'W')}" for line in flow.beside]
    return "Beside the flow: " + ", ".join(parts) if parts else ""


def write(
    axes: Axes, at: Point, lines: tuple[str, ...], *, size: float = LABEL_SIZE, strong: int = 0
) -> None:
    """Lines of text under each other, the first `strong` of them bold; `at` is the top left."""
    for row, text in enumerate(lines):
        weight = "bold" if row < strong else "normal"
        axes.text(
            at[0], at[1] - row * LINE_HEIGHT, text, fontsize=size, fontweight=weight, va="top", ha="left"
        )


def add_last_notes(axes: Axes, place: Place, reach: Reach, across: float) -> None:
    """What the arriving energy is spent on."""
    write(axes, place(reach.start + 0.02, across), reach.caption[2:])


@styled
def flow_across(flow: Flow) -> Figure:
    """Flow from left to right, losses leaving downwards; for a desk and for paper."""
    plan = Plan(across_start=1.95, stagger=True, wrap_at=15, band=1.5)
    reaches = reaches_of(flow, plan)
    ends = [strand.end + len(strand.label) * LINE_HEIGHT for reach in reaches for strand in reach.strands]
    depth = max([*ends, 2.2]) + 0.2
    top, below = 0.5, 0.3
    width = max(WIDE, reaches[-1].stop + 0.15)
    figure = blank_figure(width, top + depth + below)
    axes = bare_axes(figure)

    def place(along: float, across: float) -> Point:
        return 0.08 + along, below + depth - across

    for reach in reaches:
        add_reach(axes, place, reach, ends=reach is reaches[-1])
        for strand in reach.strands:
            add_strand(axes, place, strand)
            write(axes, place(strand.along, strand.end + 0.13), strand.label)
        write(axes, place(reach.start + 0.02, -0.44), reach.caption[:2], size=10.0, strong=1)
    add_last_notes(axes, place, reaches[-1], reaches[-1].width + 0.28)
    axes.text(0.08, 0.08, beside_text(flow), fontsize=LABEL_SIZE, color=LIGHT["quiet"], va="bottom")
    return figure


@styled
def flow_down(flow: Flow) -> Figure:
    """Flow from top to bottom, losses leaving to the right; for a narrow screen."""
    plan = Plan(across_start=1.5, stagger=False, wrap_at=23, band=0.95)
    reaches = reaches_of(flow, plan)
    left, foot = 0.85, 0.5
    length = reaches[-1].stop + foot
    figure = blank_figure(NARROW, length + 0.1)
    axes = bare_axes(figure)

    def place(along: float, across: float) -> Point:
        return left + across, length - along

    for reach in reaches:
        add_reach(axes, place, reach, ends=reach is reaches[-1])
        for strand in reach.strands:
            add_strand(axes, place, strand)
            middle = strand.along + strand.width / 2.0 - len(strand.label) * LINE_HEIGHT / 2.0
            write(axes, place(middle, strand.end + 0.16), strand.label)
        write(axes, (0.05, length - reach.start - 0.06), reach.caption[:2], size=10.0, strong=1)
    add_last_notes(axes, place, reaches[-1], reaches[-1].width + 0.3)
    text = beside_text(flow).replace(": ", ":\n", 1)
    axes.text(0.05, 0.06, text, fontsize=LABEL_SIZE, color=LIGHT["quiet"], va="bottom")
    return figure
