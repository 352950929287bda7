"""Parts joined to a circuit, and the faults by which a circuit cannot be solved, by name."""

from collections import Counter
from dataclasses import dataclass, replace
from typing import TypeVar

from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.circuit.elements import (
    Capacitor,
    CurrentSource,
    Diode,
    Element,
    Gap,
    Inductor,
    Switch,
    VoltageSource,
)

GROUND = "0"
MOST_BITS = 16
"""Switches, diodes and the gap's two bits together; the table of modes has 2 to this power entries."""

Kind = TypeVar("Kind", bound=Element)


@dataclass(frozen=True, slots=True, kw_only=True)
class Netlist:
    """A circuit: its parts, and which of them play the store and the charging coil.

    `store` names the capacitor that feeds the gap and `coil` the inductor a
    control watches; either may be left empty.
    """

    elements: tuple[Element, ...]
    store: str = ""
    coil: str = ""

    def __post_init__(self) -> None:
        """Refuse a circuit that has no one solution."""
        _refuse_doubles(self.elements)
        _refuse_floating(self.elements)
        _refuse_stiff_loops(self.elements)
        if len(self.of(Gap)) > 1:
            raise InputRefused(
                f"a circuit must have at most one gap, got {len(self.of(Gap))}; remove the rest"
            )
        bits = len(self.of(Diode)) + len(self.of(Switch)) + 2
        if bits > MOST_BITS:
            raise InputRefused(
                f"a circuit must have at most {MOST_BITS - 2} diodes and switches, got {bits - 2}; merge some"
            )
        for name, kind in ((self.store, Capacitor), (self.coil, Inductor)):
            if name and not isinstance(self.element(name), kind):
                raise InputRefused(
                    f"{name} must be a {kind.__name__.lower()}, got a {_kind(self.element(name))}"
                )

    def of(self, kind: type[Kind]) -> tuple[Kind, ...]:
        """Parts of one kind, in the order of the circuit."""
        return tuple(e for e in self.elements if isinstance(e, kind))

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all parts, in order."""
        return tuple(e.name for e in self.elements)

    @property
    def nodes(self) -> tuple[str, ...]:
        """Nodes other than ground, in order of first use."""
        seen = dict.fromkeys(node for e in self.elements for node in (e.start, e.end))
        return tuple(node for node in seen if node != GROUND)

    @property
    def states(self) -> tuple[Capacitor | Inductor, ...]:
        """Parts that store energy: capacitors first, then inductors."""
        return self.of(Capacitor) + self.of(Inductor)

    @property
    def gap(self) -> Gap | None:
        """The spark gap, if there is one."""
        gaps = self.of(Gap)
        return gaps[0] if gaps else None

    def element(self, name: str) -> Element:
        """Part of that name.

        Raises
        ------
        InputRefused
            If there is none.
        """
        for e in self.elements:
            if e.name == name:
                return e
        raise InputRefused(f"the circuit has no part {name!r}{close_names(name, self.names)}")

    def with_part(self, part: Element) -> "Netlist":
        """Copy in which the part of the same name is replaced by `part`."""
        self.element(part.name)
        return replace(self, elements=tuple(part if e.name == part.name else e for e in self.elements))


def _kind(element: Element) -> str:
    return type(element).__name__.lower()


def _refuse_doubles(elements: tuple[Element, ...]) -> None:
    doubles = [name for name, count in Counter(e.name for e in elements).items() if count > 1]
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


def _refuse_floating(elements: tuple[Element, ...]) -> None:
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


def _refuse_stiff_loops(elements: tuple[Element, ...]) -> None:
    stiff = [e for e in elements if _is_stiff(e)]
    for count, part in enumerate(stiff):
        roots = _joined(stiff[:count])
        if roots.get(part.start, part.start) == roots.get(part.end, part.end):
            around = ", ".join(e.name for e in stiff[: count + 1])
            raise InputRefused(
                f"{part.name} must not close a loop without resistance, got one among {around}; "
                "give a capacitor its series resistance, or the source one of its own"
            )
