"""Two generators whose runs are known, part by part: a clocked step-up charger and a relaxation generator.

Both strike when the node "out" exceeds 60 V, burn at 20 V behind 50 mΩ and
200 nH, and go out when the current has fallen to nothing. `off` is what a
blocked part lets through, `coil_damper` and `lead_damper` lie across the inductances.
"""

from gapwright.circuit.control.control import FixedOnTime
from gapwright.circuit.control.ignition import Threshold
from gapwright.circuit.network.elements import (
    Capacitor,
    Diode,
    Element,
    Gap,
    Inductor,
    Resistor,
    Switch,
    VoltageSource,
)
from gapwright.circuit.network.netlist import Netlist

SPAN = 0.2
"""Time that is run. [s]"""
ARC_VOLTS = 20.0
DIODE_VOLTS = 0.7
STRIKES = Threshold(volts=60.0, node="out")
CLOCK = FixedOnTime(switch="switch", period=25e-6, on_time=12e-6)


def _supply(volts: float) -> Element:
    return VoltageSource(
        name="supply", start="in", end="0", volts=volts, stage="supply", account="drawn from supply"
    )


def _loop(*, farads: float, series_ohms: float, off: float, lead_damper: float) -> tuple[Element, ...]:
    return (
        Capacitor(
            name="store",
            start="out",
            end="0",
            farads=farads,
            series_ohms=series_ohms,
            stage="store",
            account="series resistance",
        ),
        Inductor(
            name="lead",
            start="out",
            end="gap",
            henries=200e-9,
            damper_ohms=lead_damper,
            stage="leads",
            account="lead damping",
        ),
        Gap(
            name="gap",
            start="gap",
            end="0",
            leak_siemens=1.0 / off,
            arc_volts=ARC_VOLTS,
            arc_ohms=0.05,
            hold_amperes=0.0,
            short_ohms=0.02,
            stage="spark",
            account="discharge",
        ),
    )


def step_up(*, off: float = 1e10, coil_damper: float = 1e9, lead_damper: float = 1e9) -> Netlist:
    """12 V, 0.1 Ω, 47 µH, transistor 20 mΩ, diode 0.7 V and 30 mΩ, 100 µF with 20 mΩ; worked by `CLOCK`."""
    supply = {"stage": "supply"}
    return Netlist(
        elements=(
            _supply(12.0),
            Resistor(name="source", start="in", end="fed", ohms=0.1, account="source resistance", **supply),
            Inductor(
                name="coil",
                start="fed",
                end="switched",
                henries=47e-6,
                damper_ohms=coil_damper,
                account="coil",
                **supply,
            ),
            Switch(
                name="switch",
                start="switched",
                end="0",
                on_ohms=0.02,
                off_ohms=off,
                account="transistor",
                **supply,
            ),
            Diode(
                name="diode",
                start="switched",
                end="out",
                drop_volts=DIODE_VOLTS,
                on_ohms=0.03,
                off_ohms=off,
                account="diode",
                **supply,
            ),
            *_loop(farads=100e-6, series_ohms=0.02, off=off, lead_damper=lead_damper),
        ),
        store="store",
        coil="coil",
    )


def relaxation(*, off: float = 1e10, lead_damper: float = 1e9) -> Netlist:
    """80 V through 220 Ω into 1 µF without series resistance."""
    return Netlist(
        elements=(
            _supply(80.0),
            Resistor(
                name="charging resistor",
                start="in",
                end="out",
                ohms=220.0,
                stage="supply",
                account="charging resistor",
            ),
            *_loop(farads=1e-6, series_ohms=0.0, off=off, lead_damper=lead_damper),
        ),
        store="store",
    )
