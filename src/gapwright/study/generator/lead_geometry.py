"""Inductance and resistance of leads from their geometry."""

from collections.abc import Callable
from dataclasses import dataclass
from math import pi

from gapwright.base.checks import close_names, require_not_negative, require_positive
from gapwright.base.errors import InputRefused, OutOfRange
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Henries, Hertz, Metres, Ohms
from gapwright.circuit.formulas.cable import coaxial_inductance, round_wire_resistance, twisted_inductance
from gapwright.circuit.formulas.wire import (
    FILLED,
    SLENDER,
    line_inductance,
    loop_inductance,
    pair_inductance,
    straight_inductance,
)
from gapwright.facts.conductors import copper

SCHEMA = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadGeometry:
    """How leads are laid; what a form does not need stays 0."""

    form: str
    length: Metres
    """One way: of the wire, the pair or the cable; of a loop its diameter."""
    diameter: Metres
    """Of the copper of each wire, or of the inner conductor."""
    spacing: Metres = 0.0
    """Axis to axis of a pair; inner diameter of a shield."""
    lay: Metres = 0.0
    """Length of one turn of a twist."""
    frequency: Hertz = 500e3
    """Frequency of the discharge's ring."""

    def __post_init__(self) -> None:
        """Refuse what no lead can be."""
        if self.form not in FORMS:
            raise InputRefused(
                f"a lead must be one of {', '.join(FORMS)}, got {self.form!r}{close_names(self.form, FORMS)}"
            )
        require_positive("--length", self.length, "m")
        require_positive("--diameter", self.diameter, "m")
        require_not_negative("--frequency", self.frequency, "Hz")
        for size, (says, usual) in NEEDS.get(self.form, {}).items():
            if getattr(self, size) == 0.0:
                raise InputRefused(
                    f"{self.form} leads must have --{size}, {says}, got none; give one, such as {usual}"
                )
        if self.form in APART and self.spacing <= self.diameter:
            raise InputRefused(
                f"--spacing must be above the --diameter of {printed_quantity(self.diameter, 'm')}, "
                f"got {printed_quantity(self.spacing, 'm')}; give {APART[self.form]}"
            )


_AXES = ("from axis to axis", "3 mm")
NEEDS: dict[str, dict[str, tuple[str, str]]] = {
    "pair": {"spacing": _AXES},
    "twisted": {"spacing": _AXES, "lay": ("the length of one turn", "25 mm")},
    "coax": {"spacing": ("the inside of the shield", "5 mm")},
}
"""Sizes that a form needs beside length and diameter, what they are, and an example."""

APART = {
    "pair": "the distance from axis to axis, insulation included",
    "twisted": "the distance from axis to axis, insulation included",
    "coax": "the inside of the shield",
}
"""Forms whose spacing leaves room for the copper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadFigures:
    """Inductance and resistance of leads as they are laid.

    The discharge's current flows on the skin, so the second inductance and resistance hold for it.
    """

    schema: int
    form: str
    inductance_slow_h: Henries
    inductance_h: Henries
    resistance_slow_ohm: Ohms
    resistance_ohm: Ohms
    frequency_hz: Hertz
    halved_inductance_h: Henries | None
    """With half the length, all else alike; None where that is too stout for the laws."""


Law = Callable[[LeadGeometry, float], Henries]


def _straight(lead: LeadGeometry, internal: float) -> Henries:
    return straight_inductance(lead.length, diameter=lead.diameter, internal=internal)


def _pair(lead: LeadGeometry, internal: float) -> Henries:
    if internal == 0.0:
        return lead.length * line_inductance(lead.spacing, radius=0.5 * lead.diameter)
    return pair_inductance(lead.length, spacing=lead.spacing, radius=0.5 * lead.diameter, internal=internal)


def _twisted(lead: LeadGeometry, internal: float) -> Henries:
    skin = twisted_inductance(lead.length, spacing=lead.spacing, radius=0.5 * lead.diameter, lay=lead.lay)
    # The field inside the metal of both wires, as in a straight pair.
    return skin + 4e-7 * internal * lead.length


def _coax(lead: LeadGeometry, internal: float) -> Henries:
    return coaxial_inductance(
        lead.length, radius=0.5 * lead.diameter, shield_radius=0.5 * lead.spacing, internal=internal
    )


def _loop(lead: LeadGeometry, internal: float) -> Henries:
    return loop_inductance(0.5 * lead.length, wire_radius=0.5 * lead.diameter, internal=internal)


FORMS: dict[str, Law] = {
    "straight": _straight,
    "pair": _pair,
    "twisted": _twisted,
    "coax": _coax,
    "loop": _loop,
}
"""Ways to lay leads."""

WIRES = {"straight": 1.0, "pair": 2.0, "twisted": 2.0, "coax": 1.0, "loop": pi}
"""Lengths of wire in one length of each form; of a coax the inner conductor, which decides."""


def lead_figures(lead: LeadGeometry) -> LeadFigures:
    """Inductance and resistance of leads, slow and at the frequency of the ring.

    Parameters
    ----------
    lead
        How they are laid.

    Raises
    ------
    InputRefused
        If a size that the form needs is missing or out of its range.
    OutOfRange
        If wires overlap or are too stout for the laws.
    """
    if lead.form == "straight" and lead.length < SLENDER * lead.diameter:
        raise OutOfRange(
            f"--length must be at least {SLENDER:g} times the --diameter of "
            f"{printed_quantity(lead.diameter, 'm')}, got {printed_quantity(lead.length, 'm')}; "
            "measure the whole way, ends and bends of so stout a conductor are not in this law"
        )
    law, wires = FORMS[lead.form], WIRES[lead.form] * lead.length
    skin = law(lead, 0.0)
    half = LeadGeometry(
        form=lead.form,
        length=0.5 * lead.length,
        diameter=lead.diameter,
        spacing=lead.spacing,
        lay=lead.lay,
        frequency=lead.frequency,
    )

    def ohms(frequency: Hertz) -> Ohms:
        resistivity = copper("resistivity").value
        return round_wire_resistance(
            wires, radius=0.5 * lead.diameter, frequency=frequency, resistivity=resistivity
        )

    return LeadFigures(
        schema=SCHEMA,
        form=lead.form,
        inductance_slow_h=law(lead, FILLED),
        inductance_h=skin,
        resistance_slow_ohm=ohms(0.0),
        resistance_ohm=ohms(lead.frequency),
        frequency_hz=lead.frequency,
        halved_inductance_h=_known(law, half),
    )


def _known(law: Law, lead: LeadGeometry) -> Henries | None:
    """Inductance for the skin's current, None where the law does not reach."""
    try:
        return law(lead, 0.0)
    except OutOfRange:
        return None


def require_needed(lead: LeadGeometry) -> None:
    """Refuse sizes that a form does not have, instead of leaving them out.

    Raises
    ------
    InputRefused
        If one is given.
    """
    for size in ("spacing", "lay"):
        value = getattr(lead, size)
        if value != 0.0 and size not in NEEDS.get(lead.form, {}):
            raise InputRefused(
                f"{lead.form} leads have no --{size}, got {printed_quantity(value, 'm')}; leave it out"
            )
