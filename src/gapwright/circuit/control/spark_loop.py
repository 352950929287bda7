"""Store, leads and gap: what every generator has from its capacitor on, and the supply before it."""

from dataclasses import dataclass

from gapwright.base.units import Amperes, Farads, Henries, Ohms, Seconds, Siemens, Volts
from gapwright.circuit.network.elements import (
    SMALLEST_OHMS,
    Capacitor,
    CurrentSource,
    Diode,
    Element,
    Gap,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)
from gapwright.circuit.network.netlist import GROUND

OPEN_OHMS = 1e7
"""What a blocking diode or an open transistor lets through."""

STORE, LEAD, GAP, COIL, SWITCH, DIODE, SUPPLY = "store", "lead", "gap", "coil", "switch", "diode", "supply"
SUPPLY_STORE, SERIES_SWITCH = "supply capacitor", "series switch"
"""Names of parts in the circuits made here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GapLoop:
    """Leads and gap: what every generator has.

    `contact_ohms` is the sliding contact to the turning electrode;
    `lead_damper_ohms` stands for what ends the ringing of the lead when a
    discharge is cut off.
    """

    lead_henries: Henries
    lead_ohms: Ohms
    arc_volts: Volts
    arc_ohms: Ohms
    contact_ohms: Ohms = 0.0
    lead_damper_ohms: Ohms = 1e3
    hold_amperes: Amperes = 0.0
    recovery_seconds: Seconds = 1e-7
    short_ohms: Ohms = 0.02
    leak_siemens: Siemens = 0.0

    def parts(self, start: str) -> tuple[Element, ...]:
        """Parts between a node and ground."""
        return (
            *_resistances(start, "loop", lead=self.lead_ohms, contact=self.contact_ohms),
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


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopDiode:
    """Drop and resistance of a diode that protects store or loop."""

    volts: Volts
    ohms: Ohms


@dataclass(frozen=True, slots=True, kw_only=True)
class SparkLoop:
    """Store, leads and gap: what every generator has from its capacitor on.

    `contact_ohms` is the sliding contact to the turning electrode;
    `bleeder_ohms` discharges the store when the rig is off and is left out if
    not given. `lead_damper_ohms` stands for what ends the ringing of the lead
    when a discharge is cut off. `reverse_diode` lies across the store and
    takes the current that would charge it the wrong way. `series_ohms_on` is
    the resistance of a switch between store and leads, behind which a diode
    lets the leads' current run on when it opens.
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
    reverse_diode: LoopDiode | None = None
    series_switch_ohms: Ohms | None = None

    @property
    def gap_loop(self) -> GapLoop:
        """Leads and gap alone."""
        return GapLoop(
            lead_henries=self.lead_henries,
            lead_ohms=self.lead_ohms,
            arc_volts=self.arc_volts,
            arc_ohms=self.arc_ohms,
            contact_ohms=self.contact_ohms,
            lead_damper_ohms=self.lead_damper_ohms,
            hold_amperes=self.hold_amperes,
            recovery_seconds=self.recovery_seconds,
            short_ohms=self.short_ohms,
            leak_siemens=self.leak_siemens,
        )

    def parts(self) -> tuple[Element, ...]:
        """Parts between the node "out" and ground."""
        bleeder = bleeder_parts(self.bleeder_ohms)
        reverse: tuple[Element, ...] = ()
        if self.reverse_diode is not None:
            reverse = (loop_diode("reverse diode", "out", self.reverse_diode),)
        store = store_part(self.farads, self.series_ohms)
        if self.series_switch_ohms is None:
            return (store, *bleeder, *reverse, *self.gap_loop.parts("out"))
        switch = Switch(
            name=SERIES_SWITCH,
            start="out",
            end="cut",
            on_ohms=self.series_switch_ohms,
            off_ohms=OPEN_OHMS,
            stage="store",
            account="series switch",
        )
        runs_on = loop_diode("free-running diode", "cut", LoopDiode(volts=0.8, ohms=0.02))
        return (store, *bleeder, *reverse, switch, runs_on, *self.gap_loop.parts("cut"))


def store_part(farads: float, series_ohms: float, *, node: str = "out", stage: str = "store") -> Capacitor:
    """The store, from a node to ground."""
    return Capacitor(
        name=STORE,
        start=node,
        end=GROUND,
        farads=farads,
        series_ohms=series_ohms,
        stage=stage,
        account="capacitor series resistance",
    )


def bleeder_parts(ohms: float | None, *, node: str = "out") -> tuple[Element, ...]:
    """Resistor that empties the store, if there is one."""
    if ohms is None:
        return ()
    return (Resistor(name="bleeder", start=node, end=GROUND, ohms=ohms, stage="store", account="bleeder"),)


def loop_diode(name: str, node: str, diode: LoopDiode) -> Diode:
    """Diode from ground to a node: it conducts when the node is below ground."""
    return Diode(
        name=name,
        start=GROUND,
        end=node,
        drop_volts=diode.volts,
        on_ohms=diode.ohms,
        off_ohms=OPEN_OHMS,
        stage="store",
        account=name,
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
