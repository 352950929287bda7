"""Units as annotated types: a type checker sees a float, tests and forms read the unit.

Everything inside gapwright is in SI units. A conversion happens only where a
user reads or writes (see `gapwright.base.quantity`).
"""

from dataclasses import dataclass
from typing import Annotated


@dataclass(frozen=True, slots=True)
class Unit:
    """The unit of an annotated number, as printed; empty for a pure number."""

    symbol: str


Number = Annotated[float, Unit("")]
Metres = Annotated[float, Unit("m")]
SquareMetres = Annotated[float, Unit("m²")]
CubicMetres = Annotated[float, Unit("m³")]
Seconds = Annotated[float, Unit("s")]
Hertz = Annotated[float, Unit("Hz")]
Volts = Annotated[float, Unit("V")]
Amperes = Annotated[float, Unit("A")]
Ohms = Annotated[float, Unit("Ω")]
Siemens = Annotated[float, Unit("S")]
Farads = Annotated[float, Unit("F")]
Henries = Annotated[float, Unit("H")]
Coulombs = Annotated[float, Unit("C")]
Joules = Annotated[float, Unit("J")]
Watts = Annotated[float, Unit("W")]
Newtons = Annotated[float, Unit("N")]
Kelvins = Annotated[float, Unit("K")]
Celsius = Annotated[float, Unit("°C")]
Pascals = Annotated[float, Unit("Pa")]
Radians = Annotated[float, Unit("rad")]
Kilograms = Annotated[float, Unit("kg")]
Teslas = Annotated[float, Unit("T")]
ActionIntegral = Annotated[float, Unit("A²s")]
Conductivity = Annotated[float, Unit("S/m")]
Resistivity = Annotated[float, Unit("Ω·m")]
ThermalConductivity = Annotated[float, Unit("W/(m·K)")]
Diffusivity = Annotated[float, Unit("m²/s")]
Density = Annotated[float, Unit("kg/m³")]
SpecificHeat = Annotated[float, Unit("J/(kg·K)")]
SpecificEnergy = Annotated[float, Unit("J/kg")]
EnergyDensity = Annotated[float, Unit("J/m³")]
HeatFlux = Annotated[float, Unit("W/m²")]
Field = Annotated[float, Unit("V/m")]
Viscosity = Annotated[float, Unit("Pa·s")]
VolumeRate = Annotated[float, Unit("m³/s")]
Speed = Annotated[float, Unit("m/s")]
Acceleration = Annotated[float, Unit("m/s²")]
RemovalPerEnergy = Annotated[float, Unit("m³/J")]
VolumePerCharge = Annotated[float, Unit("m³/C")]
OhmsPerMetre = Annotated[float, Unit("Ω/m")]
PerMetre = Annotated[float, Unit("1/m")]
PerSecond = Annotated[float, Unit("1/s")]
PressureLength = Annotated[float, Unit("Pa·m")]
PerPressureLength = Annotated[float, Unit("1/(Pa·m)")]
VoltsPerPressureLength = Annotated[float, Unit("V/(Pa·m)")]
MolarMass = Annotated[float, Unit("kg/mol")]
LorenzNumber = Annotated[float, Unit("V²/K²")]
ActionPerAreaSquared = Annotated[float, Unit("A²s/m⁴")]
EnergyPerCurrentSquared = Annotated[float, Unit("J/A²")]
EnergyPerArea = Annotated[float, Unit("J/m²")]
VoltsPerSecond = Annotated[float, Unit("V/s")]
MolarEnergy = Annotated[float, Unit("J/mol")]
AmperesPerSecond = Annotated[float, Unit("A/s")]
HenriesPerMetre = Annotated[float, Unit("H/m")]
