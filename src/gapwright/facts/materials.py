"""Metals, alloys and a few materials that do not conduct, with the facts known of each."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from gapwright.base.errors import FactMissing
from gapwright.base.source import Fact
from gapwright.facts._reading import Record, facts_from, joined, missing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Material:
    """One material: what it is called, what it is, and the facts known of it.

    `fact("density")` gives the number with its source; the properties below
    are shorthand for facts that most laws need. A fact that is not known is
    refused by name, never guessed.
    """

    key: str
    title: str
    family: str
    conductive: bool
    wear_class: str
    note: str
    heat_capacity_of: str
    facts: Mapping[str, Fact]

    def fact(self, name: str) -> Fact:
        """Fact of this name.

        Raises
        ------
        FactMissing
            If the table holds no such fact of this material.
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
        """Density of the solid at room temperature, in kg/m³."""
        return self.fact("density")

    @property
    def specific_heat(self) -> Fact:
        """Specific heat at room temperature, in J/(kg·K)."""
        return self.fact("specific_heat")

    @property
    def thermal_conductivity(self) -> Fact:
        """Thermal conductivity at room temperature, in W/(m·K)."""
        return self.fact("thermal_conductivity")

    @property
    def resistivity(self) -> Fact:
        """Electrical resistivity at room temperature, in Ω·m."""
        return self.fact("resistivity")

    @property
    def melting_temperature(self) -> Fact:
        """Melting point of a pure metal, or the liquidus of an alloy or of its binder, in K.

        Graphite has neither and is refused: it sublimes.
        """
        return self.fact("liquidus" if self.knows("liquidus") else "melting_point")

    @property
    def boiling_temperature(self) -> Fact:
        """Boiling point, of the constituent that boils first where stated, or sublimation point, in K."""
        return self.fact("sublimation_point" if self.knows("sublimation_point") else "boiling_point")

    @property
    def latent_heat_fusion(self) -> Fact:
        """Heat of fusion, in J/kg."""
        return self.fact("latent_heat_fusion")

    @property
    def latent_heat_vaporisation(self) -> Fact:
        """Heat of vaporisation, in J/kg."""
        return self.fact("latent_heat_vaporisation")

    @property
    def minimum_arc_voltage(self) -> Fact:
        """Least voltage that keeps an arc between contacts of this material in air, in V."""
        return self.fact("minimum_arc_voltage")

    @property
    def minimum_arc_current(self) -> Fact:
        """Least current that keeps an arc between contacts of this material in air, in A."""
        return self.fact("minimum_arc_current")

    @property
    def neck_action(self) -> Fact:
        """Action integral that melts a neck, over the square of its cross-section, in A²s/m⁴."""
        return self.fact("neck_action")


@cache
def _records() -> Record:
    """Records of all materials, from their three files."""
    return joined("metals", "alloys", "nonconductors")


def materials() -> tuple[str, ...]:
    """Keys of all materials."""
    return tuple(_records())


@cache
def material(key: str) -> Material:
    """Material with this key.

    Raises
    ------
    FactMissing
        If the tables hold no such material; close names are listed.

    Examples
    --------
    >>> material("copper").density.value
    8960.0
    >>> material("glass").conductive
    False
    """
    records = _records()
    if key not in records:
        raise missing("the material", key, records, table="materials")
    record = records[key]
    return Material(
        key=key,
        title=record["title"],
        family=record["family"],
        conductive=record["conductive"],
        wear_class=record["wear_class"],
        note=record.get("note", ""),
        heat_capacity_of=record.get("heat_capacity_of", key),
        facts=facts_from(record["facts"]),
    )
