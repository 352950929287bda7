"""Parts of a generator that is sized: preferred values, ratings, coil, divider, timer numbers."""

from dataclasses import dataclass
from math import ceil, pi, sqrt

from gapwright.base.quantity import printed_quantity
from gapwright.base.units import Amperes, Farads, Henries, Hertz, Joules, Metres, Number, Ohms, Seconds, Volts
from gapwright.circuit.formulas.coil_design import core_flux, core_gap, sheet_turns, winding_turns
from gapwright.circuit.formulas.discharge import SeriesLoop
from gapwright.circuit.formulas.sensing import converter_code, converter_step, divided_band, divided_voltage
from gapwright.circuit.formulas.spent import discharge_charge, loop_action
from gapwright.facts.conductors import resistance_per_metre, wire_diameters
from gapwright.facts.limits import limit
from gapwright.facts.series import nearest_preferred, neighbours
from gapwright.rig.components import TYPICAL_LOSS
from gapwright.study.generator.network import ARC_OHMS
from gapwright.study.grounds.store_duty import largest_bleeder
from gapwright.study.sizing.sizing_wish import Core, Microcontroller

VOLTAGES = (25.0, 40.0, 63.0, 100.0, 160.0, 250.0, 400.0, 630.0, 1000.0)
"""Voltages to which capacitors and semiconductors are rated [V]; from memory."""
HEADROOM = 1.5
"""Rating over what a part carries; common practice, no source."""
DENSITY = 4e6
"""Current density of a winding [A/m²]; common practice, no source."""
AIR_RADIUS = 12e-3
"""Radius of a coil without a core that is offered beside [m]."""
INSULATED = 1.1
"""Pitch of a close winding over the diameter of its copper; from memory."""
STAGE_TURNS = 4.0
"""Mean length of a turn over the root of the core's cross-section, bobbin included: 4 sides of 1.5 roots."""
SCALE = 0.8
"""Share of the converter's range that the open voltage takes."""
LARGEST_BOTTOM = 10e3
"""Lower resistor of a divider, which keeps a converter's input quick [Ω]."""


def text(value: float, unit: str) -> str:
    """A value as a rig file holds it."""
    return printed_quantity(value, unit, digits=4)


def rated(value: float, ladder: tuple[float, ...] = VOLTAGES) -> float:
    """Next rating with headroom above a value."""
    return next((step for step in ladder if step >= HEADROOM * value), HEADROOM * value)


