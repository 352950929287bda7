"""Circuits of the kinds of generator, from plain values."""

from dataclasses import dataclass

from gapwright.base.checks import require_finite, require_positive
from gapwright.base.errors import InputRefused
from gapwright.base.units import Amperes, Henries, Ohms, Seconds, Volts
from gapwright.circuit.control.charging_control import Charging, charger, clock
from gapwright.circuit.control.control import Control, FixedOnTime, NoControl, PeakCurrent
from gapwright.circuit.control.governor import Governed
from gapwright.circuit.control.spark_loop import (
    COIL,
    DIODE,
    GAP,
    LEAD,
    OPEN_OHMS,
    STORE,
    SUPPLY,
    SUPPLY_STORE,
    SWITCH,
    SparkLoop,
    SupplyLimit,
    supply_parts,
)
from gapwright.circuit.network.elements import (
    Diode,
    Element,
    Inductor,
    Resistor,
    Switch,
)
from gapwright.circuit.network.magnetics import Piece
from gapwright.circuit.network.netlist import GROUND, Netlist
from gapwright.circuit.stages.stage_parts import Protection, with_protection

__all__ = [
    "COIL",
    "DIODE",
    "GAP",
    "LEAD",
    "OPEN_OHMS",
    "STORE",
    "SUPPLY",
    "SUPPLY_STORE",
    "SWITCH",
    "Clocked",
    "CurrentLimited",
    "Relaxation",
    "SparkLoop",
    "StepUp",
    "SupplyLimit",
    "relaxation_network",
    "step_up_network",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxation:
    """A store charged through a resistor from a supply."""

    supply_volts: Volts
    charging_ohms: Ohms
    loop: SparkLoop
    source_ohms: Ohms = 0.0
    supply_limit: SupplyLimit | None = None
    protection: Protection | None = None

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
        None: it charges by itself; a series switch is worked by its own.
    """
    source, fed = supply_parts(generator.supply_volts, generator.source_ohms, generator.supply_limit)
    charging = Resistor(
        name="charging resistor",
        start=fed,
        end="out",
        ohms=generator.charging_ohms,
        stage="supply",
        account="charging resistor",
    )
    protection = generator.protection
    netlist = Netlist(
        elements=(*source, charging, *generator.loop.parts()),
        store=STORE,
        counters=protection.counters if protection else (),
    )
    return netlist, Governed(governors=(protection.governor(),)) if protection else NoControl()


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
    at_zero_current: bool = False
    """Closes once the diode carries nothing any more, too."""
    blanking: Seconds | None = None
    """Does not charge for so long after a spark."""


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
    pieces: tuple[Piece, ...] = ()
    protection: Protection | None = None

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
            pieces=generator.pieces,
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
    source, fed = supply_parts(generator.supply_volts, generator.source_ohms, generator.supply_limit)
    netlist = Netlist(
        elements=(*source, *_converter(generator, fed), *generator.loop.parts()),
        store=STORE,
        coil=COIL,
        counters=generator.protection.counters if generator.protection else (),
    )
    return netlist, _step_up_control(generator)


def _step_up_control(generator: StepUp) -> Control:
    """Built-in control of the transistor where that suffices, governors with any option."""
    drive, protection = generator.drive, generator.protection
    if isinstance(drive, Clocked):
        if protection is None:
            return FixedOnTime(switch=SWITCH, period=drive.period, on_time=drive.on_time)
        return with_protection(clock(SWITCH, period=drive.period, on_time=drive.on_time), protection)
    if protection is None and drive.blanking is None and not drive.at_zero_current:
        return PeakCurrent(
            switch=SWITCH,
            limit=drive.limit,
            minimum_off_time=drive.minimum_off_time,
            voltage_limit=drive.voltage_limit,
            hysteresis=drive.hysteresis,
        )
    charging = Charging(
        switch=SWITCH,
        coil=COIL,
        limit=drive.limit,
        minimum_off_time=drive.minimum_off_time,
        voltage_limit=drive.voltage_limit,
        release=drive.voltage_limit - drive.hysteresis,
        emptied=DIODE if drive.at_zero_current else "",
        blanking=drive.blanking,
    )
    return with_protection(charger(charging), protection)
