"""Parts joined to a circuit, and the faults by which a circuit cannot be solved, by name."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar, cast

from gapwright.base.checks import close_names
from gapwright.base.errors import InputRefused
from gapwright.circuit.network.elements import Capacitor, ChargeCounter, Diode, Element, Gap, Inductor, Switch
from gapwright.circuit.network.faults import (
    GROUND,
    refuse_doubles,
    refuse_floating,
    refuse_open_coils,
    refuse_stiff_loops,
    refuse_strangers,
)
from gapwright.circuit.network.magnetics import Coupling

__all__ = ["GROUND", "MOST_BITS", "Netlist"]

MOST_BITS = 16
"""Switches, diodes, bends of coils (each counts twice) and the gap's two bits together.

The table of modes has 2 to this power entries.
"""

Kind = TypeVar("Kind", bound=Element)
V = TypeVar("V")


@dataclass(frozen=True, slots=True, kw_only=True)
class Netlist:
    """A circuit: its parts, and which of them play the store and the charging coil.

    `store` names the capacitor that feeds the gap and `coil` the inductor a
    control watches; either may be left empty.
    """

    elements: tuple[Element, ...]
    store: str = ""
    coil: str = ""
    couplings: tuple[Coupling, ...] = ()
    counters: tuple[ChargeCounter, ...] = ()
    _found: dict[object, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    """What was looked up once; a circuit never changes."""

    def __hash__(self) -> int:
        """Hash of all parts, reckoned once: circuits are keys wherever answers are kept."""
        return self._once("hash", self._hash)

    def _hash(self) -> int:
        return hash((self.elements, self.store, self.coil, self.couplings, self.counters))

    def _once(self, key: object, look: Callable[[], V]) -> V:
        """What a look gives, looked up once."""
        if key not in self._found:
            self._found[key] = look()
        return cast("V", self._found[key])

    def __post_init__(self) -> None:
        """Refuse a circuit that has no one solution."""
        refuse_doubles([*self.names, *(counter.name for counter in self.counters)])
        refuse_floating(self.elements)
        refuse_stiff_loops(self.elements)
        refuse_open_coils(self.elements)
        refuse_strangers(self.elements, self.couplings, self.counters)
        if len(self.of(Gap)) > 1:
            raise InputRefused(
                f"a circuit must have at most one gap, got {len(self.of(Gap))}; remove the rest"
            )
        bits = len(self.of(Diode)) + len(self.bends) + len(self.of(Switch)) + 2
        if bits > MOST_BITS:
            raise InputRefused(
                f"a circuit must have at most {MOST_BITS - 2} diodes, switches and sides of bends, "
                f"got {bits - 2}; merge some"
            )
        for name, kind in ((self.store, Capacitor), (self.coil, Inductor)):
            if name and not isinstance(self.element(name), kind):
                raise InputRefused(
                    f"{name} must be a {kind.__name__.lower()}, got a {_kind(self.element(name))}"
                )

    def of(self, kind: type[Kind]) -> tuple[Kind, ...]:
        """Parts of one kind, in the order of the circuit."""
        return self._once(kind, lambda: tuple(e for e in self.elements if isinstance(e, kind)))

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all parts, in order."""
        return self._once("names", lambda: tuple(e.name for e in self.elements))

    @property
    def nodes(self) -> tuple[str, ...]:
        """Nodes other than ground, in order of first use."""
        return self._once("nodes", self._nodes)

    def _nodes(self) -> tuple[str, ...]:
        seen = dict.fromkeys(node for e in self.elements for node in (e.start, e.end))
        return tuple(node for node in seen if node != GROUND)

    @property
    def states(self) -> tuple[Capacitor | Inductor, ...]:
        """Parts that store energy: capacitors first, then inductors."""
        return self._once("states", lambda: self.of(Capacitor) + self.of(Inductor))

    @property
    def storing(self) -> tuple[Diode, ...]:
        """Diodes that hold a charge while they conduct."""
        return tuple(diode for diode in self.of(Diode) if diode.storage_seconds > 0)

    @property
    def state_names(self) -> tuple[str, ...]:
        """Names of all that the circuit remembers: capacitors, inductors, charges of diodes, counters."""
        return self._once("state names", self._state_names)

    def _state_names(self) -> tuple[str, ...]:
        held = tuple(part.name for part in self.states) + tuple(diode.name for diode in self.storing)
        return held + tuple(counter.name for counter in self.counters)

    @property
    def bends(self) -> tuple[tuple[Inductor, int], ...]:
        """Bends of all coils that saturate, each for either direction: 1, 2, -1, -2."""
        return self._once("bends", self._bends)

    def _bends(self) -> tuple[tuple[Inductor, int], ...]:
        return tuple(
            (coil, sign * number)
            for coil in self.of(Inductor)
            for sign in (1, -1)
            for number in range(1, len(coil.pieces) + 1)
        )

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
