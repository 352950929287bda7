"""Parts and governors that several kinds of generator are put together from."""

from dataclasses import dataclass

from gapwright.base.checks import require_finite
from gapwright.base.errors import InputRefused
from gapwright.base.units import Coulombs, Farads, Ohms, Seconds, Volts
from gapwright.circuit.control.charging_control import CHARGE_PASSED, ShortWatch, series_switch
from gapwright.circuit.control.governor import Governed, Governor
from gapwright.circuit.control.spark_loop import (
    GAP,
    OPEN_OHMS,
    SupplyLimit,
    bleeder_parts,
    store_part,
    supply_parts,
)
from gapwright.circuit.network.elements import ChargeCounter, Diode, Element, Resistor, Switch

SECONDARY, STEERING, IGNITION_SWITCH = "secondary coil", "steering switch", "ignition switch"
GAP_DIODE, BALLAST = "gap diode", "charging resistor"
"""Names of parts beside those of `spark_loop`."""


def transistor(name: str, start: str, end: str, ohms: float, *, account: str = "transistor") -> Switch:
    """Controlled switch of a supply stage."""
    return Switch(
        name=name, start=start, end=end, on_ohms=ohms, off_ohms=OPEN_OHMS, account=account, stage="supply"
    )


def stage_diode(
    name: str, start: str, end: str, *, volts: float, ohms: float, account: str = "diode"
) -> Diode:
    """Diode of a supply stage."""
    return Diode(
        name=name,
        start=start,
        end=end,
        drop_volts=volts,
        on_ohms=ohms,
        off_ohms=OPEN_OHMS,
        account=account,
        stage="supply",
    )


def resistor(name: str, start: str, end: str, ohms: float, *, account: str = "") -> Resistor:
    """Resistor of a supply stage, under its own name if no account is given."""
    return Resistor(name=name, start=start, end=end, ohms=ohms, account=account or name, stage="supply")


def require_above_arc(name: str, volts: float, arc: float) -> None:
    """Refuse a voltage that never lets the gap burn.

    Raises
    ------
    InputRefused
        If it is not above the burning voltage.
    """
    require_finite(name, volts, "V")
    if volts <= arc:
        raise InputRefused(
            f"{name} must be above the burning voltage of {arc:g} V, got {volts:g} V; "
            "the gap would never burn"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Protection:
    """What is built in beside the store: a series switch that opens on shorts or after a set charge."""

    watch: ShortWatch | None = None
    largest_charge: Coulombs | None = None
    rest: Seconds = 50e-6

    def governor(self) -> Governor:
        """What works the series switch."""
        return series_switch(self.watch, largest_charge=self.largest_charge, rest=self.rest)

    @property
    def counters(self) -> tuple[ChargeCounter, ...]:
        """Counter of charge, if one is needed."""
        return () if self.largest_charge is None else (ChargeCounter(name=CHARGE_PASSED, part=GAP),)


def with_protection(governor: Governor, protection: Protection | None) -> Governed:
    """A charger's governor and that of a series switch beside it."""
    return Governed(governors=(governor, *([protection.governor()] if protection else [])))


@dataclass(frozen=True, slots=True, kw_only=True)
class Bus:
    """Supply with the capacitor across it, from which pulses are given."""

    volts: Volts
    source_ohms: Ohms
    farads: Farads
    series_ohms: Ohms
    bleeder_ohms: Ohms | None = None
    supply_limit: SupplyLimit | None = None

    def parts(self) -> tuple[tuple[Element, ...], str]:
        """Supply and capacitor, and the node of the bus."""
        source, fed = supply_parts(self.volts, self.source_ohms, self.supply_limit)
        store = store_part(self.farads, self.series_ohms, node=fed, stage="supply")
        return (*source, store, *bleeder_parts(self.bleeder_ohms, node=fed)), fed
