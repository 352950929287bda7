"""Lines of a deck for coils: with a damper, with a core that saturates, and for coils on one core."""

from gapwright.circuit.deck.deck_sight import label, number
from gapwright.circuit.network.elements import Inductor
from gapwright.circuit.network.magnetics import Coupling, bends, flux_of_current, line_of


def coil_lines(part: Inductor, name: str, ends: str, amperes: float) -> list[str]:
    """A coil that starts at a current, with its damper."""
    damper = [f"R{name}_damper {ends} {number(part.damper_ohms)}"] if part.damper_ohms else []
    if part.pieces:
        return [*_saturating(part, name, ends, amperes), *damper]
    return [f"L{name} {ends} {number(part.henries)} ic={number(amperes)}", *damper]


def _saturating(part: Inductor, name: str, ends: str, amperes: float) -> list[str]:
    """A coil whose flux is the voltage of a capacitor, and its current what its pieces say of the flux.

    The flux is counted over the first inductance, so it is a current while
    the core does not saturate.
    """
    start, end = ends.split()
    flux = flux_of_current(part.henries, part.pieces, amperes)
    v, terms, slope = f"v({name}_flux_)", [], 1.0
    for k, bend in enumerate(bends(part.henries, part.pieces), start=1):
        steeper, _ = line_of(part.henries, part.pieces, k)
        beyond = f"(max({v}-{number(bend)},0)+min({v}+{number(bend)},0))"
        terms.append(f"+{number(steeper - slope)}*{beyond}")
        slope = steeper
    return [
        f"G{name}_flux 0 {name}_flux_ {start} {end} 1",
        f"C{name}_flux {name}_flux_ 0 {number(part.henries)} ic={number(flux)}",
        f"V{name}_flow {start} {name}_turns_ 0",
        f"B{name} {name}_turns_ {end} i={v}{''.join(terms)}",
    ]


def coupling_line(coupling: Coupling) -> str:
    """Two coils on one core."""
    first, second = label(coupling.first), label(coupling.second)
    return f"K{first}_{second} L{first} L{second} {number(coupling.coefficient)}"
