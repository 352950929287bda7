"""Compare with a number as it stands in print: the digits set the tolerance."""

import math
from decimal import Decimal, InvalidOperation


class Printed:
    """A number as printed; equal to every value that rounds to the printed digits.

    ``x == printed("0.68")`` holds for 0.675 <= x <= 0.685, and ``printed("1.20e3")``
    for 1195 to 1205. A printed zero is refused: the digits of a zero do not say how
    far off an answer may be.
    """

    __hash__ = None  # type: ignore[assignment]

    def __init__(self, text: str) -> None:
        """Read the digits.

        Raises
        ------
        ValueError
            If `text` is not a plain decimal number other than zero.
        """
        try:
            value = Decimal(text)
        except InvalidOperation:
            raise ValueError(f"a printed number must be plain decimal digits, got {text!r}") from None
        exponent = value.as_tuple().exponent
        if not isinstance(exponent, int):
            raise ValueError(f"a printed number must be finite, got {text!r}")
        half = Decimal(5).scaleb(exponent - 1)
        if abs(value) <= half:
            raise ValueError(f"a printed number must differ from zero by its own digits, got {text!r}")
        self.text = text
        self.low = value - half
        self.high = value + half

    def __eq__(self, other: object) -> bool:
        """Whether `other` rounds to the printed digits; either neighbour at an exact half."""
        if isinstance(other, bool) or not hasattr(other, "__float__"):
            return NotImplemented
        if not math.isfinite(float(other)):
            return False
        # A value that is exactly half way in print may miss it by the last binary digit.
        exact = Decimal(float(other))
        slack = abs(exact) * Decimal("1e-15")
        return self.low - slack <= exact <= self.high + slack

    def __repr__(self) -> str:
        """Show the digits and what they allow."""
        return f"printed({self.text!r}) [{self.low} to {self.high}]"


def printed(text: str) -> Printed:
    """Digits from print, to compare a computed value with: ``x == printed("0.68")``."""
    return Printed(text)
