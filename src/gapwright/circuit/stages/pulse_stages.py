"""Circuits of iso-pulse and current-source generators, from plain values.

Their store is the capacitor across the supply, from which pulses are given.
"""

from dataclasses import dataclass

from gapwright.base.units import Amperes, Farads, Henries, Ohms, Seconds, Volts
from gapwright.circuit.control.charging_control import Pulsing, kept_current, pulses, train
from gapwright.circuit.control.governor import Governed, Governor
from gapwright.circuit.control.spark_loop import COIL, DIODE, STORE, SWITCH, GapLoop
from gapwright.circuit.network.elements import SMALLEST_OHMS, Capacitor, Element, Inductor, VoltageSource
from gapwright.circuit.network.magnetics import Piece
from gapwright.circuit.network.netlist import GROUND, Netlist
from gapwright.circuit.stages.stage_parts import (
    BALLAST,
    GAP_DIODE,
    IGNITION_SWITCH,
    STEERING,
    Bus,
    require_above_arc,
    resistor,
    stage_diode,
    transistor,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class IsoPulse:
    """Pulses through a transistor and a ballast; a diode lets the leads' current run on."""

    bus: Bus
    switch_ohms: Ohms
    ballast_ohms: Ohms
    diode_volts: Volts
    diode_ohms: Ohms
    loop: GapLoop
    pulsing: Pulsing
    train: tuple[Seconds, Seconds] | None = None

    def __post_init__(self) -> None:
        """Refuse a bus that drives nothing."""
        require_above_arc("supply_volts", self.bus.volts, self.loop.arc_volts)


def iso_pulse_network(generator: IsoPulse) -> tuple[Netlist, Governed]:
    """Circuit and control of an iso-pulse generator.

    Parameters
    ----------
    generator
        Its values.

    Returns
    -------
    netlist
        The circuit.
    control
        Pulses that burn equally long, in trains if asked.
    """
    g = generator
    bus, fed = g.bus.parts()
    stage = (
        transistor(SWITCH, fed, "switched", g.switch_ohms),
        stage_diode(DIODE, GROUND, "switched", volts=g.diode_volts, ohms=g.diode_ohms),
        resistor(BALLAST, "switched", "fed gap", g.ballast_ohms),
    )
    netlist = Netlist(elements=(*bus, *stage, *g.loop.parts("fed gap")), store=STORE)
    closed = (SWITCH,)
    return netlist, _trained(pulses(g.pulsing, waiting=closed, burning=closed), g.train)


def _trained(governor: Governor, times: tuple[float, float] | None, *more: Governor) -> Governed:
    return Governed(governors=(governor, *more, *([train(*times)] if times else [])))


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentSource:
    """A coil's current kept between two values and steered into the gap once another source has struck it.

    The snubber lies across the steering transistor and takes the coil's
    current until that of the leads has risen.
    """

    bus: Bus
    switch_ohms: Ohms
    diode_volts: Volts
    diode_ohms: Ohms
    coil_henries: Henries
    coil_ohms: Ohms
    steering_ohms: Ohms
    amperes: Amperes
    band: Amperes
    ignition_volts: Volts
    ignition_ohms: Ohms
    loop: GapLoop
    pulsing: Pulsing
    train: tuple[Seconds, Seconds] | None = None
    pieces: tuple[Piece, ...] = ()
    damper_ohms: Ohms = 1e5
    snubber_farads: Farads = 10e-9
    snubber_ohms: Ohms = 10.0

    def __post_init__(self) -> None:
        """Refuse sources that drive nothing."""
        require_above_arc("supply_volts", self.bus.volts, self.loop.arc_volts)
        require_above_arc("ignition_volts", self.ignition_volts, self.loop.arc_volts)


def _ignition_source(g: CurrentSource) -> tuple[Element, ...]:
    heading = {"account": "drawn from ignition source", "stage": "supply"}
    return (
        VoltageSource(
            name="ignition source", start="ignition", end=GROUND, volts=g.ignition_volts, **heading
        ),
        resistor("ignition resistor", "ignition", "limited", g.ignition_ohms),
        transistor(IGNITION_SWITCH, "limited", "struck", 0.1, account="ignition switch"),
        stage_diode("ignition diode", "struck", "fed gap", volts=0.8, ohms=0.05, account="ignition switch"),
    )


def current_source_network(generator: CurrentSource) -> tuple[Netlist, Governed]:
    """Circuit and control of a current-source generator.

    Parameters
    ----------
    generator
        Its values.

    Returns
    -------
    netlist
        The circuit.
    control
        Current between two values, pulses that burn equally long, in trains if asked.
    """
    g = generator
    bus, fed = g.bus.parts()
    stage = (
        transistor(SWITCH, fed, "switched", g.switch_ohms),
        stage_diode(DIODE, GROUND, "switched", volts=g.diode_volts, ohms=g.diode_ohms),
        Inductor(
            name=COIL,
            start="switched",
            end="wound",
            henries=g.coil_henries,
            damper_ohms=g.damper_ohms,
            pieces=g.pieces,
            account="coil",
            stage="supply",
        ),
        resistor("coil resistance", "wound", "steered", g.coil_ohms, account="coil"),
        transistor(STEERING, "steered", GROUND, g.steering_ohms, account="steering switch"),
        resistor("snubber resistor", "steered", "snubbed", g.snubber_ohms, account="snubber"),
        Capacitor(
            name="snubber capacitor",
            start="snubbed",
            end=GROUND,
            farads=g.snubber_farads,
            series_ohms=SMALLEST_OHMS,
            account="snubber",
            stage="supply",
        ),
        stage_diode(GAP_DIODE, "steered", "fed gap", volts=g.diode_volts, ohms=g.diode_ohms),
    )
    netlist = Netlist(
        elements=(*bus, *stage, *_ignition_source(g), *g.loop.parts("fed gap")), store=STORE, coil=COIL
    )
    low, high = g.amperes - 0.5 * g.band, g.amperes + 0.5 * g.band
    pulse = pulses(g.pulsing, waiting=(IGNITION_SWITCH, STEERING), burning=(), paused=(STEERING,))
    return netlist, _trained(pulse, g.train, kept_current(SWITCH, COIL, low=low, high=high))
