"""Heat that a cubic metre of a material must take up before it can leave as liquid or vapour."""

from gapwright.base.checks import require_between
from gapwright.base.errors import FactMissing
from gapwright.base.source import Fact, Status
from gapwright.base.units import Kelvins, MolarEnergy
from gapwright.facts._reading import data
from gapwright.facts.materials import Material, material

ROOM: Kelvins = 298.15
"""Temperature from which heat contents are counted."""


def _primitive(piece: list[float], temperature: float) -> float:
    """Integral of one piece of heat capacity up to `temperature`, in J/mol and to a constant."""
    A, B, C, D, E = piece[2:]
    t = temperature / 1000.0
    return 1000.0 * (A * t + B * t**2 / 2 + C * t**3 / 3 + D * t**4 / 4 - E / t)


def has_heat_capacity(metal: str) -> bool:
    """Whether the heat capacity of this metal is known up to its melting point."""
    return metal in data("heat_capacity")


def molar_heat_content(metal: str, temperature: Kelvins) -> MolarEnergy:
    r"""Heat content of a solid metal above that at 298.15 K.

    Parameters
    ----------
    metal
        Key of a pure metal whose heat capacity is known.
    temperature
        Temperature reached, from 298.15 K to the end of the pieces, which is
        the melting point. [K]

    Returns
    -------
    heat
        Enthalpy per mole above that at 298.15 K. [J/mol]

    Raises
    ------
    FactMissing
        If the heat capacity of this metal is not in the tables.
    InputRefused
        If the temperature is outside the pieces.

    Notes
    -----
    .. math:: H = \int_{298}^{T} (A + B t + C t^2 + D t^3 + E / t^2)\, dT, \quad t = T / 1000

    Holds for the solid at 1 atm, its changes of phase included as far as the
    heat capacity follows them.
    Leaves out: the small heats of the changes of crystal form.

    References
    ----------
    chase-1998

    Examples
    --------
    >>> print(f"{molar_heat_content('copper', 1357.77) / 1000:.2f} kJ/mol")
    29.66 kJ/mol
    """
    table = data("heat_capacity")
    if metal not in table:
        raise FactMissing(f"heat capacity up to melting is known of {', '.join(table)}, got {metal!r}")
    pieces = table[metal]["pieces"]
    require_between("temperature", temperature, pieces[0][0], pieces[-1][1], "K")
    heat = 0.0
    for piece in pieces:
        top = min(piece[1], temperature)
        if top > piece[0]:
            heat += _primitive(piece, top) - _primitive(piece, piece[0])
    return heat


def _heat_to_melting_per_mass(of: Material) -> tuple[float, str]:
    """Heat per kilogram from 298 K to the start of fusion, and how it was found."""
    melting = of.melting_temperature.value
    metal = of.heat_capacity_of
    if has_heat_capacity(metal):
        end = min(melting, data("heat_capacity")[metal]["pieces"][-1][1])
        heat = molar_heat_content(metal, end) / material(metal).fact("molar_mass").value
        return heat, f"from the heat content of {metal}"
    heat = of.specific_heat.value * (melting - ROOM)
    return heat, "from the specific heat at room temperature, so too low, for steel by up to 30 %"


def melting_enthalpy_per_volume(of: Material) -> Fact:
    """Least heat that turns a cubic metre of solid at 298 K into liquid at its melting point.

    For metals of known heat content the heat capacity is integrated; a steel
    takes the heat content of iron per kilogram up to its own liquidus. For
    other alloys the specific heat at room temperature stands for the whole
    range, which is too low (iron would come out at 7.3 instead of 10.3 J/mm³);
    the note of the answer says which was done. Of a hardmetal and of
    tungsten-copper only the binder melts.

    Raises
    ------
    FactMissing
        If the material does not melt, or its heats are not known.

    Examples
    --------
    >>> print(f"{melting_enthalpy_per_volume(material('iron')).value / 1e9:.2f} J/mm³")
    10.27 J/mm³
    """
    sensible, how = _heat_to_melting_per_mass(of)
    heat = of.density.value * (sensible + of.latent_heat_fusion.value)
    return Fact(value=heat, unit="J/m³", source="computed", status=Status.COMPUTED, at="from 298 K", note=how)


def floor_enthalpy_per_volume(of: Material) -> Fact:
    """Least heat at which a cubic metre of the material can leave as liquid, or as vapour if it never melts.

    Raises
    ------
    FactMissing
        If the heats of the material are not known.

    Examples
    --------
    >>> floor_enthalpy_per_volume(material("graphite")).note
    'graphite sublimes: atomisation at 298 K'
    """
    if not of.knows("sublimation_point"):
        return melting_enthalpy_per_volume(of)
    heat = of.density.value * of.fact("atomisation_enthalpy").value
    note = f"{of.key} sublimes: atomisation at 298 K"
    return Fact(
        value=heat, unit="J/m³", source="computed", status=Status.COMPUTED, at="from 298 K", note=note
    )
