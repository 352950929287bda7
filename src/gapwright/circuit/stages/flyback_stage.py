"""Circuit of a flyback generator, from plain values."""

from dataclasses import dataclass

from gapwright.base.checks import require_positive
from gapwright.base.units import Amperes, Farads, Henries, Number, Ohms, Seconds, Volts
from gapwright.circuit.control.charging_control import Charging, charger
from gapwright.circuit.control.governor import Governed
from gapwright.circuit.control.spark_loop import (
    COIL,
    DIODE,
    STORE,
    SWITCH,
    SparkLoop,
    SupplyLimit,
    supply_parts,
)
from gapwright.circuit.network.elements import Capacitor, Element, Inductor
from gapwright.circuit.network.magnetics import Coupling
from gapwright.circuit.network.netlist import GROUND, Netlist
from gapwright.circuit.stages.stage_parts import (
    SECONDARY,
    Protection,
    require_above_arc,
    resistor,
    stage_diode,
    transistor,
    with_protection,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Flyback:
    """A store charged through two coils on one core.

    The clamp is a diode into a capacitor with a resistor across it; without
    one the leakage's energy goes into the coil's damper.
    """

    supply_volts: Volts
    source_ohms: Ohms
    primary_henries: Henries
    primary_ohms: Ohms
    turns_ratio: Number
    coupling: Number
    secondary_ohms: Ohms
    switch_ohms: Ohms
    diode_volts: Volts
    diode_ohms: Ohms
    loop: SparkLoop
    limit: Amperes
    minimum_off_time: Seconds
    voltage_limit: Volts
    hysteresis: Volts
    at_zero_current: bool = True
    blanking: Seconds | None = None
    clamp_farads: Farads | None = None
    clamp_ohms: Ohms = 1e4
    damper_ohms: Ohms = 1e4
    protection: Protection | None = None
    supply_limit: SupplyLimit | None = None

    def __post_init__(self) -> None:
        """Refuse a stage that charges nothing."""
        require_positive("supply_volts", self.supply_volts, "V")
        require_positive("turns_ratio", self.turns_ratio, "")
        require_above_arc("voltage_limit", self.voltage_limit, self.loop.arc_volts)


def _clamp(generator: Flyback, fed: str) -> tuple[Element, ...]:
    if generator.clamp_farads is None:
        return ()
    return (
        stage_diode("clamp diode", "switched", "clamp", volts=0.7, ohms=0.05, account="clamp"),
        Capacitor(
            name="clamp capacitor",
            start="clamp",
            end=fed,
            farads=generator.clamp_farads,
            series_ohms=0.05,
            account="clamp",
            stage="supply",
        ),
        resistor("clamp resistor", "clamp", fed, generator.clamp_ohms, account="clamp"),
    )


def flyback_network(generator: Flyback) -> tuple[Netlist, Governed]:
    """Circuit and control of a flyback generator.

    Parameters
    ----------
    generator
        Its values.

    Returns
    -------
    netlist
        The circuit; parts are named by the constants of this module and of `spark_loop`.
    control
        Current limit on the primary coil, and what protects the gap.
    """
    g = generator
    source, fed = supply_parts(g.supply_volts, g.source_ohms, g.supply_limit)
    coils = (
        resistor("coil resistance", fed, "wound", g.primary_ohms, account="coil"),
        Inductor(
            name=COIL,
            start="wound",
            end="switched",
            henries=g.primary_henries,
            damper_ohms=g.damper_ohms,
            account="coil",
            stage="supply",
        ),
        transistor(SWITCH, "switched", GROUND, g.switch_ohms),
        stage_diode("body diode", GROUND, "switched", volts=0.8, ohms=0.02, account="transistor"),
        Inductor(
            name=SECONDARY,
            start=GROUND,
            end="secondary",
            henries=g.primary_henries * g.turns_ratio**2,
            damper_ohms=g.damper_ohms * g.turns_ratio**2,
            account="coil",
            stage="supply",
        ),
        resistor("secondary resistance", "secondary", "rectified", g.secondary_ohms, account="coil"),
        stage_diode(DIODE, "rectified", "out", volts=g.diode_volts, ohms=g.diode_ohms),
    )
    charging = Charging(
        switch=SWITCH,
        coil=COIL,
        limit=g.limit,
        minimum_off_time=g.minimum_off_time,
        voltage_limit=g.voltage_limit,
        release=g.voltage_limit - g.hysteresis,
        emptied=DIODE if g.at_zero_current else "",
        blanking=g.blanking,
    )
    netlist = Netlist(
        elements=(*source, *coils, *_clamp(g, fed), *g.loop.parts()),
        store=STORE,
        coil=COIL,
        couplings=(Coupling(first=COIL, second=SECONDARY, coefficient=g.coupling),),
        counters=g.protection.counters if g.protection else (),
    )
    return netlist, with_protection(charger(charging), g.protection)