def rated_current(value: Amperes) -> Amperes:
    """Next preferred current with headroom above a value."""
    return neighbours(max(HEADROOM * value, 1e-3), "R10")[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopSpec:
    """Discharge loop whose store is looked for."""

    strikes: Volts
    burning: Volts
    inductance: Henries
    ohms: Ohms
    """Leads, contact and arc; the capacitor's own come on top."""

    def loop(self, farads: Farads) -> SeriesLoop:
        """Loop with a film capacitor of a size."""
        loss = TYPICAL_LOSS["film"]
        own = loss.tan_delta / (2.0 * pi * loss.frequency * farads)
        return SeriesLoop(resistance=self.ohms + own, inductance=self.inductance, capacitance=farads)

    def gap_energy(self, farads: Farads) -> Joules:
        """Energy of one spark in the gap."""
        loop = self.loop(farads)
        charge = discharge_charge(self.strikes, arc_voltage=self.burning, loop=loop)
        action = loop_action(self.strikes, arc_voltage=self.burning, loop=loop)
        return self.burning * charge + ARC_OHMS * action


def store_for(energy: Joules, spec: LoopSpec) -> tuple[Farads, ...]:
    """Preferred capacitances next to the one that gives a spark energy."""
    low, high = 1e-11, 0.1
    for _ in range(80):
        middle = sqrt(low * high)
        low, high = (middle, high) if spec.gap_energy(middle) < energy else (low, middle)
    return tuple(dict.fromkeys(neighbours(sqrt(low * high), "E6")))


def bleeder_for(volts: Volts, *, farads: Farads, dry: bool) -> Ohms | None:
    """Preferred bleeder that empties the store in a second; None where none is needed."""
    left = limit("residual-voltage" if dry else "residual-voltage-wet").value
    if volts <= left:
        return None
    soon = limit("residual-time-reachable").value
    return neighbours(min(largest_bleeder(volts, left=left, time=soon, capacitance=farads), 1e6), "E12")[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilDesign:
    """How to wind a coil: on the core that is at hand, and without one."""

    inductance_h: Henries
    turns: int
    wire_diameter_m: Metres
    gap_m: Metres
    flux_t: float
    resistance_ohm: Ohms
    air_turns: Number
    air_radius_m: Metres
    air_length_m: Metres


def coil_design(inductance: Henries, *, peak: Amperes, rms: Amperes, core: Core) -> CoilDesign:
    """Turns, wire, gap and flux of a coil that bears a peak without saturating."""
    by_factor = winding_turns(inductance, core_factor=core.factor_h)
    by_flux = inductance * peak / (core.flux_t * core.area_m2)
    turns = ceil(max(by_factor, by_flux))
    wanted = sqrt(4.0 * max(rms, 0.05) / (pi * DENSITY))
    wire = next((d for d in wire_diameters() if d >= wanted), wire_diameters()[-1])
    length = turns * STAGE_TURNS * 1.5 * sqrt(core.area_m2)
    air = sheet_turns(inductance, radius=AIR_RADIUS, pitch=INSULATED * wire)
    return CoilDesign(
        inductance_h=inductance,
        turns=turns,
        wire_diameter_m=wire,
        gap_m=core_gap(inductance, turns=turns, area=core.area_m2),
        flux_t=core_flux(peak, inductance=inductance, turns=turns, area=core.area_m2),
        resistance_ohm=max(resistance_per_metre(wire) * length, 1e-3),
        air_turns=air,
        air_radius_m=AIR_RADIUS,
        air_length_m=air * INSULATED * wire,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SenseDivider:
    """Divider from the store to the controller's converter."""

    top_ohm: Ohms
    bottom_ohm: Ohms
    input_v: Volts
    """At the converter, at the open voltage."""
    code: int
    step_v: Volts
    """Store voltage of one step of the converter."""
    low_v: Volts
    high_v: Volts
    """Ends of the input with resistors of 1 %."""


def sense_divider(volts: Volts, controller: Microcontroller) -> SenseDivider:
    """Divider of preferred resistors that uses most of the converter's range."""
    bottom = LARGEST_BOTTOM
    top = neighbours(max(bottom * (volts / (SCALE * controller.reference_v) - 1.0), 10.0), "E24")[1]
    tap = divided_voltage(volts, top=top, bottom=bottom)
    low, high = divided_band(volts, top=top, bottom=bottom, tolerance=0.01)
    return SenseDivider(
        top_ohm=top,
        bottom_ohm=bottom,
        input_v=tap,
        code=converter_code(tap, reference=controller.reference_v, bits=controller.converter_bits),
        step_v=converter_step(
            reference=controller.reference_v, bits=controller.converter_bits, top=top, bottom=bottom
        ),
        low_v=low,
        high_v=high,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerNumber:
    """A time as a controller counts it: never shorter than asked."""

    name: str
    wanted_s: Seconds
    prescaler: int
    counts: int
    lasts_s: Seconds


def timer_number(name: str, wanted: Seconds, controller: Microcontroller) -> TimerNumber | None:
    """Smallest prescaler with which the counter holds a time; None if none does."""
    clock: Hertz = controller.clock_hz
    for prescaler in sorted(controller.prescalers):
        counts = max(1, ceil(wanted * clock / prescaler - 1e-9))
        if counts < 2**controller.counter_bits:
            return TimerNumber(
                name=name,
                wanted_s=wanted,
                prescaler=prescaler,
                counts=counts,
                lasts_s=counts * prescaler / clock,
            )
    return None


def shunt_for(current: Amperes, *, threshold: Volts) -> Ohms:
    """Preferred shunt at which a comparator's threshold is at least a current."""
    return neighbours(threshold / current, "E12")[0]


def nearest(value: float, series: str = "E12") -> float:
    """Preferred value nearest to another, by ratio."""
    return nearest_preferred(value, series)
