"""A measured quantity: its value, and what each source of doubt adds to its uncertainty.

Uncertainties are propagated to first order, as the Guide to the Expression of
Uncertainty in Measurement does. Each quantity keeps what every source adds,
with its sign, so what two quantities share is neither counted twice nor lost.
"""

from dataclasses import dataclass
from math import hypot, sqrt


@dataclass(frozen=True, slots=True)
class Measured:
    """A value and its standard uncertainty by source."""

    value: float
    parts: tuple[tuple[str, float], ...] = ()
    """Source of doubt, and the change of the value for one standard uncertainty of it."""

    @property
    def uncertainty(self) -> float:
        """Combined standard uncertainty."""
        return hypot(*(change for _, change in self.parts)) if self.parts else 0.0

    def combined(self, other: "Measured", *, value: float, by_own: float, by_other: float) -> "Measured":
        """Function of two quantities from its value and its slopes by each."""
        parts: dict[str, float] = {}
        for quantity, slope in ((self, by_own), (other, by_other)):
            for source, change in quantity.parts:
                parts[source] = parts.get(source, 0.0) + slope * change
        return Measured(value, tuple(parts.items()))

    def __add__(self, other: "Measured") -> "Measured":
        """Sum."""
        return self.combined(other, value=self.value + other.value, by_own=1.0, by_other=1.0)

    def __sub__(self, other: "Measured") -> "Measured":
        """Difference."""
        return self.combined(other, value=self.value - other.value, by_own=1.0, by_other=-1.0)

    def __mul__(self, other: "Measured") -> "Measured":
        """Product."""
        product = self.value * other.value
        return self.combined(other, value=product, by_own=other.value, by_other=self.value)

    def times(self, factor: float) -> "Measured":
        """Product with an exact number."""
        return Measured(
            factor * self.value, tuple((source, factor * change) for source, change in self.parts)
        )


def measured(value: float, uncertainty: float, source: str) -> Measured:
    """Quantity with one source of doubt of its own."""
    return Measured(value, ((source, uncertainty),))


def correlated_pair(
    first: tuple[float, float], second: tuple[float, float], *, correlation: float, source: str
) -> tuple[Measured, Measured]:
    """Two quantities, each a value and a standard uncertainty, that are correlated."""
    (a, u), (b, w) = first, second
    shared, own = f"{source}: shared", f"{source}: rest"
    rest = sqrt(1.0 - correlation**2)
    return (
        Measured(a, ((shared, u),)),
        Measured(b, ((shared, correlation * w), (own, rest * w))),
    )
