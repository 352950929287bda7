"""Circuits of the kinds of generator, from plain values."""

from dataclasses import dataclass

from gapwright.base.checks import require_finite, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Farads, Henries, Ohms, Seconds, Siemens, Volts
from gapwright.circuit.control import Control, FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.elements import (
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
from gapwright.circuit.netlist import GROUND, Netlist

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxation:
    """A store charged through a resistor from a supply."""

    supply_volts: Volts
    charging_ohms: Ohms
    loop: SparkLoop
    source_ohms: Ohms = 0.0
    supply_limit: SupplyLimit | None = None

    def __post_init__(self) -> None:
        """Refuse a supply that charges nothing."""
        require_positive("supply_volts", self.supply_volts, "V")
        require_positive("charging_ohms", self.charging_ohms, "Ω")
        require_finite("source_ohms", self.source_ohms, "Ω")
        if self.supply_volts <= self.loop.arc_volts:
            raise InputRefused(
                f"supply_volts must be above the burning voltage of {self.loop.arc_volts:g} V, "
                f"got {self.supply_volts:g} V; the gap would never burn"
            )


def _limited(volts: float, limit: SupplyLimit) -> tuple[Element, ...]:
    """Supply that gives way above its current limit: a current of that size, of which a diode takes the rest."""
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


def _source(volts: float, ohms: float, limit: SupplyLimit | None) -> tuple[tuple[Element, ...], str]:
    """Supply with its own resistance, and the node behind it."""
    source: tuple[Element, ...] = (
        VoltageSource(name=SUPPLY, start="in", end=GROUND, volts=volts, stage="supply", account="drawn from supply"),
    )
    if limit is not None:
        source = _limited(volts, limit)
    if ohms == 0:
        return source, "in"
    inner = Resistor(
        name="source", start="in", end="fed", ohms=ohms, stage="supply", account="source resistance"
    )
    return (*source, inner), "fed"


def relaxation_network(generator: Relaxation) -> tuple[Netlist, Control]:
    """Circuit and control of a relaxation generator.

    Parameters
    ----------
    generator
        Its values.

    Returns
    -------
    netlist
        The circuit; parts are named by the constants of this module.
    control
        None: it charges by itself.
    """
    source, fed = _source(generator.supply_volts, generator.source_ohms, generator.supply_limit)
    charging = Resistor(
        name="charging resistor",
        start=fed,
        end="out",
        ohms=generator.charging_ohms,
        stage="supply",
        account="charging resistor",
    )
    return Netlist(elements=(*source, charging, *generator.loop.parts()), store=STORE), NoControl()


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocked:
    """Same on-time in every period."""

    period: Seconds
    on_time: Seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentLimited:
    """On until the coil reaches a current, off for a least time, stopped at a store voltage."""

    limit: Amperes
    minimum_off_time: Seconds
    voltage_limit: Volts
    hysteresis: Volts = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class StepUp:
    """A store charged from a lower supply through a coil, a transistor and a diode.

    The transistor carries a diode of its own against its direction, as a
    field-effect transistor does: a store left below zero by a ringing
    discharge empties through both diodes. Give no `body_diode_volts` to leave
    it out.
    """

    supply_volts: Volts
    source_ohms: Ohms
    coil_henries: Henries
    coil_ohms: Ohms
    switch_ohms: Ohms
    diode_volts: Volts
    diode_ohms: Ohms
    drive: Clocked | CurrentLimited
    loop: SparkLoop
    coil_damper_ohms: Ohms = 1e5
    body_diode_volts: Volts | None = 0.8
    body_diode_ohms: Ohms = 0.02
    supply_limit: SupplyLimit | None = None

    def __post_init__(self) -> None:
        """Refuse a supply that drives nothing."""
        require_positive("supply_volts", self.supply_volts, "V")
        require_finite("source_ohms", self.source_ohms, "Ω")
        if isinstance(self.drive, CurrentLimited) and self.drive.voltage_limit <= self.loop.arc_volts:
            raise InputRefused(
                f"voltage_limit must be above the burning voltage of {self.loop.arc_volts:g} V, "
                f"got {self.drive.voltage_limit:g} V; the gap would never burn"
            )


def _body_diode(generator: StepUp) -> tuple[Element, ...]:
    if generator.body_diode_volts is None:
        return ()
    return (
        Diode(
            name="body diode",
            start=GROUND,
            end="switched",
            drop_volts=generator.body_diode_volts,
            on_ohms=generator.body_diode_ohms,
            off_ohms=OPEN_OHMS,
            stage="supply",
            account="transistor",
        ),
    )


def _converter(generator: StepUp, fed: str) -> tuple[Element, ...]:
    return (
        *_body_diode(generator),
        Resistor(
            name="coil resistance",
            start=fed,
            end="wound",
            ohms=generator.coil_ohms,
            stage="supply",
            account="coil",
        ),
        Inductor(
            name=COIL,
            start="wound",
            end="switched",
            henries=generator.coil_henries,
            damper_ohms=generator.coil_damper_ohms,
            stage="supply",
            account="coil",
        ),
        Switch(
            name=SWITCH,
            start="switched",
            end=GROUND,
            on_ohms=generator.switch_ohms,
            off_ohms=OPEN_OHMS,
            stage="supply",
            account="transistor",
        ),
        Diode(
            name=DIODE,
            start="switched",
            end="out",
            drop_volts=generator.diode_volts,
            on_ohms=generator.diode_ohms,
            off_ohms=OPEN_OHMS,
            stage="supply",
            account="diode",
        ),
    )


def step_up_network(generator: StepUp) -> tuple[Netlist, Control]:
    """Circuit and control of a step-up generator.

    Parameters
    ----------
    generator
        Its values.

    Returns
    -------
    netlist
        The circuit; parts are named by the constants of this module.
    control
        What works its transistor.
    """
    source, fed = _source(generator.supply_volts, generator.source_ohms, generator.supply_limit)
    netlist = Netlist(
        elements=(*source, *_converter(generator, fed), *generator.loop.parts()), store=STORE, coil=COIL
    )
    drive = generator.drive
    match drive:
        case Clocked():
            return netlist, FixedOnTime(switch=SWITCH, period=drive.period, on_time=drive.on_time)
        case CurrentLimited():
            return netlist, PeakCurrent(
                switch=SWITCH,
                limit=drive.limit,
                minimum_off_time=drive.minimum_off_time,
                voltage_limit=drive.voltage_limit,
                hysteresis=drive.hysteresis,
            )
