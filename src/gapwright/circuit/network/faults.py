"""Faults by which a circuit cannot be solved, by name of nodes and parts."""

from collections import Counter

from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.circuit.network.elements import (
    Capacitor,
    ChargeCounter,
    CurrentSource,
    Element,
    Gap,
    Inductor,
    Resistor,
    VoltageSource,
)
from gapwright.circuit.network.magnetics import Coupling

GROUND = "0"


def refuse_doubles(names: list[str]) -> None:
    """Refuse two parts of one name."""
    doubles = [name for name, count in Counter(names).items() if count > 1]
    if doubles:
        raise InputRefused(f"every part must have a name of its own, got {doubles[0]!r} twice; rename one")


def _joined(elements: list[Element]) -> dict[str, str]:
    """Root of the group of nodes that each node is joined to by `elements`."""
    root: dict[str, str] = {}

    def find(node: str) -> str:
        while root.setdefault(node, node) != node:
            node = root[node]
        return node

    for e in elements:
        root[find(e.start)] = find(e.end)
    return {node: find(node) for node in list(root)}


def _conducts(element: Element) -> bool:
    """Whether a part fixes or carries the voltage between its nodes in every state it may take."""
    return not (
        isinstance(element, CurrentSource) or (isinstance(element, Gap) and element.leak_siemens == 0)
    )


def refuse_floating(elements: tuple[Element, ...]) -> None:
    """Refuse a node that hangs at one part, or that nothing ties to ground."""
    if not any(GROUND in (e.start, e.end) for e in elements):
        raise InputRefused(
            f'a circuit must touch the ground node "{GROUND}", got none; name one node "{GROUND}"'
        )
    touches = Counter(node for e in elements for node in (e.start, e.end))
    roots = _joined([e for e in elements if _conducts(e)])
    for node, count in touches.items():
        if node == GROUND:
            continue
        part = next(e.name for e in elements if node in (e.start, e.end))
        if count < 2:
            raise InputRefused(
                f"node {node!r} must join two parts, got {part} alone; connect it or remove the part"
            )
        if roots.get(node, node) != roots.get(GROUND):
            raise InputRefused(
                f"node {node!r} (at {part}) must have a conducting path to ground, got none; "
                "add a large resistor to ground"
            )


def _is_stiff(element: Element) -> bool:
    """Whether a part fixes the voltage between its nodes at once, whatever the current."""
    return isinstance(element, VoltageSource) or (isinstance(element, Capacitor) and element.series_ohms == 0)


def refuse_stiff_loops(elements: tuple[Element, ...]) -> None:
    """Refuse a loop of sources and capacitors in which nothing limits the current, as of a shorted source."""
    stiff = [e for e in elements if _is_stiff(e)]
    for count, part in enumerate(stiff):
        roots = _joined(stiff[:count])
        if roots.get(part.start, part.start) == roots.get(part.end, part.end):
            around = ", ".join(e.name for e in stiff[: count + 1])
            raise InputRefused(
                f"{part.name} (between nodes {part.start!r} and {part.end!r}) must not close a loop without "
                f"resistance, got one among {around}; "
                "give a capacitor its series resistance, or the source one of its own"
            )


def refuse_open_coils(elements: tuple[Element, ...]) -> None:
    """Refuse a coil without damper whose current has no way left when switches open and diodes block."""
    held = _joined(
        [
            e
            for e in elements
            if isinstance(e, Resistor | Capacitor | VoltageSource)
            or (isinstance(e, Inductor) and e.damper_ohms is not None)
        ]
    )
    for coil in elements:
        if not isinstance(coil, Inductor) or coil.damper_ohms is not None:
            continue
        if held.get(coil.start, coil.start) != held.get(coil.end, coil.end):
            raise InputRefused(
                f"{coil.name} (between nodes {coil.start!r} and {coil.end!r}) must have a damper across it, "
                "got none where only switches, diodes, coils or the gap take its current; "
                "give it one of some kiloohms"
            )


def refuse_strangers(
    elements: tuple[Element, ...], couplings: tuple[Coupling, ...], counters: tuple[ChargeCounter, ...]
) -> None:
    """Refuse couplings and counters of parts that are not there."""
    kinds = {e.name: e for e in elements}
    for coupling in couplings:
        for name in (coupling.first, coupling.second):
            coil = kinds.get(name)
            if not isinstance(coil, Inductor):
                coils = [e.name for e in elements if isinstance(e, Inductor)]
                raise InputRefused(f"a coupling must join two coils, got {name!r}{close_names(name, coils)}")
            if coil.pieces:
                raise InputRefused(
                    f"{name} must either be coupled or saturate, got both; put one that saturates beside it"
                )
    for counter in counters:
        if counter.part not in kinds:
            near = close_names(counter.part, kinds)
            raise InputRefused(f"{counter.name} counts the charge of no part, got {counter.part!r}{near}")
