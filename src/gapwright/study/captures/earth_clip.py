"""Where the earth clip of a recorder may go on a rig, and what it shorts elsewhere.

The clip of a mains-powered recorder is joined to protective earth. The frame
of most machines is too, and the workpiece mostly lies on the frame. A clip on
the other side of the store then closes a loop through earth.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from gapwright.base.units import Amperes, Joules, Volts
from gapwright.circuit.formulas.discharge import SeriesLoop, peak_current
from gapwright.rig.components import series_resistance
from gapwright.rig.generator import Relaxation, gives_pulses
from gapwright.rig.rig import Rig

CLIP_OHMS, CLIP_HENRIES = 0.1, 1e-6
"""Way through a clip, its lead, earth and frame; from memory. [Ω, H]"""


class Side(StrEnum):
    """Parts of a rig that are at one voltage while nothing flows."""

    SUPPLY = "supply's positive pole"
    PLUS = "store's positive side"
    MINUS = "negative rail"


class Shorted(StrEnum):
    """What a way through earth short-circuits."""

    STORE = "the store"
    SUPPLY = "the supply"
    CHARGER = "the charger, between supply and store"
    GAP = "the gap"
    LIMITER = "switch and ballast, between supply and gap"


BETWEEN = {
    frozenset({Side.PLUS, Side.MINUS}): Shorted.STORE,
    frozenset({Side.SUPPLY, Side.MINUS}): Shorted.SUPPLY,
    frozenset({Side.SUPPLY, Side.PLUS}): Shorted.CHARGER,
}
BEHIND_A_SWITCH = {
    frozenset({Side.PLUS, Side.MINUS}): Shorted.GAP,
    frozenset({Side.SUPPLY, Side.MINUS}): Shorted.STORE,
    frozenset({Side.SUPPLY, Side.PLUS}): Shorted.LIMITER,
}
"""The same where the store lies across the supply and pulses come from it through a switch."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipPlace:
    """One place for the earth clip, and what it shorts there."""

    place: str
    side: Side
    shorts_on_frame: tuple[Shorted, ...]
    """With the workpiece on an earthed frame."""
    shorts_insulated: tuple[Shorted, ...]
    """With the workpiece insulated from the frame."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EarthClip:
    """All places, the one to take, and what a wrong one would do."""

    places: tuple[ClipPlace, ...]
    best: str | None
    """None where every place shorts something."""
    clip_side: Side | None
    """Side of the store that the best place is on."""
    needs_insulated_workpiece: bool
    shorted_without_clip: tuple[Shorted, ...]
    """What the rig's own earths short already, with the workpiece on an earthed frame."""
    wrong_peak_a: Amperes
    """Current through a clip that shorts the full store."""
    wrong_energy_j: Joules
    advice: str


def earth_clip(rig: Rig, *, open_voltage: Volts) -> EarthClip:
    """Places for the earth clip of a recorder on this rig.

    Parameters
    ----------
    rig
        The rig.
    open_voltage
        Voltage of the full store; where pulses are given, the store has the supply's. [V]
    """
    own = {Side.MINUS} if rig.supply.earthing == "earthed" else set()
    pulsed = gives_pulses(rig.generator)
    between = BEHIND_A_SWITCH if pulsed else BETWEEN
    positive = rig.setup.polarity == "workpiece positive"
    workpiece = Side.PLUS if positive else Side.MINUS
    sides = {
        "workpiece, beside the gap": workpiece,
        "electrode, at its brush or clamp": Side.MINUS if positive else Side.PLUS,
        "store, negative terminal": Side.MINUS,
        "store, positive terminal": Side.SUPPLY if pulsed else Side.PLUS,
        "supply, negative terminal": Side.MINUS,
        "supply, positive terminal": Side.SUPPLY,
    }
    places = tuple(
        ClipPlace(
            place=place,
            side=side,
            shorts_on_frame=shorted({*own, workpiece, side}, between),
            shorts_insulated=shorted({*own, side}, between),
        )
        for place, side in sides.items()
    )
    best, insulated = _best(places)
    store = rig.generator.capacitor
    full = rig.supply.voltage if pulsed else open_voltage
    loop = SeriesLoop(
        resistance=CLIP_OHMS + series_resistance(store),
        inductance=CLIP_HENRIES,
        capacitance=store.capacitance,
    )
    return EarthClip(
        places=places,
        best=best,
        clip_side=sides[best] if best is not None else None,
        needs_insulated_workpiece=insulated,
        shorted_without_clip=shorted({*own, workpiece}, between),
        wrong_peak_a=peak_current(full, loop=loop),
        wrong_energy_j=0.5 * store.capacitance * full**2,
        advice=_advice(rig, best, insulated=insulated),
    )


def shorted(tied: set[Side], between: Mapping[frozenset[Side], Shorted] = BETWEEN) -> tuple[Shorted, ...]:
    """What is short-circuited when all these sides are joined to earth."""
    return tuple(what for pair, what in between.items() if pair <= tied)


def _best(places: tuple[ClipPlace, ...]) -> tuple[str | None, bool]:
    """First place that shorts nothing; and whether the workpiece must be insulated for it."""
    for place in places:
        if not place.shorts_on_frame and not place.shorts_insulated:
            return place.place, False
    for place in places:
        if not place.shorts_insulated:
            return place.place, True
    return None, False


def _advice(rig: Rig, best: str | None, *, insulated: bool) -> str:
    """What to do, in words."""
    charger = "charging resistor" if isinstance(rig.generator, Relaxation) else "charger"
    if best is None:
        return (
            "Clip nothing: use two probes whose clips hang on each other, and subtract one channel from the "
            "other, or a recorder that runs from a battery."
        )
    wrong = (
        "A clip on the other side of the gap shorts it through the clip and earth, and one before the switch "
        "gives the gap what no ballast limits."
        if gives_pulses(rig.generator)
        else "A clip on the other side of the store empties it through the clip and earth, and one before "
        f"the {charger} leaves it out."
    )
    before = (
        "Insulate the workpiece from the frame first and measure that it is: with one pole of the supply "
        "earthed, an earthed frame shorts the store or the gap even without a recorder. Then put"
        if insulated
        else "Put"
    )
    return (
        f"{before} every earth clip on one point, the {best}, and nowhere else; the probe tips go to the "
        f"other points. {wrong} Never lift the recorder's own earth."
    )
