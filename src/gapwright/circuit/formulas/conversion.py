"""Steady ratios of a step-up whose coil empties in each period."""

from math import sqrt

from gapwright.base.checks import require_between, require_positive
from gapwright.base.errors import InputRefused, OutOfRange
from gapwright.base.units import Henries, Number, Ohms, Seconds


def conduction_number(inductance: Henries, *, load: Ohms, period: Seconds) -> Number:
    r"""Number that says whether the coil of a step-up empties: small empties, large does not.

    Parameters
    ----------
    inductance
        Inductance of the coil, above 0. [H]
    load
        Resistance that the output feeds, above 0. [Ω]
    period
        Switching period, above 0. [s]

    Returns
    -------
    number
        Conduction number K.

    Raises
    ------
    InputRefused
        If a value is not above 0.

    Notes
    -----
    .. math:: K = \frac{2 L}{R T}

    Holds by definition.
    Leaves out: nothing of the circuit but its drops.

    References
    ----------
    erickson-maksimovic, chapter 5

    Examples
    --------
    >>> print(f"{conduction_number(47e-6, load=400.0, period=25e-6):.4f}")
    0.0094
    """
    require_positive("inductance", inductance, "H")
    require_positive("load", load, "Ω")
    require_positive("period", period, "s")
    return 2.0 * inductance / (load * period)


def border_number(duty: Number) -> Number:
    r"""Conduction number below which the coil of a step-up empties in each period.

    Parameters
    ----------
    duty
        Share of the period for which the switch is on, above 0 and below 1.

    Returns
    -------
    number
        Border of the conduction number.

    Raises
    ------
    InputRefused
        If the duty is not between 0 and 1.

    Notes
    -----
    .. math:: K = D (1 - D)^2

    Holds for a step-up without drops in its steady state.
    Leaves out: diode and resistances.

    References
    ----------
    erickson-maksimovic, chapter 5

    Examples
    --------
    >>> border_number(0.5)
    0.125
    """
    _require_duty(duty)
    return duty * (1.0 - duty) ** 2


def _require_duty(duty: Number) -> None:
    """Refuse a duty at which nothing is switched."""
    require_between("duty", duty, 0.0, 1.0, "")
    if duty in (0.0, 1.0):
        raise InputRefused(f"duty must be above 0 and below 1, got {duty:g}; otherwise nothing is switched")


def voltage_ratio(duty: Number, *, conduction: Number) -> Number:
    r"""Output over input voltage of a step-up whose coil empties in each period.

    Parameters
    ----------
    duty
        Share of the period for which the switch is on, above 0 and below 1.
    conduction
        Conduction number, above 0 and below its border for this duty.

    Returns
    -------
    ratio
        Output voltage over input voltage.

    Raises
    ------
    InputRefused
        If the duty or the conduction number is not in its stated range.
    OutOfRange
        If the coil does not empty in each period.

    Notes
    -----
    .. math:: M = \tfrac12 \left(1 + \sqrt{1 + 4 D^2 / K}\right)

    Holds for a step-up without drops in its steady state.
    Leaves out: diode and resistances.

    References
    ----------
    erickson-maksimovic, chapter 5

    Examples
    --------
    >>> print(f"{voltage_ratio(0.5, conduction=0.1):.5f}")
    2.15831
    """
    require_positive("conduction", conduction, "")
    border = border_number(duty)
    if conduction >= border:
        raise OutOfRange(
            f"conduction must be below its border {border:.4g} at this duty, got {conduction:g}; "
            "above it the coil never empties and the ratio is 1 / (1 - duty)"
        )
    return 0.5 * (1.0 + sqrt(1.0 + 4.0 * duty**2 / conduction))


def release_share(duty: Number, *, ratio: Number) -> Number:
    r"""Share of the period in which the coil of a step-up gives all it holds.

    Parameters
    ----------
    duty
        Share of the period for which the switch is on, above 0 and below 1.
    ratio
        Output over input voltage, at least that at which the coil just empties.

    Returns
    -------
    share
        Share of the period from switching off to an empty coil.

    Raises
    ------
    InputRefused
        If the duty is not between 0 and 1.
    OutOfRange
        If the coil does not empty in each period.

    Notes
    -----
    .. math:: D_2 = \frac{D}{M - 1}

    Holds for a step-up without drops.
    Leaves out: diode and resistances.

    References
    ----------
    erickson-maksimovic, chapter 5

    Examples
    --------
    >>> print(f"{release_share(0.5, ratio=2.15831):.4f}")
    0.4317
    """
    _require_duty(duty)
    require_positive("ratio", ratio, "")
    least = 1.0 / (1.0 - duty)
    if ratio < least:
        raise OutOfRange(
            f"ratio must be at least {least:.4g} at this duty, got {ratio:g}; the coil never empties"
        )
    return duty / (ratio - 1.0)
