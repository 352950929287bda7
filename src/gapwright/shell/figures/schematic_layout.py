"""Where the parts of a circuit stand in its drawing.

Nodes lie side by side on one rail, those that parts join near each other,
ground runs below. A part to ground hangs under its node; a part between
two nodes that follow each other lies in the rail, any other on a level above.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from gapwright.circuit.network.elements import Element
from gapwright.circuit.network.netlist import GROUND, Netlist

COLUMN, SERIES, RISE, DROP = 94.0, 98.0, 92.0, 132.0
"""Least widths of a hanging and of a lying part, height of a level, distance of ground. [px]"""
LETTER_WIDTH, BESIDE = 7.0, 40.0
"""Width of a letter, and what a symbol takes before the text beside it. [px]"""
PASSES = 4
"""Times that the order of the nodes is looked through."""
MARGIN = 46.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One part: from where to where it is drawn, its start node first."""

    part: Element
    x0: float
    y0: float
    x1: float
    y1: float
    share: float = 0.5
    """Share of the way at which its symbol stands."""

    @property
    def middle(self) -> tuple[float, float]:
        """Where its symbol stands."""
        return (
            self.x0 + self.share * (self.x1 - self.x0),
            self.y0 + self.share * (self.y1 - self.y0),
        )

    @property
    def is_upright(self) -> bool:
        """Whether it hangs between rail and ground."""
        return self.x0 == self.x1


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """All parts and wires of a drawing."""

    parts: tuple[Placed, ...]
    wires: tuple[tuple[float, float, float, float], ...]
    dots: tuple[tuple[float, float], ...]
    nodes: dict[str, tuple[float, float]]
    """Place of each node's name."""
    width: float
    height: float
    rail: float
    ground: float


@dataclass(slots=True, kw_only=True, eq=False)
class _Span:
    """Stretch of rail that one node takes."""

    hanging: list[Element] = field(default_factory=list)
    over: list[Element] = field(default_factory=list)
    left: float = 0.0
    right: float = 0.0
    places: dict[str, float] = field(default_factory=dict)
    """Place of each part that hangs under it or rises from it."""


def node_order(netlist: Netlist) -> list[str]:
    """Nodes in an order in which parts between two of them reach over few others."""
    order = list(netlist.nodes)
    pairs = [(p.start, p.end) for p in netlist.elements if GROUND not in (p.start, p.end)]

    def reach(nodes: list[str]) -> int:
        place = {node: k for k, node in enumerate(nodes)}
        return sum(abs(place[a] - place[b]) for a, b in pairs)

    for _ in range(PASSES):
        before = reach(order)
        for node in list(order):
            rest = [other for other in order if other != node]
            moved = [[*rest[:k], node, *rest[k:]] for k in range(len(order))]
            best = min(moved, key=reach)
            order = best if reach(best) < reach(order) else order
        if reach(order) == before:
            break
    return order


def _hangs_over(part: Element) -> float:
    """Width of a hanging part with the text beside it."""
    return max(COLUMN, BESIDE + LETTER_WIDTH * len(part.name))


def _lies_over(part: Element) -> float:
    """Width of a lying part with the text above it."""
    return max(SERIES, 16.0 + LETTER_WIDTH * len(part.name))


def _sorted_out(
    netlist: Netlist, order: list[str]
) -> tuple[dict[str, _Span], dict[tuple[str, str], Element], list[Element]]:
    """Parts that hang, that lie in the rail between neighbours, and that lie above."""
    place = {node: k for k, node in enumerate(order)}
    spans = {node: _Span() for node in order}
    rail: dict[tuple[str, str], Element] = {}
    above: list[Element] = []
    for part in netlist.elements:
        ends = [node for node in (part.start, part.end) if node != GROUND]
        if len(ends) == 1:
            spans[ends[0]].hanging.append(part)
            continue
        low, high = sorted(ends, key=place.__getitem__)
        if place[high] - place[low] == 1 and (low, high) not in rail:
            rail[low, high] = part
        else:
            above.append(part)
            spans[low].over.append(part)
            spans[high].over.append(part)
    return spans, rail, above


