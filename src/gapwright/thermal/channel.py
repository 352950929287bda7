"""The spark's channel as a source of heat: its radius and the shape of its flux."""

import math

from gapwright.base.checks import require_between, require_not_negative, require_positive
from gapwright.base.units import Amperes, HeatFlux, Metres, Number, Seconds, Watts

SHORTEST: Seconds = 5e-6
"""Shortest pulse to which the fitted radius may be carried [s]."""

LONGEST: Seconds = 1e-3
"""Longest pulse to which the fitted radius may be carried [s]."""


def fitted_channel_radius(current: Amperes, *, duration: Seconds) -> Metres:
    r"""Radius of the heat source of a long pulse, fitted to craters.

    Parameters
    ----------
    current
        Current of the pulse, above 0. [A]
    duration
        Duration of the pulse, 5 µs to 1 ms. [s]

    Returns
    -------
    radius
        Radius of the heat source at the end of the pulse. [m]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: R = 2.04 \times 10^{-3} I^{0.43} t^{0.44}

    Holds for pulses of 5 µs to 1 ms; below, it gives half the crater's radius.
    Leaves out: liquid and metal. Spectroscopy sees a channel that reaches its
    size within some µs instead; never mix it with a heat share of another model.

    References
    ----------
    ikai-hashiguchi-1995, eq. from memory

    Examples
    --------
    >>> print(f"{1e6 * fitted_channel_radius(10.0, duration=100e-6):.1f} µm")
    95.4 µm
    """
    require_positive("current", current, "A")
    require_between("duration", duration, SHORTEST, LONGEST, "s")
    radius: Metres = 2.04e-3 * current**0.43 * duration**0.44
    return radius


def anode_channel_radius(duration: Seconds) -> Metres:
    r"""Radius of the heat source on the positive side, by the older anode model.

    Parameters
    ----------
    duration
        Duration of the pulse, 5 µs to 1 ms. [s]

    Returns
    -------
    radius
        Radius of the heat source at the end of the pulse. [m]

    Raises
    ------
    InputRefused
        If the duration is not in its stated range.

    Notes
    -----
    .. math:: R = 0.788\, t^{0.75} \quad (\mathrm{µm}, \mathrm{µs})

    Holds for the model it was made with. Leaves out: current, liquid, metal;
    it is a quarter of the fitted radius at 10 A and 100 µs.

    References
    ----------
    patel-1989, eq. from memory

    Examples
    --------
    >>> print(f"{1e6 * anode_channel_radius(100e-6):.1f} µm")
    24.9 µm
    """
    require_between("duration", duration, SHORTEST, LONGEST, "s")
    radius: Metres = 0.788e-6 * (duration / 1e-6) ** 0.75
    return radius


def flux_normaliser(steepness: Number = 4.5) -> Number:
    r"""Peak of a cut-off Gaussian flux over the mean on its disc.

    Parameters
    ----------
    steepness
        Number :math:`k` in the flux :math:`q_0 e^{-k r^2/R^2}`, above 0.

    Returns
    -------
    ratio
        Peak flux times area of the disc over the power.

    Raises
    ------
    InputRefused
        If the steepness is not above 0.

    Notes
    -----
    .. math:: \frac{q_0 \pi R^2}{P} = \frac{k}{1 - e^{-k}}

    Holds for a flux cut off at R. Leaves out: what would have fallen outside,
    1.1 % at 4.5; printed values of 4.45 and 4.57 miss the power by up to 2.5 %.

    References
    ----------
    computed

    Examples
    --------
    >>> print(f"{flux_normaliser(3.0):.3f}")
    3.157
    """
    require_positive("steepness", steepness, "")
    return -steepness / math.expm1(-steepness)


def peak_flux(power: Watts, *, radius: Metres, steepness: Number = 4.5) -> HeatFlux:
    r"""Heat flux in the middle of a cut-off Gaussian source.

    Parameters
    ----------
    power
        Power that the source brings, at least 0. [W]
    radius
        Radius at which the flux is cut off, above 0. [m]
    steepness
        Number :math:`k` in the flux :math:`q_0 e^{-k r^2/R^2}`, above 0.

    Returns
    -------
    flux
        Flux in the middle. [W/m²]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: q_0 = \frac{k}{1 - e^{-k}} \frac{P}{\pi R^2}

    Holds for a flux cut off at R. Leaves out: growth of the channel.

    References
    ----------
    computed

    Examples
    --------
    >>> print(f"{peak_flux(45.75, radius=57.8e-6):.3g} W/m²")
    1.98e+10 W/m²
    """
    require_not_negative("power", power, "W")
    require_positive("radius", radius, "m")
    return flux_normaliser(steepness) * power / (math.pi * radius**2)
