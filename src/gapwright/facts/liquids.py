"""What fills the gap: waters, hydrocarbons and air, with the facts known of each."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from gapwright.base.errors import FactMissing
from gapwright.base.source import Fact
from gapwright.facts._reading import data, facts_from, missing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Liquid:
    """One liquid (or air): what it is called, its kind, and the facts known of it.

    `kind` is `water`, `hydrocarbon` or `gas`. A fact that is not known is
    refused by name, never guessed.
    """

    key: str
    title: str
    kind: str
    flammable: bool
    facts: Mapping[str, Fact]

    def fact(self, name: str) -> Fact:
        """Fact of this name.

        Raises
        ------
        FactMissing
            If the table holds no such fact of this liquid.
        """
        if name not in self.facts:
            raise FactMissing(
                f"{name} of {self.key} is not in the tables, which know: {', '.join(sorted(self.facts))}"
            )
        return self.facts[name]

    def knows(self, name: str) -> bool:
        """Whether the tables hold this fact."""
        return name in self.facts

    @property
    def density(self) -> Fact:
        """Density, in kg/m³."""
        return self.fact("density")

    @property
    def viscosity(self) -> Fact:
        """Dynamic viscosity, in Pa·s."""
        return self.fact("viscosity")

    @property
    def specific_heat(self) -> Fact:
        """Specific heat, in J/(kg·K)."""
        return self.fact("specific_heat")

    @property
    def thermal_conductivity(self) -> Fact:
        """Thermal conductivity, in W/(m·K)."""
        return self.fact("thermal_conductivity")

    @property
    def conductivity(self) -> Fact:
        """Usual electrical conductivity when the job file states none, in S/m."""
        return self.fact("conductivity")

    @property
    def flash_point(self) -> Fact:
        """Lowest published flash point, in K; refused for what does not burn."""
        return self.fact("flash_point")

    @property
    def burning_voltage(self) -> Fact:
        """Voltage across a burning spark, in V."""
        return self.fact("burning_voltage")

    @property
    def effective_field(self) -> Fact:
        """Field at which a working gap strikes, in V/m."""
        return self.fact("effective_field")


def liquids() -> tuple[str, ...]:
    """Keys of all liquids, and of air."""
    return tuple(data("liquids"))


@cache
def liquid(key: str) -> Liquid:
    """Liquid (or air) with this key.

    Raises
    ------
    FactMissing
        If the table holds no such liquid; close names are listed.

    Examples
    --------
    >>> liquid("kerosene").flash_point.value
    311.15
    """
    table = data("liquids")
    if key not in table:
        raise missing("the liquid", key, table, table="liquids")
    record = table[key]
    return Liquid(
        key=key,
        title=record["title"],
        kind=record["kind"],
        flammable=record["flammable"],
        facts=facts_from(record["facts"]),
    )
