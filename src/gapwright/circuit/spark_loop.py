"""Store, leads and gap: what every generator has from its capacitor on, and the supply before it."""

from dataclasses import dataclass

from gapwright.base.units import Amperes, Farads, Henries, Ohms, Seconds, Siemens, Volts
from gapwright.circuit.elements import (
    SMALLEST_OHMS,
    Capacitor,
    CurrentSource,
    Diode,
    Element,
    Gap,
    Inductor,
    Resistor,
    VoltageSource,
)
from gapwright.circuit.netlist import GROUND

OPEN_OHMS = 1e7
"""What a blocking diode or an open transistor lets through."""

STORE, LEAD, GAP, COIL, SWITCH, DIODE, SUPPLY = "store", "lead", "gap", "coil", "switch", "diode", "supply"
SUPPLY_STORE = "supply capacitor"
"""Names of parts in the circuits made here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SparkLoop:
    """Store, leads and gap: what every generator has from its capacitor on.

    `contact_ohms` is the sliding contact to the turning electrode;
    `bleeder_ohms` discharges the store when the rig is off and is left out if
    not given. `lead_damper_ohms` stands for what ends the ringing of the lead
    when a discharge is cut off.
    """

    farads: Farads
    series_ohms: Ohms
    lead_henries: Henries
    lead_ohms: Ohms
    arc_volts: Volts
    arc_ohms: Ohms
    contact_ohms: Ohms = 0.0
    bleeder_ohms: Ohms | None = None
    lead_damper_ohms: Ohms = 1e3
    hold_amperes: Amperes = 0.0
    recovery_seconds: Seconds = 1e-7
    short_ohms: Ohms = 0.02
    leak_siemens: Siemens = 0.0

    def parts(self) -> tuple[Element, ...]:
        """Parts between the node "out" and ground."""
        bleeder: tuple[Element, ...] = ()
        if self.bleeder_ohms is not None:
            bleeder = (
                Resistor(
                    name="bleeder",
                    start="out",
                    end=GROUND,
                    ohms=self.bleeder_ohms,
                    stage="store",
                    account="bleeder",
                ),
            )
        return (
            Capacitor(
                name=STORE,
                start="out",
                end=GROUND,
                farads=self.farads,
                series_ohms=self.series_ohms,
                stage="store",
                account="capacitor series resistance",
            ),
            *bleeder,
            *_resistances("out", "loop", lead=self.lead_ohms, contact=self.contact_ohms),
            Inductor(
                name=LEAD,
                start="loop",
                end="gap",
                henries=self.lead_henries,
                damper_ohms=self.lead_damper_ohms,
                stage="leads",
                account="lead damping",
            ),
            Gap(
                name=GAP,
                start="gap",
                end=GROUND,
                leak_siemens=self.leak_siemens,
                arc_volts=self.arc_volts,
                arc_ohms=self.arc_ohms,
                hold_amperes=self.hold_amperes,
                recovery_seconds=self.recovery_seconds,
                short_ohms=self.short_ohms,
                stage="spark",
                account="discharge",
            ),
        )


def _resistances(start: str, end: str, *, lead: float, contact: float) -> tuple[Element, ...]:
    """Lead and sliding contact in series; the contact is left out at exactly zero."""
    middle = end if contact == 0 else "contact"
    parts: tuple[Element, ...] = (
        Resistor(name="lead resistance", start=start, end=middle, ohms=lead, stage="leads", account="leads"),
    )
    if contact == 0:
        return parts
    return (
        *parts,
        Resistor(
            name="sliding contact",
            start=middle,
            end=end,
            ohms=contact,
            stage="leads",
            account="sliding contact",
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyLimit:
    """Current at which a supply gives way, and the capacitor behind its terminals."""

    amperes: Amperes
    farads: Farads = 470e-6
    series_ohms: Ohms = 0.05


def _limited(volts: float, limit: SupplyLimit) -> tuple[Element, ...]:
    """Supply that gives way above its limit: a current of that size, of which a diode takes the rest."""
    heading = {"stage": "supply", "account": "drawn from supply"}
    return (
        VoltageSource(name=SUPPLY, start="regulated", end=GROUND, volts=volts, **heading),
        CurrentSource(name="supply limit", start=GROUND, end="in", amperes=limit.amperes, **heading),
        Diode(
            name="supply regulator",
            start="in",
            end="regulated",
            drop_volts=0.0,
            on_ohms=SMALLEST_OHMS,
            off_ohms=OPEN_OHMS,
            stage="supply",
            account="source resistance",
        ),
        Capacitor(
            name=SUPPLY_STORE,
            start="in",
            end=GROUND,
            farads=limit.farads,
            series_ohms=limit.series_ohms,
            stage="supply",
            account="source resistance",
        ),
    )


def supply_parts(volts: float, ohms: float, limit: SupplyLimit | None) -> tuple[tuple[Element, ...], str]:
    """Supply with its own resistance, and the node behind it."""
    source: tuple[Element, ...] = (
        VoltageSource(
            name=SUPPLY, start="in", end=GROUND, volts=volts, stage="supply", account="drawn from supply"
        ),
    )
    if limit is not None:
        source = _limited(volts, limit)
    if ohms == 0:
        return source, "in"
    inner = Resistor(
        name="source", start="in", end="fed", ohms=ohms, stage="supply", account="source resistance"
    )
    return (*source, inner), "fed"
