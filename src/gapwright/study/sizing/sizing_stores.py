"""Stores for a wanted spark, and what candidates of every kind have in common."""

from collections.abc import Iterator
from dataclasses import dataclass

from gapwright.base.errors import GapwrightError
from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Farads, Henries, Volts
from gapwright.circuit.formulas.discharge import peak_current
from gapwright.circuit.formulas.spent import left_voltage, loop_action
from gapwright.rig.leads import wire_resistance
from gapwright.study.generator.network import ARC_OHMS
from gapwright.study.generator.scenes import STRIKES_AT
from gapwright.study.grounds.assemble import Bench
from gapwright.study.grounds.store_duty import ripple_current
from gapwright.study.sizing.sizing_parts import (
    CoilDesign,
    LoopSpec,
    SenseDivider,
    TimerNumber,
    bleeder_for,
    rated,
    rated_current,
    sense_divider,
    store_for,
    text,
    timer_number,
)
from gapwright.study.sizing.sizing_wish import Wish

Table = dict[str, str | float | dict[str, str | float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """One part to buy or wind: its value and what it must bear."""

    part: str
    value: str
    bears: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A generator that should do, before it is verified."""

    kind: str
    generator: Table
    """Table `generator` of the rig file."""
    lead_inductance: Henries
    parts: tuple[PartLine, ...]
    coil: CoilDesign | None
    divider: SenseDivider
    timers: tuple[TimerNumber, ...]


class Unsuitable(GapwrightError):
    """A kind cannot give what is wanted; the message says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """A store that gives the energy, and what its loop does."""

    spec: LoopSpec
    farads: Farads
    volts: Volts
    left: Volts
    ripple: Amperes

    @property
    def refill(self) -> float:
        """Energy that refills it after a spark [J]."""
        return 0.5 * self.farads * (self.spec.strikes**2 - max(self.left, 0.0) ** 2)


def stores(wish: Wish, made: Bench, volts: Volts) -> Iterator[Store]:
    """Stores that give the energy at a voltage, the loop made slower where its peak is too high."""
    strikes = STRIKES_AT * volts
    if strikes <= made.burning + 5.0:
        raise Unsuitable(
            f"an open voltage of {printed_quantity(volts, 'V')} is too near to the "
            f"{printed_quantity(made.burning, 'V')} at which a spark burns"
        )
    leads = made.rig.leads
    ohms = wire_resistance(leads) + leads.contact_resistance + ARC_OHMS
    first = LoopSpec(strikes=strikes, burning=made.burning, inductance=leads.inductance, ohms=ohms)
    for farads in store_for(wish.energy_j, first):
        spec = slower(first, farads, wish.peak_a)
        loop = spec.loop(farads)
        action = loop_action(strikes, arc_voltage=made.burning, loop=loop)
        yield Store(
            spec=spec,
            farads=farads,
            volts=volts,
            left=left_voltage(strikes, arc_voltage=made.burning, loop=loop),
            ripple=ripple_current(action, rate=wish.rate_hz),
        )


def slower(spec: LoopSpec, farads: Farads, most: Amperes | None) -> LoopSpec:
    """Loop with as much inductance as keeps its peak below a limit."""

    def peak(inductance: Henries) -> Amperes:
        longer = LoopSpec(strikes=spec.strikes, burning=spec.burning, inductance=inductance, ohms=spec.ohms)
        return peak_current(spec.strikes, arc_voltage=spec.burning, loop=longer.loop(farads))

    inductance = spec.inductance
    while most is not None and peak(inductance) > 0.9 * most:
        inductance *= 1.1
        if inductance > 0.9e-3:
            raise Unsuitable(f"no loop keeps the peak of a spark below {printed_quantity(most, 'A')}")
    return LoopSpec(strikes=spec.strikes, burning=spec.burning, inductance=inductance, ohms=spec.ohms)


def film(store: Store) -> tuple[Table, PartLine]:
    """Film capacitor for a store: what it must bear as its ratings."""
    volts, ripple = rated(store.volts), rated_current(store.ripple)
    table: Table = {
        "capacitance": text(store.farads, "F"),
        "type": "film",
        "tan_delta": 0.0015,
        "tan_delta_frequency": "100 kHz",
        "voltage_rating": text(volts, "V"),
        "reverse_rating": text(volts, "V"),
        "ripple_rating": text(ripple, "A"),
    }
    line = PartLine(
        part="store",
        value=f"film capacitor {printed_quantity(store.farads, 'F')} ±5 %",
        bears=f"{printed_quantity(volts, 'V')}, reversed to {printed_quantity(max(0.0, -store.left), 'V')}, "
        f"{printed_quantity(ripple, 'A')} r.m.s. of pulses",
    )
    return table, line


def common(store: Store, made: Bench) -> tuple[Table, list[PartLine]]:
    """Store and bleeder."""
    capacitor, line = film(store)
    table: Table = {"capacitor": capacitor}  # type: ignore[dict-item]
    lines = [line]
    ohms = bleeder_for(store.volts, farads=store.farads, dry=made.dry)
    if ohms is not None:
        table["bleeder"] = text(ohms, "Ω")
        heat = store.volts**2 / ohms
        lines.append(
            PartLine(
                part="bleeder",
                value=f"resistor {printed_quantity(ohms, 'Ω')} ±5 %",
                bears=f"{printed_quantity(store.volts, 'V')}, {printed_quantity(heat, 'W')}",
            )
        )
    return table, lines


def sensing(volts: Volts, wish: Wish) -> tuple[SenseDivider, tuple[PartLine, ...]]:
    """Divider for the controller's converter."""
    divider = sense_divider(volts, wish.controller)
    line = PartLine(
        part="sense divider",
        value=f"{printed_quantity(divider.top_ohm, 'Ω')} over "
        f"{printed_quantity(divider.bottom_ohm, 'Ω')}, 1 %",
        bears=f"{printed_quantity(volts, 'V')}: the converter reads {divider.code}",
    )
    return divider, (line,)


def timers(wish: Wish, wanted: dict[str, float]) -> tuple[TimerNumber, ...]:
    """Times that the controller's counters can hold, as it counts them."""
    found = (timer_number(name, seconds, wish.controller) for name, seconds in wanted.items())
    return tuple(number for number in found if number is not None)


def coil_line(coil: CoilDesign, surge: Amperes) -> PartLine:
    """A coil as a line: how to wind it, with and without a core."""
    return PartLine(
        part="coil",
        value=f"{printed_quantity(coil.inductance_h, 'H')} ±20 %: {coil.turns} turns of "
        f"{printed_quantity(coil.wire_diameter_m, 'm')} copper, gap {printed_quantity(coil.gap_m, 'm')}; "
        f"or {coil.air_turns:.0f} turns without a core, "
        f"{printed_quantity(2.0 * coil.air_radius_m, 'm')} wide",
        bears=f"{printed_quantity(surge, 'A')} at {1e3 * coil.flux_t:.0f} mT",
    )
