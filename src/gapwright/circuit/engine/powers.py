"""Where the power of each part goes: which account, and which product of its voltage and current it is."""

from enum import IntEnum

import numpy as np

from gapwright.circuit.network.elements import (
    Capacitor,
    CurrentSource,
    Element,
    Gap,
    Inductor,
    VoltageSource,
)
from gapwright.circuit.network.mna import Equations, GapState, Rows
from gapwright.circuit.network.netlist import Netlist


class Product(IntEnum):
    """A product of a part's voltage and current."""

    POWER = 0
    CURRENT_SQUARED = 1
    VOLTAGE_SQUARED = 2


Booking = tuple[str, str, Product, float]
"""Account, role, product, and what the product is multiplied by to be a power."""


def booking_of(part: Element, gap: GapState) -> Booking | None:
    """Where the power of a part is booked while the gap is in a state; None if it takes none for good."""
    match part:
        case VoltageSource() | CurrentSource():
            return part.account, "in", Product.POWER, -1.0
        case Capacitor():
            return part.account, "out", Product.CURRENT_SQUARED, part.series_ohms
        case Inductor():
            if part.damper_ohms is None:
                return None
            return part.account, "out", Product.VOLTAGE_SQUARED, 1.0 / part.damper_ohms
        case Gap():
            return _gap_account(part, gap), "out", Product.POWER, 1.0
        case _:
            return part.account, "out", Product.POWER, 1.0


def _gap_account(gap: Gap, state: GapState) -> str:
    match state:
        case GapState.OPEN:
            return "leakage"
        case GapState.SHORT:
            return "short circuit"
        case GapState.ARC | GapState.REVERSE:
            return gap.account


def product_form(first: Rows, second: Rows) -> Rows:
    """Symmetric matrix whose weighted sum over products of the state is one row times another."""
    outer = first[:, None] * second
    return np.asarray(0.5 * (outer + outer.T))


def power_forms(netlist: Netlist, solved: Equations, gap: GapState) -> dict[tuple[str, str, str], Rows]:
    """Power given or taken under each heading, as forms over products of the state.

    Keys are (part, account, role); the stage is the part's own.
    """
    forms: dict[tuple[str, str, str], Rows] = {}
    for part, volts, amperes in zip(netlist.elements, solved.volts, solved.amperes, strict=True):
        booking = booking_of(part, gap)
        if booking is not None:
            account, role, product, factor = booking
            pairs = {
                Product.POWER: (volts, amperes),
                Product.CURRENT_SQUARED: (amperes, amperes),
                Product.VOLTAGE_SQUARED: (volts, volts),
            }
            forms[part.name, account, role] = factor * product_form(*pairs[product])
    return forms
