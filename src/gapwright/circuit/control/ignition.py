"""What ignites the gap in a run: a voltage, a list of times, chance, or nothing."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gapwright.base.checks import require_finite, require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Number, PerSecond, Volts


@dataclass(frozen=True, slots=True, kw_only=True)
class Never:
    """The gap stays open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Threshold:
    """The gap ignites as soon as its voltage exceeds a threshold.

    `node` names another node whose voltage to ground decides; empty for the gap itself.
    """

    volts: Volts
    node: str = ""

    def __post_init__(self) -> None:
        """Refuse a threshold that is not a voltage."""
        require_finite("threshold", self.volts, "V")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Forced:
    """The gap ignites at given times, if it is open then."""

    times: NDArray[np.float64]

    def __post_init__(self) -> None:
        """Refuse times that run backwards."""
        times = np.asarray(self.times, dtype=float)
        if times.ndim != 1 or not np.isfinite(times).all() or (np.diff(times) < 0).any():
            raise InputRefused(
                "forced ignition times must be finite and in rising order, got others; sort them"
            )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chance:
    """The gap ignites by a hazard that grows as a power of its voltage.

    The hazard is ``rate * (V / reference)^exponent`` above `zero_below`. Each
    ignition falls due when its integral since the last one reaches the next
    of `draws`, which are to be drawn from the unit exponential distribution.
    """

    rate: PerSecond
    reference: Volts
    exponent: Number
    zero_below: Volts
    draws: NDArray[np.float64]

    def __post_init__(self) -> None:
        """Refuse a hazard that has no value."""
        require_positive("rate", self.rate, "1/s")
        require_positive("reference", self.reference, "V")
        require_not_negative("exponent", self.exponent, "")
        require_not_negative("zero_below", self.zero_below, "V")


Ignition = Never | Threshold | Forced | Chance
