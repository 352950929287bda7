"""The textbook's removal rate: shown for comparison, with its error band of ten."""

from gapwright.base.checks import require_between, require_positive
from gapwright.base.units import Amperes, Celsius, VolumePerCharge, VolumeRate

CUBIC_MILLIMETRES_PER_MINUTE: VolumeRate = 1e-9 / 60.0
"""One cubic millimetre per minute [m³/s]."""


def textbook_removal_rate(current: Amperes, *, melting_point: Celsius) -> VolumeRate:
    r"""Removal rate of a well-flushed machine, by the textbook.

    Parameters
    ----------
    current
        Mean current, above 0. [A]
    melting_point
        Melting point of the workpiece, 200 to 4000. [°C]

    Returns
    -------
    rate
        Removal rate. [m³/s]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: \dot V = 4 \times 10^4\, I\, T_m^{-1.23} \;\mathrm{mm^3/min}

    Holds within a factor 2.5 for roughing with good flushing, within ten else.
    Leaves out: everything but the melting point, so copper and aluminium come
    out high.

    References
    ----------
    el-hofy-2014, p. 395

    Examples
    --------
    >>> rate = textbook_removal_rate(1.0, melting_point=1500.0)
    >>> print(f"{rate / CUBIC_MILLIMETRES_PER_MINUTE:.2f} mm³/min")
    4.96 mm³/min
    """
    require_positive("current", current, "A")
    require_between("melting_point", melting_point, 200.0, 4000.0, "°C")
    rate: VolumeRate = 4e4 * current * melting_point**-1.23 * CUBIC_MILLIMETRES_PER_MINUTE
    return rate


def textbook_removal_per_charge(*, melting_point: Celsius) -> VolumePerCharge:
    r"""Removal per charge of a well-flushed machine, by the textbook.

    Parameters
    ----------
    melting_point
        Melting point of the workpiece, 200 to 4000. [°C]

    Returns
    -------
    removal
        Volume per charge. [m³/C]

    Raises
    ------
    InputRefused
        If the melting point is not in its stated range.

    Notes
    -----
    .. math:: V/Q = \dot V / I

    Holds within a factor of ten. Leaves out: everything but the melting point.

    References
    ----------
    el-hofy-2014, p. 395

    Examples
    --------
    >>> print(f"{textbook_removal_per_charge(melting_point=1500.0):.2e} m³/C")
    8.27e-11 m³/C
    """
    return textbook_removal_rate(1.0, melting_point=melting_point)
