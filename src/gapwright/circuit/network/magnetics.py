"""Coils that saturate in straight pieces, and coils on one core."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.checks import require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Henries, Number

Rows = NDArray[np.float64]
MOST_PIECES = 2
"""Bends of a coil's flux over its current: with the first straight piece, three pieces at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """From this current on, in either direction, the flux rises by only so much per ampere."""

    amperes: Amperes
    henries: Henries

    def __post_init__(self) -> None:
        """Refuse a bend that is none."""
        require_positive("amperes of a bend", self.amperes, "A")
        require_positive("henries behind a bend", self.henries, "H")


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupling:
    """How much of the flux of one coil goes through another: above 0 and below 1.

    Both coils count from start to end; a current into one start that rises
    makes the other's start rise against its end.
    """

    first: str
    second: str
    coefficient: Number

    def __post_init__(self) -> None:
        """Refuse a coupling that no two coils have."""
        if self.first == self.second:
            raise InputRefused(f"a coupling must join two coils, got {self.first!r} twice")
        if not 0.0 < abs(self.coefficient) < 1.0:
            raise InputRefused(
                f"the coupling of {self.first} and {self.second} must be above 0 and below 1, "
                f"got {self.coefficient:g}; wound side by side 0.99, on separate legs less"
            )


def require_pieces(name: str, henries: float, pieces: tuple[Piece, ...]) -> None:
    """Refuse bends out of order, too many, or by which a coil would gain inductance.

    Raises
    ------
    InputRefused
        If the pieces are not those of a core that saturates.
    """
    if len(pieces) > MOST_PIECES:
        raise InputRefused(f"{name} must have at most {MOST_PIECES} bends, got {len(pieces)}; leave some out")
    before, last = henries, 0.0
    for piece in pieces:
        if piece.amperes <= last:
            raise InputRefused(f"the bends of {name} must stand in rising order, got {piece.amperes:g} A")
        if piece.henries >= before:
            raise InputRefused(
                f"{name} must lose inductance at each bend, got {piece.henries:g} H after {before:g} H"
            )
        before, last = piece.henries, piece.amperes


def bends(henries: float, pieces: tuple[Piece, ...]) -> Rows:
    """Flux at each bend, over the first inductance: the current it would need without saturation."""
    found, flux, inductance, last = [], 0.0, henries, 0.0
    for piece in pieces:
        flux += inductance * (piece.amperes - last)
        inductance, last = piece.henries, piece.amperes
        found.append(flux / henries)
    return np.array(found)


def line_of(henries: float, pieces: tuple[Piece, ...], region: int) -> tuple[float, float]:
    """Current over flux within a region: slope and offset, the flux over the first inductance.

    Region 0 is the first piece, 1 and 2 lie behind the bends, -1 and -2 the other way.
    """
    if region == 0:
        return 1.0, 0.0
    piece = pieces[abs(region) - 1]
    slope = henries / piece.henries
    offset = piece.amperes - slope * float(bends(henries, pieces)[abs(region) - 1])
    return slope, offset if region > 0 else -offset


def region_of(henries: float, pieces: tuple[Piece, ...], flux: float) -> int:
    """Region in which a flux lies."""
    beyond = int(np.searchsorted(bends(henries, pieces), abs(flux), side="right"))
    return beyond if flux >= 0 else -beyond


def current_of_flux(henries: float, pieces: tuple[Piece, ...], flux: float) -> float:
    """Current at a flux, the flux over the first inductance."""
    slope, offset = line_of(henries, pieces, region_of(henries, pieces, flux))
    return slope * flux + offset


def flux_of_current(henries: float, pieces: tuple[Piece, ...], current: float) -> float:
    """Flux at a current, over the first inductance."""
    beyond = sum(1 for piece in pieces if abs(current) > piece.amperes)
    slope, offset = line_of(henries, pieces, beyond if current >= 0 else -beyond)
    return (current - offset) / slope


def stored_energy(henries: float, pieces: tuple[Piece, ...], flux: float) -> float:
    """Energy of a coil at a flux: the integral of its current over the flux."""
    size, total, low = abs(flux), 0.0, 0.0
    for region, high in enumerate([*bends(henries, pieces), np.inf]):
        top = min(size, float(high))
        slope, offset = line_of(henries, pieces, region)
        total += 0.5 * slope * (top**2 - low**2) + offset * (top - low)
        if top == size:
            break
        low = top
    return henries * total
