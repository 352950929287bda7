"""What leaked charge does in water: dissolved metal and gas, by Faraday's law."""

from scipy import constants

from gapwright.base.checks import require_not_negative, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Coulombs, CubicMetres, Density, Kelvins, MolarMass, Pascals

FARADAY = constants.N_A * constants.e
"""Charge of one mole of electrons [C/mol]."""


def dissolved_volume(
    charge: Coulombs, *, molar_mass: MolarMass, density: Density, electrons: int
) -> CubicMetres:
    r"""Metal that a charge dissolves from the positive side, by Faraday's law.

    Parameters
    ----------
    charge
        Charge that leaked through the liquid, at least 0. [C]
    molar_mass
        Molar mass of the metal, above 0. [kg/mol]
    density
        Density of the metal, above 0. [kg/m³]
    electrons
        Electrons that each atom gives, 1 to 8.

    Returns
    -------
    volume
        Most metal that can dissolve. [m³]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: V = \frac{Q M}{z F \rho}

    Holds as an upper limit: all charge dissolves metal.
    Leaves out: oxygen made instead of dissolved metal, films on the metal.

    References
    ----------
    faraday-codata, Faraday constant

    Examples
    --------
    >>> V = dissolved_volume(1.0, molar_mass=55.845e-3, density=7874.0, electrons=2)
    >>> print(f"{1e9 * V:.4f} mm³")
    0.0368 mm³
    """
    require_not_negative("charge", charge, "C")
    require_positive("molar_mass", molar_mass, "kg/mol")
    require_positive("density", density, "kg/m³")
    if not 1 <= electrons <= 8:
        raise InputRefused(f"electrons must be between 1 and 8 for each atom, got {electrons}")
    volume: CubicMetres = charge * molar_mass / (electrons * FARADAY * density)
    return volume


def gas_volume(charge: Coulombs, *, electrons: int, temperature: Kelvins, pressure: Pascals) -> CubicMetres:
    r"""Gas that a charge makes from water, by Faraday's law.

    Parameters
    ----------
    charge
        Charge that leaked through the liquid, at least 0. [C]
    electrons
        Electrons for each molecule of gas: 2 for hydrogen, 4 for oxygen.
    temperature
        Temperature of the gas, above 0. [K]
    pressure
        Pressure of the gas, above 0. [Pa]

    Returns
    -------
    volume
        Most gas that can form. [m³]

    Raises
    ------
    InputRefused
        If a value above is not in its stated range.

    Notes
    -----
    .. math:: V = \frac{Q R T}{z F p}

    Holds as an upper limit for a dry ideal gas.
    Leaves out: gas that stays dissolved, gas from the sparks themselves.

    References
    ----------
    faraday-codata, Faraday constant
    ideal-gas, equation of state

    Examples
    --------
    >>> V = gas_volume(1.0, electrons=2, temperature=293.15, pressure=101325.0)
    >>> print(f"{1e6 * V:.3f} mL")
    0.125 mL
    """
    require_not_negative("charge", charge, "C")
    if electrons not in (2, 4):
        raise InputRefused(f"electrons must be 2 (hydrogen) or 4 (oxygen), got {electrons}")
    require_positive("temperature", temperature, "K")
    require_positive("pressure", pressure, "Pa")
    volume: CubicMetres = charge * constants.R * temperature / (electrons * FARADAY * pressure)
    return volume
