"""Classes of eroded surfaces by VDI 3400."""

from functools import cache
from math import floor, log10

from gapwright.base.checks import require_positive
from gapwright.base.errors import FactMissing, OutOfRange
from gapwright.base.source import Fact
from gapwright.base.units import Metres, Number
from gapwright.facts._reading import data, fact_from


@cache
def _scale(name: str) -> Fact:
    """One number of the scale."""
    return fact_from(data("vdi3400")["scale"][name])


def first_class() -> int:
    """Finest class of the scale."""
    return int(_scale("first").value)


def last_class() -> int:
    """Coarsest class of the scale."""
    return int(_scale("last").value)


def vdi_3400_number(roughness: Metres) -> Number:
    r"""Place of a roughness on the VDI 3400 scale, between the classes where it lies between.

    Parameters
    ----------
    roughness
        Mean roughness Ra, above 0. [m]

    Returns
    -------
    number
        Place on the scale; class 0 is Ra 0.1 µm. [1]

    Raises
    ------
    InputRefused
        If the roughness is not above 0.

    Notes
    -----
    .. math:: K = 20 \log_{10} \frac{R_a}{0.1\,\mathrm{µm}}

    Holds by definition.
    Leaves out: every other property of a surface.

    References
    ----------
    vdi-3400

    Examples
    --------
    >>> print(f"{vdi_3400_number(2.24e-6):.1f}")
    27.0
    """
    require_positive("roughness", roughness, "m")
    return _scale("steps_per_decade").value * log10(roughness / _scale("reference").value)


def vdi_3400_class(roughness: Metres) -> int:
    """Class of a surface: the whole number nearest to its place on the scale.

    Raises
    ------
    InputRefused
        If the roughness is not above 0.
    OutOfRange
        If the surface is finer or coarser than the scale.

    Examples
    --------
    >>> vdi_3400_class(10e-6)
    40
    """
    number = floor(vdi_3400_number(roughness) + 0.5)
    if not first_class() <= number <= last_class():
        raise OutOfRange(
            f"roughness must lie on the scale of VDI 3400, classes {first_class()} to {last_class()} "
            f"(Ra 0.1 to 17.8 µm), got Ra {roughness * 1e6:g} µm; give Ra instead of a class"
        )
    return number


def class_roughness(number: int) -> Metres:
    r"""Roughness of a class of VDI 3400.

    Parameters
    ----------
    number
        Class, a whole number from 0 to 45.

    Returns
    -------
    roughness
        Mean roughness Ra of the class. [m]

    Raises
    ------
    FactMissing
        If there is no such class.

    Notes
    -----
    .. math:: R_a = 0.1\,\mathrm{µm} \cdot 10^{K/20}

    Holds by definition; printed charts round to two digits.
    Leaves out: every other property of a surface.

    References
    ----------
    vdi-3400

    Examples
    --------
    >>> print(f"{class_roughness(27) * 1e6:.2f} µm")
    2.24 µm
    """
    if number not in range(first_class(), last_class() + 1):
        raise FactMissing(
            f"a class of VDI 3400 must be a whole number from {first_class()} to {last_class()}, got {number}"
        )
    roughness: Metres = _scale("reference").value * 10.0 ** (number / _scale("steps_per_decade").value)
    return roughness


def charted_roughness() -> dict[int, Metres]:
    """Roughness of the classes as printed in a chart, where it was legible, in m."""
    return {int(number): float(ra) for number, ra in data("vdi3400")["chart"]["ra"].items()}