def _levels(above: Iterable[Element], spans: dict[str, _Span]) -> dict[str, int]:
    """Level of each part above the rail, so that none crosses another."""
    taken: list[list[tuple[float, float]]] = []
    levels = {}
    for part in sorted(above, key=lambda p: abs(_reach(p, spans)[1] - _reach(p, spans)[0])):
        low, high = _reach(part, spans)
        level = next(
            (k for k, row in enumerate(taken) if all(high < a or low > b for a, b in row)), len(taken)
        )
        if level == len(taken):
            taken.append([])
        taken[level].append((low, high))
        levels[part.name] = level + 1
    return levels


def _reach(part: Element, spans: dict[str, _Span]) -> tuple[float, float]:
    ends = sorted(spans[node].places[part.name] for node in (part.start, part.end))
    return ends[0], ends[1]


def _spread(order: list[str], spans: dict[str, _Span], rail: dict[tuple[str, str], Element]) -> float:
    """Give every node its stretch of rail; returns the right end."""
    x = MARGIN
    for k, node in enumerate(order):
        span = spans[node]
        span.left = x
        step = 0.0
        for part in span.over:
            span.places[part.name] = x + step
            step += 34.0
        x += max(0.0, step - 34.0) if not span.hanging else step
        for number, part in enumerate(span.hanging):
            x += _hangs_over(span.hanging[number - 1]) if number else 12.0
            span.places[part.name] = x
        span.right = x
        lying = rail.get((node, order[k + 1])) if k + 1 < len(order) else None
        x += max(_lies_over(lying) if lying else 30.0, _hangs_over(span.hanging[-1]) if span.hanging else 0.0)
    return x


def _free_share(x0: float, x1: float, stubs: list[float]) -> float:
    """Share of the way from one end to the other that is farthest from all wires that rise through it."""
    inside = [x for x in stubs if min(x0, x1) < x < max(x0, x1)]

    def room(share: float) -> float:
        return min((abs(x0 + share * (x1 - x0) - x) for x in inside), default=1.0)

    return max((0.5, 0.35, 0.65, 0.25, 0.75), key=room)


Wire = tuple[float, float, float, float]


def _hung(
    spans: dict[str, _Span], top: float, ground: float
) -> tuple[list[Placed], list[Wire], list[tuple[float, float]]]:
    """Parts between rail and ground, with the rail of each node and the dots where wires meet."""
    placed: list[Placed] = []
    wires: list[Wire] = []
    dots: list[tuple[float, float]] = []
    for span in spans.values():
        if span.right > span.left:
            wires.append((span.left, top, span.right, top))
        touches = [span.places[p.name] for p in (*span.hanging, *span.over)]
        dots += [(x, top) for x in touches if span.left < x < span.right or len(touches) > 1]
        for part in span.hanging:
            x = span.places[part.name]
            y0, y1 = (top, ground) if part.end == GROUND else (ground, top)
            placed.append(Placed(part=part, x0=x, y0=y0, x1=x, y1=y1))
            dots.append((x, ground))
    return placed, wires, dots


def laid_out(netlist: Netlist) -> Layout:
    """Drawing of a circuit: parts, wires and the places where names stand."""
    order = node_order(netlist)
    spans, rail, above = _sorted_out(netlist, order)
    right = _spread(order, spans, rail)
    levels = _levels(above, spans)
    top = MARGIN + 24.0 + RISE * max(levels.values(), default=0)
    ground = top + DROP
    placed, wires, dots = _hung(spans, top, ground)
    for (low, high), part in rail.items():
        a, b = spans[low].right, spans[high].left
        x0, x1 = (a, b) if part.start == low else (b, a)
        placed.append(Placed(part=part, x0=x0, y0=top, x1=x1, y1=top))
    stubs = [span.places[part.name] for span in spans.values() for part in span.over]
    for part in above:
        y = top - RISE * levels[part.name]
        x0, x1 = spans[part.start].places[part.name], spans[part.end].places[part.name]
        wires += [(x0, top, x0, y), (x1, top, x1, y)]
        share = _free_share(x0, x1, stubs)
        placed.append(Placed(part=part, x0=x0, y0=y, x1=x1, y1=y, share=share))
    bottoms = [p.x0 for p in placed if p.is_upright]
    if bottoms:
        wires.append((min(bottoms), ground, max(bottoms), ground))
    return Layout(
        parts=tuple(placed),
        wires=tuple(wires),
        dots=tuple(dict.fromkeys(dots)),
        nodes={node: (0.5 * (span.left + span.right), top) for node, span in spans.items()},
        width=right + MARGIN,
        height=ground + MARGIN,
        rail=top,
        ground=ground,
    )
