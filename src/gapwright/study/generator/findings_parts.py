"""Findings about the parts of a generator: ratings over all scenes, watts and temperatures."""

from collections.abc import Iterator
from dataclasses import dataclass

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Volts
from gapwright.circuit.engine.run import Run
from gapwright.circuit.stages.generators import COIL, DIODE, STORE, SUPPLY, SWITCH
from gapwright.rig.components import Capacitor, Coil, Diode, Resistor, Switch
from gapwright.study.generator.findings_heat import RESISTOR, watts
from gapwright.study.generator.scenes import SceneName, Scenes, mean_current, rms_current
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.finding import Finding, Held, finding
from gapwright.study.grounds.limit_words import RIG_FILE
from gapwright.study.grounds.outcome import Degree
from gapwright.study.grounds.remedies import REMEDIES

INNER = "source"
"""Part through which all that the supply gives has to go."""
SURGES = 10.0
"""Times its mean rating that a diode bears for some microseconds; from memory, its sheet says more."""

Part = Resistor | Capacitor | Coil | Switch | Diode


def part_findings(made: Bench, seen: Scenes) -> Iterator[Finding]:
    """Ratings of every part that the generator has."""
    generator = made.rig.generator
    yield from store_findings(made, seen)
    yield supply_finding(made, seen)
    resistor = getattr(generator, "resistor", None)
    if isinstance(resistor, Resistor):
        yield from resistor_findings(resistor, seen)
    coil = getattr(generator, "coil", None)
    if isinstance(coil, Coil):
        yield coil_finding(coil, seen)
    switch = getattr(generator, "switch", None)
    if isinstance(switch, Switch):
        yield from switch_findings(switch, seen)
    diode = getattr(generator, "diode", None)
    if isinstance(diode, Diode):
        yield from diode_findings(diode, seen)


def _rated(held: Held, *, beyond: Degree = Degree.CARE, text: str = "") -> Finding:
    remedy = REMEDIES[held.part, held.quantity]
    return finding(held, remedy=remedy, source=RIG_FILE, beyond=beyond, text=text)


def highest_current(part: str) -> "_Peak":
    """Reader of the largest current of a part, either way."""
    return _Peak(part=part, quantity="amperes")


def highest_voltage(part: str) -> "_Peak":
    """Reader of the largest voltage of a part, either way."""
    return _Peak(part=part, quantity="volts")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Peak:
    """Largest size of a part's current or voltage in a run; `way` picks one direction."""

    part: str
    quantity: str
    way: int = 0

    def __call__(self, ran: Run) -> float:
        meter = ran.meters.get(self.part)
        if meter is None:
            return 0.0
        if self.quantity == "amperes":
            high, low = meter.highest_current, meter.lowest_current
        else:
            high, low = meter.highest_voltage, meter.lowest_voltage
        return {0: max(high, -low), 1: high, -1: -low}[self.way]


def store_findings(made: Bench, seen: Scenes) -> Iterator[Finding]:
    """Voltage, reversal and ripple current of the store."""
    capacitor = made.rig.generator.capacitor
    grave = Degree.DANGER if capacitor.type == "electrolytic" else Degree.CARE
    volts, scene = seen.highest(_Peak(part=STORE, quantity="volts", way=1))
    yield _rated(
        Held(
            part=STORE, quantity="voltage", scene=scene, found=volts, limit=capacitor.voltage_rating, unit="V"
        ),
        beyond=grave,
    )
    reverse, scene = seen.highest(_Peak(part=STORE, quantity="volts", way=-1))
    yield _rated(
        Held(
            part=STORE,
            quantity="reverse voltage",
            scene=scene,
            found=max(0.0, reverse),
            limit=capacitor.reverse_rating,
            unit="V",
        ),
        beyond=grave,
    )
    yield _rated(
        Held(
            part=STORE,
            quantity="ripple current, r.m.s.",
            scene=SceneName.SPARK,
            found=rms_current(seen.spark.lasting, STORE),
            limit=capacitor.ripple_rating,
            unit="A",
        )
    )


def supply_finding(made: Bench, seen: Scenes) -> Finding:
    """Mean current drawn from the supply while sparking."""
    return _rated(
        Held(
            part=SUPPLY,
            quantity="mean current",
            scene=SceneName.SPARK,
            found=mean_drawn(seen.spark.lasting),
            limit=made.rig.supply.current_limit,
            unit="A",
        )
    )


