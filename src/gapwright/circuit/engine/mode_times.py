"""Modes that a run went through: how long, and how exactly each is carried."""

from dataclasses import dataclass

import numpy as np

from gapwright.base.units import Number, Seconds
from gapwright.circuit.engine.modes import ModeBook
from gapwright.circuit.network.elements import Diode, Switch
from gapwright.circuit.network.mna import GapState, Rows


@dataclass(frozen=True, slots=True, kw_only=True)
class ModeTime:
    """One combination of conducting diodes, closed switches, bent coils and gap state."""

    conducting: tuple[str, ...]
    """Diodes that conduct."""
    closed: tuple[str, ...]
    """Switches that are closed."""
    bent: tuple[str, ...]
    """Coils beyond a bend."""
    gap: GapState
    seconds: Seconds
    share: Number
    modal: bool
    """Whether it is carried in closed form; by the ladder of exponentials otherwise."""
    residual: Number
    """Error of the rebuilt state matrix over its greatest element; 0 on the ladder."""


def mode_times(book: ModeBook, spent: Rows, duration: float) -> tuple[ModeTime, ...]:
    """Modes of a run, the longest first; `spent` holds the seconds in each."""
    found = []
    for mode, terms, seconds in zip(book.modes, book.terms, spent.tolist(), strict=True):
        diodes = zip(book.netlist.of(Diode), mode.diodes, strict=True)
        switches = zip(book.netlist.of(Switch), mode.switches, strict=True)
        bent = [coil.name for (coil, _), on in zip(book.netlist.bends, mode.bends, strict=True) if on]
        found.append(
            ModeTime(
                conducting=tuple(diode.name for diode, on in diodes if on),
                closed=tuple(switch.name for switch, on in switches if on),
                bent=tuple(dict.fromkeys(bent)),
                gap=mode.gap,
                seconds=seconds,
                share=seconds / duration if duration else 0.0,
                modal=terms.modal,
                residual=terms.residual,
            )
        )
    order = np.argsort([-mode.seconds for mode in found], kind="stable")
    return tuple(found[k] for k in order)
