"""A generator of pulses from a bus, by governors: wait for the spark, let it burn, pause."""

from gapwright.circuit.control.governor import Above, After, Governed, Governor, Phase, Sensor
from gapwright.circuit.network.elements import ChargeCounter, Gap, Inductor, Resistor, Switch, VoltageSource
from gapwright.circuit.network.netlist import Netlist

HEAT = {"stage": "supply", "account": "heat"}


def pulsed(ballast: float = 6.8) -> Netlist:
    """A bus of 80 V, a switch, a ballast and a gap."""
    return Netlist(
        elements=(
            VoltageSource(name="bus", start="bus", end="0", volts=80.0, **HEAT),
            Switch(name="switch", start="bus", end="a", on_ohms=0.05, off_ohms=1e7, **HEAT),
            Resistor(name="ballast", start="a", end="b", ohms=ballast, **HEAT),
            Inductor(name="lead", start="b", end="gap", henries=200e-9, damper_ohms=1e3, **HEAT),
            Gap(
                name="gap",
                start="gap",
                end="0",
                leak_siemens=1e-7,
                arc_volts=25.0,
                arc_ohms=0.05,
                hold_amperes=0.3,
                short_ohms=0.02,
                recovery_seconds=1e-7,
                stage="spark",
                account="discharge",
            ),
        ),
        counters=(ChargeCounter(name="passed", part="gap"),),
    )


GAP_AMPERES = Sensor(quantity="amperes", name="gap")


def pulses(*more: Governor, burning: tuple = (After(seconds=50e-6, then="pause"),)) -> Governed:
    """Wait for the spark, let it burn, pause."""
    waiting = Phase(
        name="waiting",
        closes=("switch",),
        rules=(Above(sensor=GAP_AMPERES, level=1.0, then="burning"),),
    )
    burn = Phase(name="burning", closes=("switch",), rules=burning, zeroes="passed")
    pause = Phase(name="pause", rules=(After(seconds=50e-6, then="waiting"),))
    return Governed(governors=(Governor(name="pulse", phases=(waiting, burn, pause)), *more))