def mean_drawn(ran: Run) -> Amperes:
    """Mean current out of the supply: that of the wire behind it where the circuit has one."""
    return mean_current(ran, INNER) if INNER in ran.meters else drawn(ran)


def drawn(ran: Run) -> Amperes:
    """Mean current that a run draws from the supply's voltage."""
    volts = max((abs(m.highest_voltage) for n, m in ran.meters.items() if n == SUPPLY), default=0.0)
    return ran.joules("in") / ran.duration / volts if volts > 0.0 else 0.0


def resistor_findings(resistor: Resistor, seen: Scenes) -> Iterator[Finding]:
    """Power in the charging resistor: while sparking, and with the gap shorted for good."""
    for scene, words in (
        (SceneName.SPARK, "power while sparking"),
        (SceneName.SHORT, "power into a lasting short"),
    ):
        yield _rated(
            Held(
                part=RESISTOR,
                quantity=words,
                scene=scene,
                found=watts(seen.by_name[scene].lasting, RESISTOR),
                limit=resistor.power_rating,
                unit="W",
            )
        )


def coil_finding(coil: Coil, seen: Scenes) -> Finding:
    """Saturation margin of the coil at the worst current of all scenes."""
    current, scene = seen.highest(highest_current(COIL))
    usual = _Peak(part=COIL, quantity="amperes")(seen.spark.lasting)
    held = Held(
        part=COIL,
        quantity="peak current",
        scene=scene,
        found=current,
        limit=coil.saturation_current,
        unit="A",
    )
    return _rated(
        held,
        text=f"The coil's current reaches {printed_quantity(current, 'A')} in the scene {scene!s}, "
        f"{printed_quantity(usual, 'A')} after each spark; it saturates at "
        f"{printed_quantity(coil.saturation_current, 'A')}.",
    )


def switch_findings(switch: Switch, seen: Scenes) -> Iterator[Finding]:
    """Peak voltage and current of the switch."""
    volts, scene = seen.highest(_Peak(part=SWITCH, quantity="volts"))
    yield _rated(
        Held(part=SWITCH, quantity="voltage", scene=scene, found=volts, limit=switch.voltage_rating, unit="V")
    )
    current, scene = seen.highest(highest_current(SWITCH))
    yield _rated(
        Held(
            part=SWITCH,
            quantity="peak current",
            scene=scene,
            found=current,
            limit=switch.current_rating,
            unit="A",
        )
    )


def diode_findings(diode: Diode, seen: Scenes) -> Iterator[Finding]:
    """Reverse voltage, lasting mean current and surges of the diode."""
    volts, scene = seen.highest(_Peak(part=DIODE, quantity="volts", way=-1))
    yield _rated(
        Held(
            part=DIODE,
            quantity="reverse voltage",
            scene=scene,
            found=volts,
            limit=diode.voltage_rating,
            unit="V",
        )
    )
    lasting = {name: mean_current(each.lasting, DIODE) for name, each in seen.by_name.items()}
    worst = max(lasting, key=lambda name: lasting[name])
    yield _rated(
        Held(
            part=DIODE,
            quantity="mean current",
            scene=worst,
            found=lasting[worst],
            limit=diode.current_rating,
            unit="A",
        )
    )
    current, scene = seen.highest(highest_current(DIODE))
    yield finding(
        Held(
            part=DIODE,
            quantity="peak current",
            scene=scene,
            found=current,
            limit=SURGES * diode.current_rating,
            unit="A",
        ),
        text=f"Surges through the diode reach {printed_quantity(current, 'A')}, "
        f"{current / diode.current_rating:.1f} times its mean rating.",
        remedy=REMEDIES[DIODE, "peak current"],
        source=f"{SURGES:g} times the mean rating for some microseconds, from memory",
    )


def peak_store_voltage(seen: Scenes) -> Volts:
    """Highest voltage on the store in any scene."""
    return seen.highest(_Peak(part=STORE, quantity="volts", way=1))[0]


def lowest_store_voltage(seen: Scenes) -> Volts:
    """Lowest voltage on the store in any scene, 0 if it never reverses."""
    return -max(0.0, seen.highest(_Peak(part=STORE, quantity="volts", way=-1))[0])
